"""The chart of widths: published examples, simulation, and what statsmodels makes of it."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.weld.charts import (
    LEAST_POINTS,
    RUN,
    Chart,
    Rule,
    Signal,
    TooFew,
    capability,
    chart_of,
    mean_of_late,
    points_between_false_alarms,
    signals,
    spread_of,
)

# NIST e-Handbook 6.3.2.2, https://www.itl.nist.gov/div898/handbook/pmc/section3/pmc322.htm
HANDBOOK = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
# NIST e-Handbook 6.3.2.4, weight 0.3, started from 50.
EWMA = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *HANDBOOK]
EWMA_ANSWERS = [
    *(50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33),
    *(50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99),
]
SIXTEENTHS = [20, 19, 21, 20, 18, 22, 20, 21, 19, 20]
STEADY = [20.0, 21, 19, 20, 22, 18, 21, 20, 19, 20] * 2


# ---- published examples


def test_individuals_chart_of_the_handbook():
    """Mean, mean range and limits are those that the handbook prints."""
    found = spread_of(HANDBOOK)

    assert found.mean == pytest.approx(50.81, abs=5e-5)
    assert found.range_mean == pytest.approx(1.8778, abs=5e-5)
    assert found.upper == pytest.approx(55.8041, abs=1e-4)
    assert found.lower == pytest.approx(45.8159, abs=1e-4)
    assert found.range_upper == pytest.approx(6.1349, abs=1e-3)


def test_weighted_mean_of_the_handbook():
    """The mean of late runs through the handbook's twenty values, to the places it prints."""
    assert mean_of_late(EWMA, 0.3, 50) == pytest.approx(EWMA_ANSWERS, abs=0.00501)


def test_means_of_large_numbers():
    """Values that differ only in their last figure keep it (NIST StRD NumAcc1, certified)."""
    found = spread_of([10000001, 10000003, 10000002])

    assert (found.mean, found.range_mean) == (10000002, 1.5)


def test_capability_of_the_handbook():
    """Limits 8 and 20, mean 16, s 2 (NIST e-Handbook 6.1.6)."""
    found = capability(spread(16, 2), 100, 8, 20)

    assert found.cp == pytest.approx(1.0)
    assert found.cpk == pytest.approx(0.6667, abs=5e-5)
    assert found.off_middle == pytest.approx(0.3333, abs=5e-5)


def spread(mean, sigma):
    """Return a spread with this mean and sigma."""
    found = spread_of([mean, mean + 1.128 * sigma])
    return type(found)(mean, found.range_mean)


# Computed for limits of 1.0 and 1.5 in (common practice, no source) and s of a sixteenth.
@pytest.mark.parametrize(("mean", "cpk"), [(1.25, 1.3333), (19 / 16, 1.0)])
def test_capability_of_welds(mean, cpk):
    """A sixteenth of scatter fits the limits from the middle, and just fits a sixteenth off it."""
    assert capability(spread(mean, 1 / 16), 30, 1.0, 1.5).cpk == pytest.approx(cpk, abs=5e-5)


def test_widths_in_sixteenths():
    """Ten widths in sixteenths, computed: 20 on average, chart limits 15.271 and 24.729."""
    found = spread_of(SIXTEENTHS)

    assert found.mean == 20
    assert found.range_mean == pytest.approx(1.7778, abs=5e-5)
    assert found.sigma == pytest.approx(1.576, abs=5e-4)
    assert found.upper == pytest.approx(24.729, abs=1e-3)
    assert found.lower == pytest.approx(15.271, abs=1e-3)
    assert found.range_upper == pytest.approx(5.808, abs=1e-3)


# ---- when there is a chart


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ([], TooFew.POINTS),
        (STEADY[: LEAST_POINTS - 1], TooFew.POINTS),
        ([20.0] * 30, TooFew.DIFFERENT),
        ([20.0, 21.0, 22.0] * 10, TooFew.DIFFERENT),
    ],
)
def test_too_little_to_draw_limits(values, why):
    """Too few points, or too few different ones, make no limits and say which it is."""
    assert chart_of(values) is why


def test_enough_points_make_a_chart():
    """Twenty widths that differ enough have limits, and steady ones no signal."""
    found = chart_of(STEADY)

    assert isinstance(found, Chart)
    assert found.spread == spread_of(STEADY)
    assert found.signals == ()
    assert found.lately == pytest.approx(mean_of_late(STEADY)[-1])


# ---- run rules

