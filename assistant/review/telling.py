"""How a shift is told in words and figures, alike on the page and in the terminal.

Imports ``shift``, ``strips``, ``widths`` and ``weld``; pure.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from assistant.review.shift import Remark, ShiftReview
from assistant.review.strips import Correction, Strip, readable
from assistant.review.widths import allowed, inches, width
from assistant.weld.verdict import Outcome

NOT_HEARD = "not heard"
NOT_STATED = "not stated"

LABELS = {
    Outcome.FAIL.value: "Fail",
    Outcome.OUT.value: "Out: too wide",
    Outcome.INVALID.value: "Invalid: proves nothing",
    Outcome.NO_VERDICT.value: "No verdict",
    Outcome.FOREMAN.value: "Foreman decides",
    Outcome.AT_LIMIT.value: "Pass at the limit",
    Outcome.PASS.value: "Pass",
}

COUNTED = ("failed", "no verdict", "pass at limit", "passed")
"""What ``ShiftReview.counts`` counts, in order."""

CLOSED = {
    "ended": "walked to its end",
    "stopped": "stopped before its end",
    "open": "not walked to its end",
}


def label(strip: Strip) -> str:
    """Return the verdict as a heading; an outcome that is not ours is shown as it stands."""
    return LABELS.get(strip.outcome, strip.outcome)


def heading(strip: Strip) -> str:
    """Return which strip it is."""
    seam = f"Seam {strip.seam}" if strip.seam else "Seam not heard"
    return f"{seam}, {strip.when:%H:%M}"


def width_told(strip: Strip) -> str:
    """Return the width as it was understood."""
    if strip.width_in is None:
        return NOT_HEARD
    return width(strip.width_in, strip.unit, strip.hedge)


def rows(strip: Strip) -> tuple[tuple[str, str], ...]:
    """Return all that is known of a strip, and what is not, as labels and texts."""
    found = [
        ("Width", width_told(strip)),
        ("As said", f"“{strip.said}”" if strip.said else NOT_HEARD),
        *([("Said before", _before(strip))] if strip.said_before else []),
        *(("Corrected", _corrected(correction)) for correction in strip.corrections),
        ("Read back", _read_back(strip)),
        ("Allowed", allowed(strip.limits) if strip.limits else NOT_STATED),
        ("Came apart by", readable(strip.mode) if strip.mode else NOT_STATED),
    ]
    if strip.solid_in is not None:
        found.append(("Solid part", inches(strip.solid_in)))
    return (
        *found,
        ("Heat marks", readable(strip.heat) if strip.heat else NOT_STATED),
        ("Welded by", _by(strip)),
        ("Record", f"line {strip.line}, rule {strip.rule or NOT_STATED}"),
    )


def _before(strip: Strip) -> str:
    return ", ".join(f"“{said}”" for said in strip.said_before) + ", taken back"


def _corrected(correction: Correction) -> str:
    before = f"“{correction.before}”" if correction.before else NOT_HEARD
    now = f"“{correction.said}”" if correction.said else NOT_HEARD
    verdict = LABELS.get(correction.outcome_before, correction.outcome_before)
    yes = f", confirmed by “{correction.confirmed_by}”" if correction.confirmed_by else ""
    return (
        f"at {correction.when:%H:%M}, {readable(correction.step)}: from {before} to {now}{yes}; "
        f"the verdict was “{verdict}” (line {correction.line})"
    )


def _by(strip: Strip) -> str:
    welder, gun = strip.welder or f"welder {NOT_STATED}", strip.gun or f"gun {NOT_STATED}"
    return f"{welder}, {gun}"


def _read_back(strip: Strip) -> str:
    if not strip.read_back:
        return NOT_HEARD
    yes = f"confirmed by “{strip.confirmed_by}”" if strip.confirmed_by else "not confirmed"
    return f"“{strip.read_back}” {yes}"


def span(began: datetime | None, ended: datetime | None) -> str:
    """Return when a shift was: day, times and zone; the day of its end where it is another."""
    if began is None or ended is None:
        return "no time in the record"
    last = f"{ended:%H:%M}" if ended.date() == began.date() else f"{ended:%Y-%m-%d %H:%M}"
    zone = f"{began:%z}"
    return f"{began:%Y-%m-%d}, {began:%H:%M} to {last} (UTC{zone[:3]}:{zone[3:5]})"


def tally(review: ShiftReview) -> str:
    """Return the counts in one sentence."""
    counts = ", ".join(
        f"{count} {what}" for count, what in zip(review.counts, COUNTED, strict=True)
    )
    return f"Strips: {counts}."


def sections(review: ShiftReview) -> tuple[tuple[str, Sequence[Remark]], ...]:
    """Return what else a foreman should know, under its titles."""
    return (
        ("Marks on the seam", review.marks),
        ("What may have ended a set-up", review.events),
        ("Spoken notes", review.notes),
        ("Not heard", review.not_heard),
        ("Answers that were not as hoped", review.not_hoped),
        ("Waits cut short", review.cut_short),
        ("Taken back", review.taken_back),
        ("Holds, stops and the microphone", review.breaks),
    )
