"""What is proven of every welded foot. Imports ``work`` and ``paths`` only; pure and exact.

The rule, after published practice for membrane liners, where a length is accepted only when "it is
bounded at each end by a passing test" and tests are tracked by machine and operator
(https://dnrweblink.state.co.us/DRMSSearch/0/doc/973583/Page62.aspx): a foot is proven between two
passing tests of the hand that welded it; it waits while only the one before it is there; it is
suspect when the test on either side of it failed. A later pass on scrap clears only what comes
after it. Of welds that lie over each other the worse one counts, until a repair covers them.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from fractions import Fraction
from itertools import pairwise
from operator import attrgetter

from assistant.weld.paths import Bound, Laid, Path, Paths, Piece, Ruler, laid_in, paths_of
from assistant.weld.work import Hand, Repair, Work


class State(Enum):
    """What a foot is, the worst first."""

    TO_REPAIR = "to repair"
    """A fault was marked here, or a test was cut out."""
    SUSPECT = "suspect"
    WAITING = "waiting"
    REPAIRED = "repaired"
    """Not proven again yet."""
    PROVEN_AGAIN = "repaired and proven again"
    PROVEN = "proven"


_RANK = {state: place for place, state in enumerate(State)}


class Because(Enum):
    """Why a foot is what it is."""

    BETWEEN_PASSES = "between passing tests"
    SINCE_PASS = "since the last pass"  # noqa: S105 - a test, not a password
    NO_PASS_BEFORE = "no passing test before it"  # noqa: S105 - likewise
    FAILED = "a test beside it failed"
    DEFECT = "a fault was marked"
    VOID = "the probe went in"
    CUT = "a test was cut out"
    NOT_PROBED = "the repair was not probed clean"


@dataclass(frozen=True, slots=True)
class CoverRules:
    """What a job decides."""

    cut_ft: Fraction = Fraction(1, 2)
    """Length of seam that a cut takes out."""
    defect_ft: Fraction = Fraction(1)
    """Length that a fault marked at one place puts in question, half of it to either side."""
    probe_repairs: bool = True
    """A repair is proven again only once it was probed clean as well."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length of one seam that is all of one state."""

    seam: str
    from_ft: Fraction
    to_ft: Fraction | None
    """None is the end of a seam whose length is unknown."""
    state: State
    because: Because
    by: tuple[str, ...] = ()
    """Ids of the tests, faults or cuts that make it so."""
    hand: Hand = (None, None)
    """Who welded it with what."""

    @property
    def feet(self) -> Fraction | None:
        """Return its length, or None where it is unknown."""
        return None if self.to_ft is None else self.to_ft - self.from_ft


@dataclass(frozen=True, slots=True)
class Cover:
    """The state of everything that was welded."""

    stretches: tuple[Stretch, ...]
    """In the order of seams, then feet. Every welded foot lies in exactly one."""
    unplaced: tuple[str, ...]
    """Ids of tests, faults and probes that lie on no weld, or nobody knows on which."""
    paths: Paths

    def of(self, state: State) -> tuple[Stretch, ...]:
        """Return the stretches of one state."""
        return tuple(stretch for stretch in self.stretches if stretch.state is state)


_Found = tuple[State, Because, tuple[str, ...]]
"""What a foot is, why, and by which tests or marks."""
_Age = tuple[datetime, int, str]


@dataclass(slots=True)
class _Sheet:
    """Something that lies over a length of seam, in units."""

    low: int
    high: int
    found: _Found
    of: Laid | None
    """None: only a mark on what was welded."""
    marked: datetime | None = None

    @property
    def age(self) -> _Age:
        """Orders sheets by time; at one moment a fault still counts after the repair."""
        if self.of is None:
            return self.marked or datetime.min, 2, self.found[2][0]
        return self.of.at, int(isinstance(self.of, Repair)), self.of.id

    @property
    def badness(self) -> tuple[int, _Age]:
        """Orders sheets: the worst first, then the oldest."""
        return _RANK[self.found[0]], self.age


