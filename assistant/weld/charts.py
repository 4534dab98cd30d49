"""Widths one after another: is the weld steady, and does it fit its limits?

Imports nothing of ours. Individuals and moving-range chart with two run rules, chosen so that a
crew is seldom alarmed for nothing, and capability against two limits. A chart judges no strip;
only its peel test does.
"""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

D2 = 1.128
"""Mean range of two normal values over their sigma, 2 / sqrt(pi), as tables of constants print it:
with more places the published examples come out otherwise."""
D4 = 3.267
"""Upper limit of a moving range over its mean, from the same tables."""
LEAST_POINTS = 20
"""Fewer make no limits. The limits of a chart come from all its points: from the first twenty
alone, simulation finds three times as many false alarms behind them."""
LEAST_DIFFERENT = 4
"""With fewer different readings the rule is too coarse to show how far the widths scatter."""
RUN = 9
"""So many points on one side of the mean are a signal."""
LATELY = 0.3
"""Weight of the newest point in the mean of late, as in the published example."""


class Rule(Enum):
    """Why a point is pointed at."""

    BEYOND = "outside the chart's limits"
    RUN = "one of many in a row on one side of the mean"


@dataclass(frozen=True, slots=True)
class Signal:
    """A point that chance alone would seldom make."""

    at: int
    """Its place; the first is 0."""
    rule: Rule


@dataclass(frozen=True, slots=True)
class Spread:
    """Where values lie and how far they scatter, in their unit."""

    mean: float
    range_mean: float
    """Mean of the distances from each value to the next."""

    @property
    def sigma(self) -> float:
        """Scatter from one value to the next: mean moving range / d2."""
        return self.range_mean / D2

    @property
    def upper(self) -> float:
        """Upper limit of the chart: mean + 3 sigma. It is no limit of the weld."""
        return self.mean + 3 * self.sigma

    @property
    def lower(self) -> float:
        """Lower limit of the chart: mean - 3 sigma."""
        return self.mean - 3 * self.sigma

    @property
    def range_upper(self) -> float:
        """Upper limit of the moving range: D4 times its mean."""
        return D4 * self.range_mean


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart with limits, and the points that it points at."""

    values: tuple[float, ...]
    spread: Spread
    signals: tuple[Signal, ...]
    lately: float
    """Mean in which newer values count more."""


class TooFew(Enum):
    """Why there are no limits."""

    POINTS = "too few widths"
    DIFFERENT = "too few different widths"


@dataclass(frozen=True, slots=True)
class Capability:
    """How well the scatter fits between two limits; 1 means that 3 sigma just fit."""

    cp: float
    """Limits' distance over 6 sigma: what it could be if the mean were in the middle."""
    cpk: float
    """Distance from the mean to the nearer limit over 3 sigma: what it is."""
    cpk_low: float
    cpk_high: float
    """About 95 % of such intervals hold the true value: twenty points leave it wide."""
    off_middle: float
    """Distance of the mean from the middle, over half the limits' distance."""


def spread_of(values: Sequence[float]) -> Spread:
    """Return mean and mean moving range (individuals chart, NIST e-Handbook 6.3.2.2).

    Raises:
        ValueError: there are fewer than two values.
    """
    if len(values) < 2:
        raise ValueError("a moving range needs two values")
    ranges = [abs(after - before) for before, after in itertools.pairwise(values)]
    return Spread(statistics.fmean(values), statistics.fmean(ranges))


def chart_of(values: Sequence[float]) -> Chart | TooFew:
    """Return the chart of values in the order in which they were made, or why there is none.

    The rounding of a rule hides scatter: where sigma is a quarter of its step, simulation finds
    only a third of it, so a set of few different values gets no limits.
    """
    if len(values) < LEAST_POINTS:
        return TooFew.POINTS
    spread = spread_of(values)
    if not spread.range_mean or len(set(values)) < LEAST_DIFFERENT:
        return TooFew.DIFFERENT
    return Chart(tuple(values), spread, signals(values, spread), mean_of_late(values)[-1])


def signals(values: Sequence[float], spread: Spread, run: int = RUN) -> tuple[Signal, ...]:
    """Return the points outside the limits, and each that makes a run of ``run`` on one side."""
    found = []
    side, length = 0, 0
    for at, value in enumerate(values):
        if not spread.lower <= value <= spread.upper:
            found.append(Signal(at, Rule.BEYOND))
        here = (value > spread.mean) - (value < spread.mean)
        length = length + 1 if here and here == side else abs(here)
        side = here
        if length == run:
            found.append(Signal(at, Rule.RUN))
    return tuple(found)


def points_between_false_alarms(run: int = RUN) -> float:
    """Return after how many points, on average, a steady weld is pointed at for nothing.

    For independent normal values whose limits are known: 217 with runs of nine. By simulation of
    40 points with limits from themselves it is about 280, and about 135 where the rule's step is as
    wide as sigma. With q the chance of one side within
    3 sigma, a run of k leaves E(k) = 1 + q E(k + 1) + q E(1) points to go, and E(run) = 0.
    """
    inside = math.erf(3 / math.sqrt(2))
    q = inside / 2
    steps = sum(q**power for power in range(run - 1))
    return 1 + inside * steps / (1 - q * steps)


def mean_of_late(
    values: Sequence[float], weight: float = LATELY, start: float | None = None
) -> tuple[float, ...]:
    """Return the exponentially weighted mean after each value (NIST e-Handbook 6.3.2.4).

    It starts from the first value unless ``start`` is given.
    """
    found = []
    mean = values[0] if start is None else start
    for value in values:
        mean = weight * value + (1 - weight) * mean
        found.append(mean)
    return tuple(found)


def capability(spread: Spread, points: int, least: float, most: float) -> Capability:
    """Return how the scatter of ``points`` values fits limits (NIST e-Handbook 6.1.6).

    The interval takes the variance of the mean as sigma**2 / n, and that of sigma from moving
    ranges as (2 pi / 3 + sqrt(3) - 3) sigma**2 / (n - 1), for many points.
    """
    half, sigma = (most - least) / 2, spread.sigma
    cpk = min(spread.mean - least, most - spread.mean) / (3 * sigma)
    ranges = 2 * math.pi / 3 + math.sqrt(3) - 3
    room = 1.96 * math.sqrt(1 / (9 * points) + cpk**2 * ranges / (points - 1))
    return Capability(
        cp=half / (3 * sigma),
        cpk=cpk,
        cpk_low=cpk - room,
        cpk_high=cpk + room,
        off_middle=abs((least + most) / 2 - spread.mean) / half,
    )
