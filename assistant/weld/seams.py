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
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from fractions import Fraction

from assistant.weld.paths import Layer, Paths, Piece, Ruler, paths_of
from assistant.weld.work import Hand, Probe, Repair, Work


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
    SINCE_PASS = "since the last pass"
    NO_PASS_BEFORE = "no passing test before it"
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
    """Ids of tests, faults and probes that lie on nothing that was welded, or nobody knows where."""
    paths: Paths

    def of(self, state: State) -> tuple[Stretch, ...]:
        """Return the stretches of one state."""
        return tuple(stretch for stretch in self.stretches if stretch.state is state)


@dataclass(slots=True)
class _Sheet:
    """Something that lies over a length of seam, in units."""

    low: int
    high: int
    age: tuple[datetime, int, str]
    state: State
    because: Because
    by: tuple[str, ...]
    hand: Hand
    welded: bool = True
    """It is a weld, and not only a mark on one."""
    repair: bool = False

    @property
    def badness(self) -> tuple[int, tuple[datetime, int, str]]:
        """Orders sheets: the worst first, then the oldest."""
        return _RANK[self.state], self.age


def resolve(work: Work, rules: CoverRules = CoverRules()) -> Cover:
    """Return the state of every welded foot; the order of ``work`` makes no difference."""
    ruler = _ruler(work, rules)
    paths = paths_of(work, ruler)
    sheets: dict[str, list[_Sheet]] = {}
    probed = _probed_clean(work.probes, ruler)
    for path in paths.by_hand.values():
        for piece in path:
            if isinstance(piece, Piece):
                seam = piece.layer.of.seam
                sheets.setdefault(seam, []).append(_sheet(piece, rules, probed.get(seam, [])))
    for seam, mark in _marks(work, rules, ruler):
        sheets.setdefault(seam, []).append(mark)
    found: list[Stretch] = []
    for seam in sorted(sheets, key=seam_order):
        found.extend(_stretches(seam, sheets[seam], ruler))
    lost = {each for seam in sheets.values() for each in _off_the_welds(seam)}
    return Cover(tuple(found), tuple(sorted(lost.union(paths.unplaced))), paths)


def seam_order(seam: str) -> tuple[bool, int, str]:
    """Order seams as people do: numbers by their size, then names."""
    number = seam.isascii() and seam.isdigit()
    return not number, int(seam) if number else 0, seam


def _ruler(work: Work, rules: CoverRules) -> Ruler:
    spans = (*work.welds, *work.repairs, *work.probes)
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


def _sheet(piece: Piece, rules: CoverRules, probed: list[tuple[int, int, datetime]]) -> _Sheet:
    state, because, by = _between(piece)
    layer = piece.layer
    repair = isinstance(layer.of, Repair)
    if repair and state is State.WAITING:
        state = State.REPAIRED
    if repair and state is State.PROVEN:
        clean = not rules.probe_repairs or _is_probed(layer, probed)
        state = State.PROVEN_AGAIN if clean else State.REPAIRED
        because = because if clean else Because.NOT_PROBED
    start, stop = piece.start, piece.stop
    if start > stop:
        start, stop = stop, start
    age = (layer.of.at, int(repair), layer.of.id)
    return _Sheet(start, stop, age, state, because, by, layer.of.set_up.hand, repair=repair)


def _between(piece: Piece) -> tuple[State, Because, tuple[str, ...]]:
    """Return the state that the tests on either side give; the one rule of this module."""
    before, after = piece.before, piece.after
    failed = [bound for bound in (before, after) if bound is not None and not bound.passed]
    if failed:
        ids = dict.fromkeys(each for bound in failed for each in bound.ids)
        return State.SUSPECT, Because.FAILED, tuple(ids)
    if before is None:
        return State.WAITING, Because.NO_PASS_BEFORE, ()
    if after is None:
        return State.WAITING, Because.SINCE_PASS, before.ids
    return State.PROVEN, Because.BETWEEN_PASSES, (*before.ids, *after.ids)


