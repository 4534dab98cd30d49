"""A chart of widths one after another, and of their steps: the geometry alone.

Imports ``widths`` and ``weld``; pure. The page draws it, in black, so that it reads in print and
without colour: what is allowed is striped, as beside each strip.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from assistant.review.widths import decimal, inches
from assistant.weld.charts import Chart
from assistant.weld.limits import WidthLimits

WIDE = 640
_LEFT, _RIGHT = 84, 624
_TOP, _BOTTOM = 16, 296
_RANGE_TOP, _RANGE_BOTTOM = 336, 436
_LABEL_WIDE = 48
_ROOM = 0.08
"""Share of the height that is left free above and below."""


@dataclass(frozen=True, slots=True)
class Level:
    """A line across the chart."""

    y: int
    label: str


@dataclass(frozen=True, slots=True)
class Point:
    """One width."""

    x: int
    y: int
    stands_out: bool
    label: str
    """Its number, where it stands out and there is room for it, else empty."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """Where everything stands, in units of a drawing 640 wide."""

    left: int
    right: int
    top: int
    bottom: int
    allowed: tuple[int, int] | None
    """Top and bottom of the striped field, or None without limits."""
    mean: Level
    expected: tuple[Level, Level]
    """Upper and lower limit of the chart."""
    ticks: tuple[Level, ...]
    points: tuple[Point, ...]
    range_top: int
    range_bottom: int
    steps: tuple[Point, ...]
    """The distance of each width from the one before."""
    range_limit: Level
    told: str
    """The same in words, for those who do not see it."""


def drawing(chart: Chart, limits: WidthLimits | None) -> Drawing:
    """Return the drawing of a chart, with the limits of the weld where they are known."""
    spread = chart.spread
    allowed = (float(limits.least_in), float(limits.most_in)) if limits else ()
    shown = [*chart.values, spread.lower, spread.upper, *allowed]
    up = _scale(min(shown), max(shown), _TOP, _BOTTOM)
    steps = [abs(after - before) for before, after in itertools.pairwise(chart.values)]
    range_up = _scale(0, max(*steps, spread.range_upper), _RANGE_TOP, _RANGE_BOTTOM)
    across = _across(len(chart.values))
    return Drawing(
        left=_LEFT,
        right=_RIGHT,
        top=_TOP,
        bottom=_BOTTOM,
        allowed=(up(allowed[1]), up(allowed[0])) if allowed else None,
        mean=Level(up(spread.mean), _label(spread.mean)),
        expected=(
            Level(up(spread.upper), _label(spread.upper)),
            Level(up(spread.lower), _label(spread.lower)),
        ),
        ticks=tuple(Level(up(value), inches(Fraction(value))) for value in _quarters(shown)),
        points=_points(chart, across, up),
        range_top=_RANGE_TOP,
        range_bottom=_RANGE_BOTTOM,
        steps=tuple(
            Point(across[at], range_up(step), step > spread.range_upper, "")
            for at, step in enumerate(steps, 1)
        ),
        range_limit=Level(range_up(spread.range_upper), _label(spread.range_upper)),
        told=_told(chart, limits),
    )


def _points(chart: Chart, across: Sequence[int], up: Callable[[float], int]) -> tuple[Point, ...]:
    out = {signal.at for signal in chart.signals}
    found = []
    free_from = 0
    for at, value in enumerate(chart.values):
        label = str(at + 1) if at in out and across[at] >= free_from else ""
        if label:
            free_from = across[at] + _LABEL_WIDE
        found.append(Point(across[at], up(value), at in out, label))
    return tuple(found)


def _scale(low: float, high: float, top: int, bottom: int) -> Callable[[float], int]:
    """Return where a value stands between top and bottom; more is higher up."""
    room = (high - low) * _ROOM or 1.0
    # A distance has no room below nought.
    floor = low - room if low else low
    span = high + room - floor

    def place(value: float) -> int:
        return bottom - round((value - floor) / span * (bottom - top))

    return place


def _across(count: int) -> list[int]:
    step = (_RIGHT - _LEFT) / (count + 1)
    return [round(_LEFT + step * (at + 1)) for at in range(count)]


def _quarters(values: Sequence[float]) -> list[float]:
    """Return the quarter inches between the least and the greatest, or halves where many."""
    low, high = min(values), max(values)
    step = 0.25 if high - low <= 2 else 0.5
    return [number * step for number in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _label(value: float) -> str:
    return decimal(max(Fraction(value), Fraction(0)), 2)


def _told(chart: Chart, limits: WidthLimits | None) -> str:
    spread, out = chart.spread, sorted({signal.at + 1 for signal in chart.signals})
    allowed = (
        f"; allowed is {inches(limits.least_in)} to {inches(limits.most_in)}" if limits else ""
    )
    which = ", ".join(map(str, out))
    standing = f"strips that stand out: {which}" if out else "none stands out"
    return (
        f"{len(chart.values)} widths in order, mean {_label(spread.mean)} in, expected from "
        f"{_label(spread.lower)} to {_label(spread.upper)} in{allowed}; {standing}"
    )
