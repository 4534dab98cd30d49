"""What the strips of a record add up to: pass rates and charts, for each welder and gun.

Imports ``strips``, ``widths``, ``run_chart`` and ``weld``; pure. Everything is told with how little
it proves, and nothing is drawn or named where there are too few strips for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from assistant.review.run_chart import Drawing, drawing
from assistant.review.strips import Strip
from assistant.review.widths import decimal
from assistant.weld import charts, rates
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import FailureMode
from assistant.weld.verdict import FAILING, PASSING

_PASSED = {outcome.value for outcome in PASSING}
_FAILED = {outcome.value for outcome in FAILING}
_TORN = {FailureMode.FILM_TEARING.value, FailureMode.AT_SCRIM.value}
"""Only here is the width that of a bond which held."""
_CLAIM = 0.95

CAVEAT = (
    "Strips of one set-up are not independent of each other, so these figures tell the most that "
    "the strips could prove. They judge no strip and no seam."
)
_NOTHING = {
    charts.TooFew.POINTS: "Too few widths for a chart: {count} of at least {least}.",
    charts.TooFew.DIFFERENT: "The {count} widths are too alike, as read on this rule, for a chart.",
}
_RULES = {
    charts.Rule.BEYOND: "outside what the other widths would let expect",
    charts.Rule.RUN: f"the {charts.RUN}th in a row on one side of the mean",
}


@dataclass(frozen=True, slots=True)
class Figures:
    """What the strips of one welder with one gun and one pair of limits add up to."""

    welder: str | None
    gun: str | None
    told: tuple[str, ...]
    """Sentences with figures, the pass rate first."""
    drawing: Drawing | None
    """The chart, where there are enough widths."""


def figures(strips: Iterable[Strip]) -> tuple[Figures, ...]:
    """Return the figures of each welder, gun and pair of limits, in order of appearance."""
    groups: dict[tuple[str | None, str | None, WidthLimits | None], list[Strip]] = {}
    for strip in sorted(strips, key=lambda strip: strip.line):
        groups.setdefault((strip.welder, strip.gun, strip.limits), []).append(strip)
    return tuple(_figures(*key, group) for key, group in groups.items())


def _figures(
    welder: str | None, gun: str | None, limits: WidthLimits | None, strips: Sequence[Strip]
) -> Figures:
    judged = [
        ((welder, gun), strip.outcome in _PASSED)
        for strip in strips
        if strip.outcome in _PASSED | _FAILED
    ]
    told = list(_rate(judged))
    measured = [strip for strip in strips if strip.width_in is not None and strip.mode in _TORN]
    widths = [float(strip.width_in) for strip in measured if strip.width_in is not None]
    chart = charts.chart_of(widths)
    if isinstance(chart, charts.TooFew):
        why = _NOTHING[chart].format(count=len(widths), least=charts.LEAST_POINTS)
        return Figures(welder, gun, (*told, why), None)
    told += _chart(chart, measured, limits)
    return Figures(welder, gun, tuple(told), drawing(chart, limits))


def _rate(judged: Sequence[tuple[tuple[str | None, str | None], bool]]) -> Iterable[str]:
    counted = rates.routine(judged)
    rate, left_out = rates.pass_rate(counted), len(judged) - len(counted)
    beside = f" Not counted, for they followed a fail: {left_out}." if left_out else ""
    yield f"{_strips(rate.count)}, {rate.passed} passed.{beside}"
    if rate.enough:
        near, exact = rate.wilson, rate.exact
        yield (
            f"That is {round(100 * rate.passed / rate.count)} %: with 95 % confidence between "
            f"{_percent(near)} (the exact interval: {_percent(exact)})."
        )
    else:
        yield f"Too few for a rate: {rate.count} of at least {rates.LEAST_STRIPS}."
    row = rates.row_at_end(counted)
    if row:
        proven = math.floor(100 * rates.proven_by_row(row))
        last = "The last one passed" if row == 1 else f"The last {row} in a row passed"
        yield (
            f"{last}, which proves that at least {proven} % do. To prove "
            f"{round(100 * _CLAIM)} % it takes {rates.row_needed(_CLAIM)} in a row."
        )


def _strips(count: int) -> str:
    return "1 strip counts" if count == 1 else f"{count} strips count"


def _percent(interval: rates.Interval) -> str:
    """Return an interval in whole percent, rounded outward."""
    low, high = math.floor(100 * interval.low), math.ceil(100 * interval.high)
    return f"{low} and {high} %"


def _chart(
    chart: charts.Chart, strips: Sequence[Strip], limits: WidthLimits | None
) -> Iterable[str]:
    spread = chart.spread
    yield (
        f"The {len(chart.values)} widths are {_inches(spread.mean)} on average, of late "
        f"{_inches(chart.lately)}; as they scatter, nearly all lie between "
        f"{_inches(spread.lower)} and {_inches(spread.upper)}."
    )
    if limits is not None and limits.least_in < limits.most_in:
        fit = charts.capability(
            spread, len(chart.values), float(limits.least_in), float(limits.most_in)
        )
        yield (
            f"Against what is allowed that is a Cpk of {fit.cpk:.2f} (95 %: {fit.cpk_low:.2f} to "
            f"{fit.cpk_high:.2f}). At 1 it just fits; at less, some will fall outside."
        )
    for signal in chart.signals:
        yield f"Strip {signal.at + 1}, {strips[signal.at].when:%H:%M}: {_RULES[signal.rule]}."
    every = round(charts.points_between_false_alarms(), -1)
    stands = "" if chart.signals else "No width stands out. "
    yield (
        f"{stands}A steady weld has one that stands out by chance in about {every:.0f}, or in "
        "half as many where the rule is coarse beside the scatter."
    )


def _inches(value: float) -> str:
    return f"{decimal(max(Fraction(value), Fraction(0)), 2)} in"
