"""The welding of each hand as one path, with its tests on it. Imports ``work`` only; pure.

A hand's runs follow each other in time, and a foot is as good as the tests on either side of it
along that path. A test on scrap stands between two runs, by its time. A cut stands inside the run
that it was cut from, by its place, whenever it was cut. Inside, feet are whole numbers of a unit
that holds all of them exactly: a season is resolved in whole numbers, and not a foot is lost.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from itertools import groupby
from operator import attrgetter, itemgetter

from assistant.weld.work import Hand, Repair, StripTest, Weld, Work

BEYOND_FT = 10**9
"""Beyond the end of any seam."""


class Ruler:
    """Turns exact feet into whole units and back."""

    def __init__(self, feet: Sequence[Fraction]) -> None:
        self._scale = math.lcm(*{each.denominator for each in feet}) if feet else 1
        self._feet: dict[int, Fraction] = {}
        self.end = self._scale * BEYOND_FT
        """Where a seam of unknown length ends."""

    def units(self, feet: Fraction) -> int:
        """Return feet in units."""
        return feet.numerator * (self._scale // feet.denominator)

    def upto(self, feet: Fraction | None) -> int:
        """Return feet in units; None is the end."""
        return self.end if feet is None else self.units(feet)

    def feet(self, units: int) -> Fraction | None:
        """Return units in feet; the end of a seam of unknown length is None."""
        if units >= self.end:
            return None
        if units not in self._feet:  # a season has few lengths, and many of each
            self._feet[units] = Fraction(units, self._scale)
        return self._feet[units]


@dataclass(frozen=True, slots=True)
class Bound:
    """A test on a path."""

    at: datetime
    passed: bool
    ids: tuple[str, ...]


Laid = Weld | Repair
"""What is laid along a seam."""


@dataclass(slots=True)
class Piece:
    """A part of a weld or a repair with no test inside it, in units."""

    of: Laid
    low: int
    high: int
    backward: bool = False
    """It was welded from ``high`` to ``low``."""
    before: Bound | None = None
    """The last test before it along the path."""
    after: Bound | None = None
    """The first test after it."""


Path = list[Piece | Bound]


@dataclass(slots=True)
class Paths:
    """What was welded, by hand."""

    ruler: Ruler
    by_hand: dict[Hand, Path]
    unplaced: tuple[str, ...]
    """Ids of tests that could not be put anywhere: a cut where nothing was welded, or a pass cut
    nobody knows from which of several runs."""


_Cut = tuple[int | None, StripTest]
"""A test that was cut out of something, and where; None was not told."""
_Cuts = dict[str, list[_Cut]]
"""Cuts by the id of what they were cut from."""


def paths_of(work: Work, ruler: Ruler) -> Paths:
    """Return the path of each hand, in the order in which it welded."""
    cuts, unplaced, accusing = _place_cuts(work, ruler)
    laid: dict[Hand, list[Laid]] = {}
    for each in laid_in(work):
        laid.setdefault(each.set_up.hand, []).append(each)
    scrap = [test for test in work.tests if test.seam is None and test.passed is not None]
    tests = _by_hand([*scrap, *accusing], laid)
    by_hand = {hand: _path(mine, tests.get(hand, []), cuts, ruler) for hand, mine in laid.items()}
    return Paths(ruler, by_hand, unplaced)


def laid_in(work: Work) -> list[Laid]:
    """Return all welds and repairs."""
    return [*work.welds, *work.repairs]


# ---- cuts


def _place_cuts(work: Work, ruler: Ruler) -> tuple[_Cuts, tuple[str, ...], list[StripTest]]:
    """Put every cut where it was cut out; return ids of those without a place, and failed ones.

    A failed cut that has no place accuses its hand by its time, as a strip of scrap would.
    """
    tests = [test for test in work.tests if test.seam is not None and test.passed is not None]
    reaches = _reaches({test.seam for test in tests}, work, ruler)
    cuts: _Cuts = {}
    unplaced: list[StripTest] = []
    for test in tests:
        place = None if test.at_ft is None else ruler.units(test.at_ft)
        owners = _owners(test, reaches[str(test.seam)].at(place), place)
        for each in owners:
            cuts.setdefault(each.id, []).append((place, test))
        if not owners:
            unplaced.append(test)
    return cuts, tuple(sorted(test.id for test in unplaced)), [t for t in unplaced if not t.passed]


def _owners(test: StripTest, here: Sequence[Laid], place: int | None) -> list[Laid]:
    """Return the welds that a cut speaks for: those that lay there when it was cut.

    A failed one speaks for all that lie over each other since the last repair, a passed one only
    for the newest; where the place was not told and there are several, it speaks for none.
    """
    there = [each for each in here if each.at <= test.at]
    repairs = [_age(each) for each in there if isinstance(each, Repair)]
    if place is not None and repairs:
        last = max(repairs)
        there = [each for each in there if _age(each) >= last]
    if not test.passed or not there:
        return there
    if place is None:
        return there if len(there) == 1 else []
    return [max(there, key=_age)]


def _age(each: Laid) -> tuple[datetime, bool, str]:
    return each.at, isinstance(each, Repair), each.id


class _Reach:
    """Finds what lies at a place of one seam."""

    def __init__(self, spans: list[tuple[int, int, str, Laid]]) -> None:
        spans.sort(key=itemgetter(0, 1, 2))
        self._spans = spans
        self._lows = [low for low, *_ in spans]
        self._highest: list[int] = []
        for _, high, *_ in spans:
            self._highest.append(max([high, *self._highest[-1:]]))

    def at(self, place: int | None) -> list[Laid]:
        """Return what lies over a place; where nothing goes on from it, what ends there.

        None is a place that was not told: then all that lies along the seam.
        """
        if place is None:
            return [each for *_, each in self._spans]
        found = []
        index = bisect_right(self._lows, place) - 1
        while index >= 0 and self._highest[index] >= place:
            if self._spans[index][1] >= place:
                found.append(self._spans[index])
            index -= 1
        over = [span for span in found if span[1] > place] or found
        return [each for *_, each in over]


def _reaches(seams: Collection[str | None], work: Work, ruler: Ruler) -> dict[str, _Reach]:
    spans: dict[str, list[tuple[int, int, str, Laid]]] = {str(seam): [] for seam in seams}
    for each in laid_in(work):
        if each.seam in spans:
            low, high = sorted((ruler.units(each.from_ft), ruler.upto(each.to_ft)))
            spans[each.seam].append((low, high, each.id, each))
    return {seam: _Reach(found) for seam, found in spans.items()}


# ---- paths


def _by_hand(tests: Iterable[StripTest], hands: Iterable[Hand]) -> dict[Hand, list[StripTest]]:
    """Return the tests on each hand's path: its own, and failed ones that may be its own."""
    found: dict[Hand, list[StripTest]] = {}
    accused: dict[Hand, list[Hand]] = {}
    for test in tests:
        hand = test.set_up.hand
        if test.passed:
            found.setdefault(hand, []).append(test)
            continue
        if hand not in accused:
            accused[hand] = [other for other in hands if _may_be(hand, other)]
        for other in accused[hand]:
            found.setdefault(other, []).append(test)
    return found


