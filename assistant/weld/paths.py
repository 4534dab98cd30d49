"""The welding of each hand as one path, with its tests on it: what stands before and after each
foot. Imports ``work`` only; pure.

A hand's runs follow each other in time, and a foot is as good as the tests on either side of it
along that path. A test on scrap stands between two runs, by its time. A cut stands inside the run
that it was cut from, by its place, whenever it was cut. Inside, feet are whole numbers of a unit
that holds all of them exactly: a season is resolved in whole numbers, and not a foot is lost.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction
from itertools import groupby
from operator import attrgetter, itemgetter

from assistant.weld.work import Hand, Repair, Test, Weld, Work


class Ruler:
    """Turns exact feet into whole units and back."""

    def __init__(self, feet: Iterable[Fraction]) -> None:
        every = set(feet)
        self._scale = math.lcm(*{each.denominator for each in every}) if every else 1
        self._feet = {self.units(each): each for each in every}
        self.end = max(self._feet, default=0) + self._scale
        """Where a seam of unknown length ends: beyond every place that was told."""

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
        known = self._feet.get(units)
        return Fraction(units, self._scale) if known is None else known


@dataclass(frozen=True, slots=True)
class Bound:
    """A test on a path."""

    at: datetime
    passed: bool
    ids: tuple[str, ...]


@dataclass(slots=True)
class Layer:
    """A weld or a repair, in units."""

    of: Weld | Repair
    start: int
    stop: int
    """Less than ``start`` where it was welded that way round."""
    cuts: list[tuple[int | None, Test]] = field(default_factory=list)
    """Tests that were cut from it; None is a place that was not told."""

    @property
    def low(self) -> int:
        """Where it begins along its seam."""
        return min(self.start, self.stop)

    @property
    def high(self) -> int:
        """Where it ends along its seam."""
        return max(self.start, self.stop)


@dataclass(slots=True)
class Piece:
    """A part of a layer with no test inside it; ``start`` and ``stop`` as it was welded."""

    layer: Layer
    start: int
    stop: int
    before: Bound | None = None
    """The last test before it along the path."""
    after: Bound | None = None
    """The first test after it."""


Path = list[Piece | Bound]


@dataclass(slots=True)
class Paths:
    """What was welded, by hand and by seam."""

    ruler: Ruler
    by_hand: dict[Hand, Path]
    by_seam: dict[str, list[Layer]]
    unplaced: tuple[str, ...]
    """Ids of tests that could not be put anywhere: a cut where nothing was welded, or a pass cut
    nobody knows from which of several runs."""


def paths_of(work: Work, ruler: Ruler) -> Paths:
    """Return the path of each hand, in the order in which it welded."""
    by_seam: dict[str, list[Layer]] = {}
    for each in (*work.welds, *work.repairs):
        layer = Layer(each, ruler.units(each.from_ft), ruler.upto(each.to_ft))
        by_seam.setdefault(each.seam, []).append(layer)
    for layers in by_seam.values():
        layers.sort(key=lambda layer: (layer.low, layer.of.at, layer.of.id))
    unplaced, accusing = _place_cuts(work.tests, by_seam, ruler)
    scrap = [test for test in work.tests if test.seam is None and test.passed is not None]
    by_hand = _lined_up(by_seam, [*scrap, *accusing])
    return Paths(ruler, by_hand, by_seam, unplaced)


# ---- cuts


def _place_cuts(
    tests: Iterable[Test], by_seam: dict[str, list[Layer]], ruler: Ruler
) -> tuple[tuple[str, ...], list[Test]]:
    """Put every cut into its layers; return ids of those without one, and failed ones of them.

    A failed cut that has no place accuses its hand by its time, as a strip of scrap would.
    """
    unplaced: list[Test] = []
    cuts: dict[str, list[Test]] = {}
    for test in tests:
        if test.seam is not None and test.passed is not None:
            cuts.setdefault(test.seam, []).append(test)
    for seam, found in cuts.items():
        layers = by_seam.get(seam, [])
        reach = _Reach(layers)
        for test in found:
            place = None if test.at_ft is None else ruler.units(test.at_ft)
            here = layers if place is None else reach.at(place)
            owners = _owners(test, here, place)
            for layer in owners:
                layer.cuts.append((place, test))
            if not owners:
                unplaced.append(test)
    return tuple(sorted(test.id for test in unplaced)), [t for t in unplaced if not t.passed]


def _owners(test: Test, layers: Sequence[Layer], place: int | None) -> list[Layer]:
    """Return the layers that a cut speaks for: those that lay there when it was cut.

    A failed one speaks for all that lie over each other since the last repair, a passed one only
    for the newest; where the place was not told and there are several, it speaks for none.
    """
    there = [layer for layer in layers if layer.of.at <= test.at]
    repairs = [layer for layer in there if isinstance(layer.of, Repair)]
    if place is not None and repairs:
        last = max(repairs, key=_age)
        there = [layer for layer in there if _age(layer) >= _age(last)]
    if not test.passed or not there:
        return there
    if place is None:
        return there if len(there) == 1 else []
    return [max(there, key=_age)]


def _age(layer: Layer) -> tuple[datetime, bool, str]:
    return layer.of.at, isinstance(layer.of, Repair), layer.of.id


class _Reach:
    """Finds the layers at a place, of layers in the order of their beginnings."""

    def __init__(self, layers: Sequence[Layer]) -> None:
        self._layers = layers
        self._lows = [layer.low for layer in layers]
        self._highest: list[int] = []
        for layer in layers:
            self._highest.append(max([layer.high, *self._highest[-1:]]))

    def at(self, place: int) -> list[Layer]:
        """Return the layers over a place; where none goes on from it, those that end there."""
        found = []
        index = bisect_right(self._lows, place) - 1
        while index >= 0 and self._highest[index] >= place:
            if self._layers[index].high >= place:
                found.append(self._layers[index])
            index -= 1
        return [layer for layer in found if layer.high > place] or found


# ---- paths


def _lined_up(by_seam: dict[str, list[Layer]], scrap: list[Test]) -> dict[Hand, Path]:
    laid: dict[Hand, list[Layer]] = {}
    for layers in by_seam.values():
        for layer in layers:
            laid.setdefault(layer.of.set_up.hand, []).append(layer)
    tests: dict[Hand, list[Test]] = {}
    accused: dict[Hand, list[Hand]] = {}
    for test in scrap:
        hand = test.set_up.hand
        if test.passed:
            tests.setdefault(hand, []).append(test)
            continue
        if hand not in accused:
            accused[hand] = _may_be(hand, laid)
        for other in accused[hand]:
            tests.setdefault(other, []).append(test)
    return {hand: _path(layers, tests.get(hand, [])) for hand, layers in laid.items()}


def _may_be(hand: Hand, hands: Iterable[Hand]) -> list[Hand]:
    """Return all hands that this one may be, where a part of either was not stated."""
    return [
        other
        for other in hands
        if all(a is None or b is None or a == b for a, b in zip(hand, other, strict=True))
    ]


def _path(layers: list[Layer], tests: list[Test]) -> Path:
    tests.sort(key=attrgetter("at"))
    bounds = [_bound(list(same)) for _, same in groupby(tests, key=attrgetter("at"))]
    # At one instant a pass stands before the weld and a fail behind it: a tie proves nothing.
    rows: list[tuple[datetime, int, str, Layer | Bound]] = [
        (bound.at, 0 if bound.passed else 2, "", bound) for bound in bounds
    ]
    rows += [(layer.of.at, 1, layer.of.id, layer) for layer in layers]
    rows.sort(key=lambda row: row[:3])
    path: Path = []
    for *_, row in rows:
        if isinstance(row, Bound):
            path.append(row)
        else:
            path.extend(_cut_up(row))
    _look_round(path)
    return path


def _bound(tests: list[Test]) -> Bound:
    """Return tests of one instant, or of one place, as one: failed if any of them failed."""
    passed = all(test.passed for test in tests)
    named = sorted(test.id for test in tests if bool(test.passed) == passed)
    return Bound(max(test.at for test in tests), passed, tuple(named))


def _cut_up(layer: Layer) -> Iterator[Piece | Bound]:
    """Return a layer as pieces between its cuts, in the order in which it was welded."""
    if layer.start == layer.stop:
        return
    if not layer.cuts:
        yield Piece(layer, layer.start, layer.stop)
        return
    somewhere = [test for place, test in layer.cuts if place is None]
    if somewhere:
        yield from _cut_somewhere(layer, _bound(somewhere))
        return
    backward = layer.stop < layer.start
    cuts = [(place, test) for place, test in layer.cuts if place is not None]
    cuts.sort(key=itemgetter(0), reverse=backward)
    at = layer.start
    for place, same in groupby(cuts, key=itemgetter(0)):
        if place != at:
            yield Piece(layer, at, place)
        yield _bound([test for _, test in same])
        at = place
    if at != layer.stop:
        yield Piece(layer, at, layer.stop)


def _cut_somewhere(layer: Layer, bound: Bound) -> Iterator[Piece | Bound]:
    """A cut at a place that was not told: no foot may count on being on its good side."""
    failed = [test for _, test in layer.cuts if not test.passed]
    if failed:
        accused = _bound(failed)
        yield accused
        yield Piece(layer, layer.start, layer.stop)
        yield accused
    else:
        yield Piece(layer, layer.start, layer.stop)
        yield bound
        yield Piece(layer, layer.start, layer.stop)


def _look_round(path: Path) -> None:
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
