"""What lies over a seam, weld on weld and mark on weld, and which of it counts at each place.

Imports ``work``, ``states`` and ``paths``; pure. The work of ``seams``, which alone uses it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from itertools import pairwise
from operator import attrgetter

from assistant.weld.paths import Laid, Ruler
from assistant.weld.states import RANK, Because, CoverRules, State
from assistant.weld.work import Repair, Work

Found = tuple[State, Because, tuple[str, ...]]
"""What a foot is, why, and by which tests or marks."""
_Age = tuple[datetime, int, str]


@dataclass(slots=True)
class Sheet:
    """Something that lies over a length of seam, in units."""

    low: int
    high: int
    found: Found
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
        return RANK[self.found[0]], self.age


def marks(work: Work, rules: CoverRules, ruler: Ruler) -> Iterator[tuple[str, Sheet]]:
    """Return what is known to need repair, over each seam."""

    def mark(low: int, high: int, at: datetime, by: str, because: Because) -> Sheet:
        return Sheet(low, high, (State.TO_REPAIR, because, (by,)), None, at)

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


def flattened(sheets: list[Sheet]) -> Iterator[tuple[int, int, Sheet]]:
    """Return the sheet that counts for every welded length, from low to high."""
    sheets.sort(key=attrgetter("low", "high"))
    if all(one.high <= two.low for one, two in pairwise(sheets)):
        yield from ((sheet.low, sheet.high, sheet) for sheet in sheets if sheet.of)
        return
    edges = sorted({edge for sheet in sheets for edge in (sheet.low, sheet.high)})
    waiting = 0
    there: list[Sheet] = []
    for start, stop in pairwise(edges):
        there = [sheet for sheet in there if sheet.high > start]
        while waiting < len(sheets) and sheets[waiting].low <= start:
            if sheets[waiting].high > start:
                there.append(sheets[waiting])
            waiting += 1
        counting = _counting(there)
        if any(sheet.of for sheet in there):
            yield start, stop, min(counting, key=lambda sheet: sheet.badness)


def off_the_welds(sheets: list[Sheet]) -> Iterator[str]:
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


def _counting(there: list[Sheet]) -> list[Sheet]:
    """Return what counts of things that lie over each other: the last repair and what came after.

    A fault that was marked at the moment of the repair still counts.
    """
    repairs = [sheet.age for sheet in there if isinstance(sheet.of, Repair)]
    if not repairs:
        return there
    last = max(repairs)
    return [sheet for sheet in there if sheet.age >= last]