def resolve(work: Work, rules: CoverRules | None = None) -> Cover:
    """Return the state of every welded foot; the order of ``work`` makes no difference."""
    rules = rules or CoverRules()
    ruler = _ruler(work, rules)
    paths = paths_of(work, ruler)
    sheets: dict[str, list[_Sheet]] = {}
    repaired = _repaired(work, rules, ruler)
    for path in paths.by_hand.values():
        for piece, found in _between_tests(path):
            if isinstance(piece.of, Repair):
                found = repaired(piece.of, found)  # noqa: PLW2901 - the same, as a repair has it
            sheet = _Sheet(piece.low, piece.high, found, piece.of)
            sheets.setdefault(piece.of.seam, []).append(sheet)
    for seam, mark in _marks(work, rules, ruler):
        sheets.setdefault(seam, []).append(mark)
    stretches: list[Stretch] = []
    lost = set(paths.unplaced)
    for seam in sorted(sheets, key=seam_order):
        stretches.extend(_stretches(seam, sheets[seam], ruler))
        lost.update(_off_the_welds(sheets[seam]))
    return Cover(tuple(stretches), tuple(sorted(lost)), paths)


def seam_order(seam: str) -> tuple[bool, int, str]:
    """Order seams as people do: numbers by their size, then names."""
    number = seam.isascii() and seam.isdigit()
    return not number, int(seam) if number else 0, seam


def _ruler(work: Work, rules: CoverRules) -> Ruler:
    spans = [*laid_in(work), *work.probes]
    feet = [each.from_ft for each in spans]
    feet += [each.to_ft for each in spans if each.to_ft is not None]
    points = [(test.at_ft, rules.cut_ft / 2) for test in work.tests]
    points += [(defect.at_ft, rules.defect_ft / 2) for defect in work.defects]
    points += [
        (each, rules.defect_ft / 2)
        for probe in work.probes
        if not probe.clean
        for each in (probe.from_ft, probe.to_ft)
    ]
    for at_ft, half in points:
        if at_ft is not None:
            feet += [at_ft, max(at_ft - half, Fraction(0)), at_ft + half]
    return Ruler(feet)


# ---- what welds and repairs are by the tests beside them


def _between_tests(path: Path) -> Iterator[tuple[Piece, _Found]]:
    """Return every piece with what the tests on either side make of it."""
    before: Bound | None = None
    after: Bound | None = None
    found = _between(before, after)
    for piece in path:
        if isinstance(piece, Piece):
            if piece.before is not before or piece.after is not after:
                before, after = piece.before, piece.after
                found = _between(before, after)
            yield piece, found


def _between(before: Bound | None, after: Bound | None) -> _Found:
    """Return the state that the tests on either side give; the one rule of this module."""
    failed = [bound for bound in (before, after) if bound is not None and not bound.passed]
    if failed:
        ids = dict.fromkeys(each for bound in failed for each in bound.ids)
        return State.SUSPECT, Because.FAILED, tuple(ids)
    if before is None:
        return State.WAITING, Because.NO_PASS_BEFORE, ()
    if after is None:
        return State.WAITING, Because.SINCE_PASS, before.ids
    return State.PROVEN, Because.BETWEEN_PASSES, (*before.ids, *after.ids)


def _repaired(work: Work, rules: CoverRules, ruler: Ruler) -> Callable[[Repair, _Found], _Found]:
    """Return what tells of a repair what it is, given what a weld in its place would be."""
    clean: dict[str, list[tuple[int, int, datetime]]] = {}
    for probe in work.probes:
        if probe.clean:
            low, high = sorted((ruler.units(probe.from_ft), ruler.upto(probe.to_ft)))
            clean.setdefault(probe.seam, []).append((low, high, probe.at))
    for spans in clean.values():
        spans.sort()

    def probed(repair: Repair) -> bool:
        """Tell whether it was probed clean from end to end after it was made."""
        reached, end = sorted((ruler.units(repair.from_ft), ruler.units(repair.to_ft)))
        for low, high, at in clean.get(repair.seam, []):
            if low > reached:
                break
            if at > repair.at:
                reached = max(reached, high)
        return reached >= end

    def found(repair: Repair, as_weld: _Found) -> _Found:
        state, because, by = as_weld
        if state is State.WAITING:
            return State.REPAIRED, because, by
        if state is not State.PROVEN:
            return as_weld
        if rules.probe_repairs and not probed(repair):
            return State.REPAIRED, Because.NOT_PROBED, by
        return State.PROVEN_AGAIN, because, by

    return found


# ---- marks on welds