def _probed_clean(
    probes: Iterable[Probe], ruler: Ruler
) -> dict[str, list[tuple[int, int, datetime]]]:
    found: dict[str, list[tuple[int, int, datetime]]] = {}
    for probe in probes:
        if probe.clean:
            low, high = sorted((ruler.units(probe.from_ft), ruler.upto(probe.to_ft)))
            found.setdefault(probe.seam, []).append((low, high, probe.at))
    for spans in found.values():
        spans.sort()
    return found


def _is_probed(layer: Layer, probed: list[tuple[int, int, datetime]]) -> bool:
    """Tell whether a repair was probed clean from end to end after it was made."""
    reached = layer.low
    for low, high, at in probed:
        if low > reached:
            break
        if at > layer.of.at:
            reached = max(reached, high)
    return reached >= layer.high


# ---- marks on welds


def _marks(work: Work, rules: CoverRules, ruler: Ruler) -> Iterator[tuple[str, _Sheet]]:
    """Return what is known to need repair, over each seam."""

    def mark(low: int, high: int, at: datetime, by: str, because: Because) -> _Sheet:
        none: Hand = (None, None)
        age = (at, 2, by)
        return _Sheet(low, high, age, State.TO_REPAIR, because, (by,), none, welded=False)

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
    return (one.state, one.because, one.by, one.hand) == (
        other.state, other.because, other.by, other.hand,
    )  # fmt: skip


def _stretch(seam: str, low: int, high: int, sheet: _Sheet, ruler: Ruler) -> Stretch:
    from_ft = ruler.feet(low)
    if from_ft is None:
        raise ValueError(f"seam {seam} has a stretch beyond its end")
    to_ft = ruler.feet(high)
    return Stretch(seam, from_ft, to_ft, sheet.state, sheet.because, sheet.by, sheet.hand)


def _flattened(sheets: list[_Sheet]) -> Iterator[tuple[int, int, _Sheet]]:
    """Return the sheet that counts for every welded length, from low to high."""
    sheets.sort(key=lambda sheet: (sheet.low, sheet.high, sheet.age))
    if all(one.high <= two.low for one, two in zip(sheets, sheets[1:], strict=False)):
        yield from ((sheet.low, sheet.high, sheet) for sheet in sheets if sheet.welded)
        return
    edges = sorted({edge for sheet in sheets for edge in (sheet.low, sheet.high)})
    waiting = 0
    there: list[_Sheet] = []
    for start, stop in zip(edges, edges[1:], strict=False):
        there = [sheet for sheet in there if sheet.high > start]
        while waiting < len(sheets) and sheets[waiting].low <= start:
            if sheets[waiting].high > start:
                there.append(sheets[waiting])
            waiting += 1
        counting = _counting(there)
        if any(sheet.welded for sheet in there):
            yield start, stop, min(counting, key=lambda sheet: sheet.badness)


def _off_the_welds(sheets: list[_Sheet]) -> Iterator[str]:
    """Return the ids of marks under which nothing was welded; ``sheets`` are in their order."""
    welds = [sheet for sheet in sheets if sheet.welded]
    lows = [sheet.low for sheet in welds]
    highest: list[int] = []
    for sheet in welds:
        highest.append(max([sheet.high, *highest[-1:]]))
    for mark in sheets:
        if not mark.welded:
            before = bisect_left(lows, mark.high)
            if not before or highest[before - 1] <= mark.low:
                yield from mark.by


def _counting(there: list[_Sheet]) -> list[_Sheet]:
    """Return what counts of things that lie over each other: the last repair and what came after.

    A fault that was marked at the moment of the repair still counts.
    """
    repairs = [sheet.age for sheet in there if sheet.repair]
    return [sheet for sheet in there if sheet.age >= max(repairs)] if repairs else there