UNIT = spread(0, 1)


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ([3.0, -3.0], []),
        ([0.5, 3.01], [Signal(1, Rule.BEYOND)]),
        ([-3.01], [Signal(0, Rule.BEYOND)]),
        ([0.1] * 8, []),
        ([0.1] * 9, [Signal(8, Rule.RUN)]),
        ([0.1] * 15, [Signal(8, Rule.RUN)]),  # told once
        ([-0.1] * 9, [Signal(8, Rule.RUN)]),
        ([*[0.1] * 8, -0.1, *[0.1] * 8], []),
        ([*[0.1] * 8, 0.0, *[0.1] * 8], []),  # on the mean is on no side
        ([0.1] * 8 + [3.5], [Signal(8, Rule.BEYOND), Signal(8, Rule.RUN)]),
    ],
)
def test_signals(values, found):
    """Outside three sigma, and nine in a row on one side: nothing else is a signal."""
    assert list(signals(values, UNIT)) == found


@given(st.lists(st.floats(-10, 10), min_size=1), st.floats(-100, 100), st.floats(0.1, 50))
def test_signals_do_not_depend_on_the_unit(values, shift, scale):
    """The same widths in millimetres are pointed at in the same places, but for rounding."""
    away = min((abs(abs(value) - edge) for value in values for edge in (0, 3)), default=1)
    if away > 1e-6:
        moved = [value * scale + shift for value in values]

        assert signals(moved, spread(shift, scale)) == signals(values, UNIT)


# ---- false alarms


# Mean run lengths from the literature (from memory), for rule 1 alone and with runs of eight.
@pytest.mark.parametrize(("run", "points"), [(1000, 370.4), (8, 152.7)])
def test_false_alarms_against_the_literature(run, points):
    """The closed form gives the run lengths that are published."""
    assert points_between_false_alarms(run) == pytest.approx(points, abs=0.06)


def test_false_alarms_by_simulation():
    """A steady weld with known limits is pointed at about once in 217 points."""
    source = np.random.default_rng(20)
    lengths = []
    for _ in range(1500):
        side = length = count = 0
        while True:
            value = source.normal(0, 1)
            count += 1
            here = 1 if value > 0 else -1
            length = length + 1 if here == side else 1
            side = here
            if abs(value) > 3 or length == RUN:
                break
        lengths.append(count)
    error = statistics.stdev(lengths) / math.sqrt(len(lengths))

    assert points_between_false_alarms() == pytest.approx(216.7, abs=0.05)
    assert abs(statistics.mean(lengths) - points_between_false_alarms()) < 4 * error


@pytest.mark.parametrize(("step", "least", "most"), [(0, 200, 400), (1.0, 100, 190)])
def test_false_alarms_of_charts_as_they_are_made(step, least, most):
    """With limits from forty widths themselves, and a coarse rule, false alarms stay few."""
    source = np.random.default_rng(7)
    found = 0
    for _ in range(1200):
        middle = source.random()
        widths = [source.normal(20 + middle, 1) for _ in range(40)]
        if step:
            widths = [round(width / step) * step for width in widths]
        found += len(signals(widths, spread_of(widths)))

    assert least < 1200 * 40 / found < most


# ---- what capability is worth


def test_the_interval_of_capability_holds_what_it_says():
    """About 95 of 100 intervals hold the true value, which is 1 here."""
    source = np.random.default_rng(3)
    held = 0
    for _ in range(2000):
        found = spread_of([source.normal(0, 1) for _ in range(30)])
        at = capability(found, 30, -3, 3.0001)
        held += at.cpk_low <= 1.0 <= at.cpk_high

    assert 0.90 < held / 2000 < 0.98


@given(
    st.floats(-5, 5), st.floats(0.01, 5), st.integers(20, 400), st.floats(-20, 0), st.floats(1, 20)
)
def test_capability_keeps_its_order(mean, sigma, points, least, most):
    """What it is never exceeds what it could be, and lies inside its interval."""
    found = capability(spread(mean, sigma), points, least, most)

    assert found.cpk <= found.cp + 1e-9
    assert found.cpk_low <= found.cpk <= found.cpk_high


# ---- second opinions


def test_weighted_mean_is_that_of_statsmodels():
    """Simple exponential smoothing of statsmodels runs through the same values."""
    api = pytest.importorskip("statsmodels.tsa.api", reason="statsmodels is not installed")
    fit = api.SimpleExpSmoothing(EWMA, initialization_method="known", initial_level=50).fit(
        smoothing_level=0.3, optimized=False
    )

    assert mean_of_late(EWMA, 0.3, 50) == pytest.approx(list(fit.level), abs=1e-9)


def test_side_runs_are_those_of_a_plain_count():
    """Runs agree with a slow count over every window of nine."""
    source = np.random.default_rng(5)
    values = [source.normal(0.4, 1) for _ in range(300)]
    windows = [values[at - RUN + 1 : at + 1] for at in range(RUN - 1, len(values))]
    ends = {
        at + RUN - 1
        for at, window in enumerate(windows)
        if all(value > 0 for value in window) or all(value < 0 for value in window)
    }
    first = {end for end in ends if end - 1 not in ends}

    assert {found.at for found in signals(values, UNIT) if found.rule is Rule.RUN} == first
