"""Each seam's state as the foreman sees it: what stands where, why, and what to do next.

Imports ``proof``, ``weld`` and ``widths``; pure. The page and the terminal show the same. Nothing
here says that a seam is good: it says which tests stand around it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from assistant.proof.reading import Found, found
from assistant.proof.rows import Row
from assistant.review.widths import decimal
from assistant.weld.due import Kind, Why, due
from assistant.weld.job_rules import JobRules
from assistant.weld.seams import resolve, seam_order
from assistant.weld.states import Because, State, Stretch
from assistant.weld.suspects import Accused, Place, accused
from assistant.weld.work import Hand

LABELS = {
    State.TO_REPAIR: "To repair",
    State.SUSPECT: "Suspect",
    State.WAITING: "Waiting for a test",
    State.REPAIRED: "Repaired, not proven again",
    State.PROVEN_AGAIN: "Repaired and proven again",
    State.PROVEN: "Proven",
}
_ORDER = tuple(LABELS)
_WIDE, _LEFT, _RIGHT = 640, 4, 636
_LEAST = 10
"""A part of a bar is at least so wide, or nobody sees it."""
_LETTER = 20
"""About how wide a letter is in a drawing."""
_OPEN_SHARE = Fraction(1, 3)
"""What an unknown length takes of a bar that has known ones as well."""


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of a seam, and where it stands in the drawing."""

    left: int
    right: int
    look: str
    """Class name of the page, by its state."""
    label: str
    inside: str
    """The label as it fits into the drawing, or empty."""
    feet: str
    why: str


@dataclass(frozen=True, slots=True)
class SeamBar:
    """One seam."""

    name: str
    parts: tuple[Part, ...]
    torn: bool
    """Its end is not known."""
    told: str
    """The same in words, for those who do not see it."""


@dataclass(frozen=True, slots=True)
class SeamsCover:
    """All seams of a record, the worst first, and what follows from them."""

    seams: tuple[SeamBar, ...] = ()
    counts: tuple[tuple[str, int], ...] = ()
    """How many seams have something of each state, the worst first; none left out is nought."""
    suspects: tuple[str, ...] = ()
    """Sentences: what failed tests put in question, and where to cut."""
    notes: tuple[str, ...] = ()
    """Sentences: what was welded while a test was due, and what could not be placed."""


def seams_cover(rows: Sequence[Row], rules: JobRules) -> SeamsCover:
    """Return what the lines of a record add up to."""
    known = found(rows)
    cover = resolve(known.work, rules.cover)
    by_seam: dict[str, list[Stretch]] = {}
    for stretch in cover.stretches:
        by_seam.setdefault(stretch.seam, []).append(stretch)
    worst = sorted(by_seam, key=lambda seam: (_worst(by_seam[seam]), seam_order(seam)))
    states = [{stretch.state for stretch in by_seam[seam]} for seam in worst]
    counts = [(LABELS[state], sum(state in each for each in states)) for state in _ORDER]
    told = _Told(known)
    return SeamsCover(
        tuple(_bar(seam, by_seam[seam], told) for seam in worst),
        tuple((label, count) for label, count in counts if count),
        tuple(_suspects(each, told) for each in accused(cover, rules.cuts)),
        (*_welded_while_due(known, rules), *_unplaced(cover.unplaced, told)),
    )


def _worst(stretches: Sequence[Stretch]) -> int:
    return min(_ORDER.index(stretch.state) for stretch in stretches)


def seam_name(seam: str) -> str:
    """Return how a seam is called."""
    return f"Seam {seam}"


def feet_told(feet: Fraction) -> str:
    """Return feet as they are read off a tape: 25/2 -> ``12 1/2 ft``."""
    if feet.denominator in (1, 2, 4):
        whole, rest = divmod(feet, 1)
        parts = [str(part) for part in (whole, rest) if part]
        return f"{' '.join(parts) or '0'} ft"
    return f"{decimal(feet, 2)} ft"


def span_told(stretch: Stretch) -> str:
    """Return from where to where a stretch is."""
    if stretch.to_ft is None:
        start = feet_told(stretch.from_ft)
        return f"from {start} to its end" if stretch.from_ft else "whole length, not told"
    start = feet_told(stretch.from_ft).removesuffix(" ft")
    return f"{start} to {feet_told(stretch.to_ft)}"


def place_told(cut: Place) -> str:
    """Return where to cut."""
    seam = f"seam {cut.seam}"
    if cut.before_end_ft is not None:
        return f"{seam}, {feet_told(cut.before_end_ft)} before its end"
    if cut.at_ft is None:
        return f"{seam}, near the middle"
    return f"{seam}, at {feet_told(cut.at_ft)}"