def _marks(work: Work, rules: CoverRules, ruler: Ruler) -> Iterator[tuple[str, _Sheet]]:
    """Return what is known to need repair, over each seam."""

    def mark(low: int, high: int, at: datetime, by: str, because: Because) -> _Sheet:
        return _Sheet(low, high, (State.TO_REPAIR, because, (by,)), None, at)

    def around(one: Fraction | None, other: Fraction | None, half: Fraction) -> tuple[int, int]:
        known = [each for each in (one, other) if each is not None]
        low = ruler.units(max(min(known) - half, Fraction(0))) if known else 0
        high = ruler.end if len(known) < 2 else ruler.units(max(known) + half)
        return low, high

    cut, fault = rules.cut_ft / 2, rules.defect_ft / 2
    for test in work.tests:
        if test.seam is not None:
            low, high = around(test.at_ft, test.at_ft, cut)
            yield test.seam, mark(low, high, test.at, test.id, Because.CUT)
    for defect in work.defects:
        low, high = around(defect.at_ft, defect.at_ft, fault)
        yield defect.seam, mark(low, high, defect.at, defect.id, Because.DEFECT)
    for probe in work.probes:
        if not probe.clean:
            low, high = around(probe.from_ft, probe.to_ft, fault)
            yield probe.seam, mark(low, high, probe.at, probe.id, Because.VOID)


# ---- one seam


def _stretches(seam: str, sheets: list[_Sheet], ruler: Ruler) -> Iterator[Stretch]:
    """Return a seam as stretches, in order, each foot once."""
    low = high = 0
    last: _Sheet | None = None
    for start, stop, sheet in _flattened(sheets):
        if last is not None and high == start and _alike(last, sheet):
            high = stop
            continue
        if last is not None:
            yield _stretch(seam, low, high, last, ruler)
        low, high, last = start, stop, sheet
    if last is not None:
        yield _stretch(seam, low, high, last, ruler)


def _alike(one: _Sheet, other: _Sheet) -> bool:
    return one.found == other.found and _hand(one) == _hand(other)


def _hand(sheet: _Sheet) -> Hand:
    return (None, None) if sheet.of is None else sheet.of.set_up.hand


def _stretch(seam: str, low: int, high: int, sheet: _Sheet, ruler: Ruler) -> Stretch:
    from_ft = ruler.feet(low)
    if from_ft is None:
        raise ValueError(f"seam {seam} has a stretch beyond its end")
    return Stretch(seam, from_ft, ruler.feet(high), *sheet.found, _hand(sheet))


def _flattened(sheets: list[_Sheet]) -> Iterator[tuple[int, int, _Sheet]]:
    """Return the sheet that counts for every welded length, from low to high."""
    sheets.sort(key=attrgetter("low", "high"))
    if all(one.high <= two.low for one, two in pairwise(sheets)):
        yield from ((sheet.low, sheet.high, sheet) for sheet in sheets if sheet.of)
        return
    edges = sorted({edge for sheet in sheets for edge in (sheet.low, sheet.high)})
    waiting = 0
    there: list[_Sheet] = []
    for start, stop in pairwise(edges):
        there = [sheet for sheet in there if sheet.high > start]
        while waiting < len(sheets) and sheets[waiting].low <= start:
            if sheets[waiting].high > start:
                there.append(sheets[waiting])
            waiting += 1
        counting = _counting(there)
        if any(sheet.of for sheet in there):
            yield start, stop, min(counting, key=lambda sheet: sheet.badness)


def _off_the_welds(sheets: list[_Sheet]) -> Iterator[str]:
    """Return the ids of marks under which nothing was welded; ``sheets`` are in their order."""
    if all(sheet.of for sheet in sheets):
        return
    welds = [sheet for sheet in sheets if sheet.of]
    lows = [sheet.low for sheet in welds]
    highest: list[int] = []
    for sheet in welds:
        highest.append(max([sheet.high, *highest[-1:]]))
    for mark in sheets:
        if mark.of is None:
            before = bisect_left(lows, mark.high)
            if not before or highest[before - 1] <= mark.low:
                yield from mark.found[2]


def _counting(there: list[_Sheet]) -> list[_Sheet]:
    """Return what counts of things that lie over each other: the last repair and what came after.

    A fault that was marked at the moment of the repair still counts.
    """
    repairs = [sheet.age for sheet in there if isinstance(sheet.of, Repair)]
    if not repairs:
        return there
    last = max(repairs)
    return [sheet for sheet in there if sheet.age >= last]
