"""A test that is due, and what a failed test puts in question, as they are spoken.

Imports ``lines``, ``today``, ``procedure``, ``proof``, ``weld`` and ``words``; pure.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from datetime import datetime, timedelta, timezone
from fractions import Fraction

from assistant.dialogue import lines
from assistant.dialogue.today import Today
from assistant.procedure.model import Judge, Procedure
from assistant.proof.now import accused_now, due_now, newly_accused
from assistant.proof.reading import WELD
from assistant.proof.rows import Row
from assistant.weld.due import Due, Reason, Why
from assistant.weld.job_rules import JobRules
from assistant.weld.suspects import Accused, Place
from assistant.words.clock import clock_in_words
from assistant.words.marks import FARTHEST_FT, feet_in_words
from assistant.words.numbers import in_words
from assistant.words.readback import spoken

_REASONS = {
    Why.NO_TEST: lines.DUE_NO_TEST,
    Why.NEW_DAY: lines.DUE_NEW_DAY,
    Why.FAILED: lines.DUE_FAILED,
    Why.BREAK: lines.DUE_BREAK,
    Why.COOL_DOWN: lines.DUE_COOL_DOWN,
    Why.POWER_LOST: lines.DUE_POWER_LOST,
    Why.RAIN: lines.DUE_RAIN,
    Why.VOID: lines.DUE_VOID,
    Why.DOUBT: lines.DUE_DOUBT,
    Why.CHANGED: lines.DUE_CHANGED,
    Why.WEATHER: lines.DUE_WEATHER,
    Why.HOURS: lines.DUE_HOURS,
    Why.FEET: lines.DUE_FEET,
}
_PARTS = {"power": "power supply", "lot": "lot of the sheet", "": "set up"}
_MOST_SEAMS = 4
"""So many seams are named; nobody keeps more in mind."""


def welds_on_a_test(procedure: Procedure) -> bool:
    """Tell whether a checklist welds a seam behind a strip that it judges."""
    judges = [place for place, each in enumerate(procedure.steps) if isinstance(each, Judge)]
    return bool(judges) and any(each.id == WELD for each in procedure.steps[judges[0] :])


def due_at_start(today: Today, rules: JobRules | None, job: object) -> str:
    """Return what is due when a run begins whose checklist judges; its line is the last."""
    if rules is None or today.now is None:
        return ""
    return due_said(due_now(rows_of(today), rules, today.now, job), today.now)


def suspects_at_verdict(today: Today, rules: JobRules | None) -> str:
    """Return what the verdict that was just written puts in question."""
    return "" if rules is None else suspects_said(newly_accused(rows_of(today), rules))


def suspects_now(today: Today, rules: JobRules | None) -> str:
    """Return all that is in question now."""
    return "" if rules is None else suspects_said(accused_now(rows_of(today), rules))


def rows_of(today: Today) -> tuple[Row, ...]:
    """Return the lines of the shift so far; one without a time stands where it was written."""
    return tuple(
        Row(
            str(line.seq),
            line.seq,
            line.run,
            line.at or _SOMETIME + timedelta(seconds=line.seq),
            line.kind,
            line.fields,
        )
        for line in today.lines
    )


_SOMETIME = datetime(2000, 1, 1, tzinfo=timezone.utc)


def due_said(due: Due, now: datetime) -> str:
    """Return that a test is due, why and since when; empty when none is."""
    if not due.reasons:
        return ""
    first = due.reasons[0]
    began = first.why is Why.NO_TEST or first.since >= now
    since = "" if began else spoken(f"since {clock_in_words(first.since)}")
    return " ".join(filter(None, (lines.TEST_DUE, _why(first), since)))


def _why(reason: Reason) -> str:
    if reason.why is Why.CHANGED:
        part = _PARTS.get(reason.what, reason.what)
        return spoken(f"the {part} {lines.DUE_CHANGED}")
    return _REASONS[reason.why]


def suspects_said(accused: Sequence[Accused]) -> str:
    """Return which seams are suspect and where to cut next; empty when none is."""
    seams = list(dict.fromkeys(each.seam for one in accused for each in one.suspects))
    if not seams:
        return ""
    cuts = [spoken(f"{lines.CUT_NEXT} {_where(cut)}") for one in accused for cut in one.cuts]
    bounded = "" if cuts else lines.POOR_LENGTH
    return " ".join(filter(None, (_suspect(seams), *cuts[:2], bounded, lines.SUSPECT_STAYS)))


def _suspect(seams: Collection[str]) -> str:
    named = [_seam(seam) for seam in list(seams)[:_MOST_SEAMS]]
    more = len(seams) - len(named)
    if more:
        named.append(f"{in_words(more)} more {'seam' if more == 1 else 'seams'}")
    last = named.pop()
    listed = f"{', '.join(named)} and {last}" if named else last
    return spoken(f"{lines.SUSPECT} {listed}")


def _seam(seam: str) -> str:
    known = seam.isascii() and seam.isdigit() and len(seam) <= 3
    return f"seam {in_words(int(seam))}" if known else lines.SEAM_NOT_NAMED


def _where(cut: Place) -> str:
    seam = _seam(cut.seam)
    if cut.before_end_ft is not None:
        return f"{seam}, {_feet(cut.before_end_ft)} {lines.BEFORE_ITS_END}"
    if cut.at_ft is None:
        return f"{seam}, {lines.NEAR_ITS_MIDDLE}"
    return f"{seam}, at {_feet(cut.at_ft)}"


def _feet(feet: Fraction) -> str:
    """Return feet to the nearest half, which is as near as anybody cuts."""
    return feet_in_words(min(Fraction(math.floor(feet * 2 + Fraction(1, 2)), 2), FARTHEST_FT))