def _may_be(hand: Hand, other: Hand) -> bool:
    """Tell whether two hands may be one, where a part of either was not stated."""
    return all(a is None or b is None or a == b for a, b in zip(hand, other, strict=True))


def _path(laid: list[Laid], tests: list[StripTest], cuts: _Cuts, ruler: Ruler) -> Path:
    tests.sort(key=attrgetter("at"))
    bounds = [_bound(list(same)) for _, same in groupby(tests, key=attrgetter("at"))]
    # At one instant a pass stands before the weld and a fail behind it: a tie proves nothing.
    rows: list[tuple[datetime, int, str, Laid | Bound]] = [
        (bound.at, 0 if bound.passed else 2, "", bound) for bound in bounds
    ]
    rows += [(each.at, 1, each.id, each) for each in laid]
    rows.sort(key=itemgetter(0, 1, 2))
    path: Path = []
    for *_, row in rows:
        if isinstance(row, Bound):
            path.append(row)
            continue
        start, stop = ruler.units(row.from_ft), ruler.upto(row.to_ft)
        piece = Piece(row, start, stop) if start <= stop else Piece(row, stop, start, True)
        if row.id in cuts:
            path.extend(_cut_up(piece, cuts[row.id]))
        elif start != stop:
            path.append(piece)
    _look_round(path)
    return path


def _bound(tests: list[StripTest]) -> Bound:
    """Return tests of one instant, or of one place, as one: failed if any of them failed."""
    passed = all(test.passed for test in tests)
    named = sorted(test.id for test in tests if bool(test.passed) == passed)
    return Bound(max(test.at for test in tests), passed, tuple(named))


def _cut_up(whole: Piece, cuts: list[_Cut]) -> Iterator[Piece | Bound]:
    """Return a weld as pieces between its cuts, in the order in which it was welded."""
    if any(place is None for place, _ in cuts):
        yield from _cut_somewhere(whole, [test for _, test in cuts])
        return
    placed = sorted(((place, test) for place, test in cuts if place is not None), key=itemgetter(0))
    rows: list[Piece | Bound] = []
    at = whole.low
    for place, same in groupby(placed, key=itemgetter(0)):
        if place != at:
            rows.append(Piece(whole.of, at, place, whole.backward))
        rows.append(_bound([test for _, test in same]))
        at = place
    if at != whole.high:
        rows.append(Piece(whole.of, at, whole.high, whole.backward))
    yield from reversed(rows) if whole.backward else rows


def _cut_somewhere(whole: Piece, cuts: list[StripTest]) -> Iterator[Piece | Bound]:
    """Cut at a place that was not told: no foot may count on being on its good side."""
    bound = _bound(cuts)
    if not bound.passed:
        yield bound
    yield replace(whole)
    yield bound
    if bound.passed:
        yield replace(whole)


def _look_round(path: Path) -> None:
    """Tell every piece which tests stand on either side of it."""
    last: Bound | None = None
    for row in path:
        if isinstance(row, Bound):
            last = row
        else:
            row.before = last
    last = None
    for row in reversed(path):
        if isinstance(row, Bound):
            last = row
        else:
            row.after = last