class _Told:
    """Says what an id stands for."""

    def __init__(self, known: Found) -> None:
        self._lines: Mapping[str, Row] = known.lines
        self._several_days = len({row.at.date() for row in known.lines.values()}) > 1

    def when(self, name: str) -> str:
        """Return the time of a line, with its day where there are several."""
        row = self._lines.get(name)
        if row is None:
            return "an unknown time"
        return f"{row.at:%Y-%m-%d %H:%M}" if self._several_days else f"{row.at:%H:%M}"

    def what(self, name: str) -> str:
        """Return what was marked."""
        row = self._lines.get(name)
        what = row.fields.get("what") if row else None
        return str(what).replace("-", " ") if isinstance(what, str) else "fault"

    def why(self, stretch: Stretch) -> str:
        """Return why a stretch is what it is."""
        times = [self.when(each) for each in stretch.by]
        if stretch.because is Because.BETWEEN_PASSES:
            return f"between the passes of {times[0]} and {times[-1]}"
        if stretch.because is Because.SINCE_PASS:
            return f"the test of {times[0]} before it passed; none came after it yet"
        if stretch.because is Because.FAILED:
            tests = "test" if len(times) == 1 else "tests"
            return f"the {tests} of {' and '.join(times)} failed"
        if stretch.because is Because.DEFECT:
            return f"a {self.what(stretch.by[0])} was marked at {times[0]}"
        because = str(stretch.because.value)
        return f"{because} at {times[0]}" if stretch.state is State.TO_REPAIR else because


def hand_told(hand: Hand) -> str:
    """Return who welded with what."""
    welder, gun = hand
    return f"{welder or 'welder not stated'} with {gun or 'a gun not stated'}"


def as_lines(cover: SeamsCover, columns: int) -> Iterator[str]:
    """Return the same for a terminal."""
    for seam in cover.seams:
        for part in seam.parts:
            text = f"{seam.name}, {part.feet}: {part.label.upper()}, {part.why}."
            yield from textwrap.wrap(text, columns, subsequent_indent="    ")
    for sentence in (*cover.suspects, *cover.notes):
        yield from textwrap.wrap(sentence, columns, initial_indent="  - ", subsequent_indent="    ")


# ---- the drawing


def _bar(seam: str, stretches: Sequence[Stretch], told: _Told) -> SeamBar:
    parts = []
    for stretch, left, right in _placed(stretches):
        label = LABELS[stretch.state]
        fits = right - left >= _LETTER * len(label)
        parts.append(
            Part(
                left,
                right,
                stretch.state.name.lower().replace("_", "-"),
                label,
                label if fits else "",
                span_told(stretch),
                told.why(stretch),
            )
        )
    words = "; ".join(f"{part.feet}: {part.label.lower()}, {part.why}" for part in parts)
    name = seam_name(seam)
    return SeamBar(name, tuple(parts), stretches[-1].to_ft is None, f"{name}: {words}")


def _placed(stretches: Sequence[Stretch]) -> Iterator[tuple[Stretch, int, int]]:
    """Return stretches with where they begin and end in a drawing, each wide enough to be seen."""
    lengths = [stretch.feet for stretch in stretches]
    known = sum((length for length in lengths if length is not None), Fraction(0))
    unknown = known * _OPEN_SHARE / (1 - _OPEN_SHARE) or Fraction(1)
    shares = [unknown if length is None else length for length in lengths]
    room = max(0, _RIGHT - _LEFT - _LEAST * len(shares))
    whole = sum(shares, Fraction(0)) or Fraction(1)
    left = Fraction(_LEFT)
    for stretch, share in zip(stretches, shares, strict=True):
        right = left + _LEAST + room * share / whole
        yield stretch, round(left), round(right)
        left = right


# ---- sentences


def _suspects(one: Accused, told: _Told) -> str:
    tests = " and ".join(told.when(each) for each in one.failed)
    lengths = ", ".join(f"seam {each.seam} ({span_told(each)})" for each in one.suspects)
    cuts = " and ".join(place_told(cut) for cut in one.cuts)
    then = (
        f"Cut next: {cuts}."
        if cuts
        else "No further cut narrows this down: it is to be repaired and tested."
    )
    return f"Failed at {tests}, {hand_told(one.hand)}. Suspect: {lengths}. {then}"


def _welded_while_due(known: Found, rules: JobRules) -> Iterator[str]:
    for happening in known.happenings:
        if happening.kind is not Kind.WELDED or happening.set_up is None:
            continue
        state = due(happening.at, known.happenings, rules.due, happening.set_up)
        reasons = [each for each in state.reasons if each.why is not Why.FEET]
        if reasons:
            weld = next(each for each in known.work.welds if each.id == happening.id)
            why = ", ".join(dict.fromkeys(reason_told(each.why, each.what) for each in reasons))
            what = f"{seam_name(weld.seam)} was welded at {happening.at:%H:%M}"
            yield f"{what} while a test was due: {why}."


_REASONS = {
    Why.NO_TEST: "no strip had passed",
    Why.NEW_DAY: "no strip had passed that day",
    Why.FAILED: "the last one failed",
    Why.BREAK: "a break",
    Why.COOL_DOWN: "the gun had gone cold",
    Why.POWER_LOST: "power was lost",
    Why.RAIN: "rain",
    Why.VOID: "a void",
    Why.DOUBT: "doubt",
    Why.CHANGED: "a change",
    Why.WEATHER: "a change of weather",
    Why.HOURS: "hours since the last one",
    Why.FEET: "feet since the last one",
}


def reason_told(why: Why, what: str) -> str:
    """Return why a test is due, in a few words."""
    return f"{_REASONS[why]} ({what})" if what else _REASONS[why]


def _unplaced(ids: Sequence[str], told: _Told) -> Iterator[str]:
    for each in ids:
        yield f"What was noted at {told.when(each)} lies on no seam that was welded in this record."
