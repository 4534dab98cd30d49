"""What is proven of every welded foot. Pure and exact.

Imports ``work``, ``states``, ``paths`` and ``layers``.

The rule follows published practice for membrane liners, where a length is accepted only between two
passing tests, and tests are tracked by machine and operator
(https://dnrweblink.state.co.us/DRMSSearch/0/doc/973583/Page62.aspx): a foot is proven between two
passing tests of the hand that welded it; it waits while only the one before it is there; it is
suspect when the test on either side of it failed. A later pass on scrap clears only what comes
after it. Of welds that lie over each other the worse one counts, until a repair covers them.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from assistant.weld.layers import Found, Sheet, flattened, marks, off_the_welds
from assistant.weld.paths import Bound, Path, Paths, Piece, Ruler, laid_in, paths_of
from assistant.weld.states import Because, CoverRules, State, Stretch
from assistant.weld.work import Hand, Repair, Work


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


def resolve(work: Work, rules: CoverRules | None = None) -> Cover:
    """Return the state of every welded foot; the order of ``work`` makes no difference."""
    with _no_collecting():
        return _resolve(work, rules or CoverRules())


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Keep Python from looking for circles: none are made here, and for a season it looks long.

    Its search grows with all that is alive, so that the time for each weld would grow as well.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _resolve(work: Work, rules: CoverRules) -> Cover:
    ruler = _ruler(work, rules)
    paths = paths_of(work, ruler)
    sheets: dict[str, list[Sheet]] = {}
    repaired = _repaired(work, rules, ruler)
    for path in paths.by_hand.values():
        for piece, found in _between_tests(path):
            if isinstance(piece.of, Repair):
                found = repaired(piece.of, found)  # noqa: PLW2901 - the same, as a repair has it
            sheet = Sheet(piece.low, piece.high, found, piece.of)
            sheets.setdefault(piece.of.seam, []).append(sheet)
    for seam, mark in marks(work, rules, ruler):
        sheets.setdefault(seam, []).append(mark)
    stretches: list[Stretch] = []
    lost = set(paths.unplaced)
    for seam in sorted(sheets, key=seam_order):
        stretches.extend(_stretches(seam, sheets[seam], ruler))
        lost.update(off_the_welds(sheets[seam]))
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


def _between_tests(path: Path) -> Iterator[tuple[Piece, Found]]:
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


def _between(before: Bound | None, after: Bound | None) -> Found:
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


def _repaired(work: Work, rules: CoverRules, ruler: Ruler) -> Callable[[Repair, Found], Found]:
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

    def found(repair: Repair, as_weld: Found) -> Found:
        state, because, by = as_weld
        if state is State.WAITING:
            return State.REPAIRED, because, by
        if state is not State.PROVEN:
            return as_weld
        if rules.probe_repairs and not probed(repair):
            return State.REPAIRED, Because.NOT_PROBED, by
        return State.PROVEN_AGAIN, because, by

    return found


# ---- one seam


def _stretches(seam: str, sheets: list[Sheet], ruler: Ruler) -> Iterator[Stretch]:
    """Return a seam as stretches, in order, each foot once."""
    low = high = 0
    last: Sheet | None = None
    for start, stop, sheet in flattened(sheets):
        if last is not None and high == start and _alike(last, sheet):
            high = stop
            continue
        if last is not None:
            yield _stretch(seam, low, high, last, ruler)
        low, high, last = start, stop, sheet
    if last is not None:
        yield _stretch(seam, low, high, last, ruler)


def _alike(one: Sheet, other: Sheet) -> bool:
    return one.found == other.found and _hand(one) == _hand(other)


def _hand(sheet: Sheet) -> Hand:
    return (None, None) if sheet.of is None else sheet.of.set_up.hand


def _stretch(seam: str, low: int, high: int, sheet: Sheet, ruler: Ruler) -> Stretch:
    from_ft = ruler.feet(low)
    if from_ft is None:
        raise ValueError(f"seam {seam} has a stretch beyond its end")
    return Stretch(seam, from_ft, ruler.feet(high), *sheet.found, _hand(sheet))
