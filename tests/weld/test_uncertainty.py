"""How well a width is known: the figures of the measurement guides, and scipy's opinion."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assistant.weld.limits import WidthLimits
from assistant.weld.uncertainty import (
    acceptance_in,
    chance_inside,
    chance_inside_rectangular,
    clears,
    guard_band_in,
    standard_uncertainty_in,
    uncertainty_ratio,
)

F = Fraction
SIXTEENTH, MM = F(1, 16), F(10, 254)
ONE_SIDED, EXPANDED = F(1645, 1000), F(2)


def limits(step=SIXTEENTH, edges=1, coverage=ONE_SIDED) -> WidthLimits:
    """Return one inch to one and a half (common practice, no source), read in some way."""
    return WidthLimits(F(1), F(3, 2), step, edges, coverage)


# u = d / sqrt(12): the GUM's rectangular rule (from memory); figures computed from it.
@pytest.mark.parametrize(
    ("step", "edges", "u", "expanded"),
    [
        (F(1, 16), 1, 0.01804, 0.0361),
        (F(1, 8), 1, 0.03608, 0.0722),
        (F(1, 32), 1, 0.00902, 0.01804),
        (MM, 1, 0.2887 / 25.4, 0.5774 / 25.4),
        (F(1, 16), 2, 0.0255, 0.0510),
    ],
)
def test_standard_uncertainty(step, edges, u, expanded):
    """A reading to the nearest mark is known to d / sqrt(12), and two edges to sqrt(2) of it."""
    assert standard_uncertainty_in(step, edges) == pytest.approx(u, abs=0.00002)
    assert 2 * standard_uncertainty_in(step, edges) == pytest.approx(expanded, abs=0.00006)


# Acceptance limits as JCGM 106 and ISO 14253-1 set them, 1.645 u and 2 u (both from memory).
@pytest.mark.parametrize(
    ("edges", "coverage", "low", "high"),
    [
        (1, ONE_SIDED, 1.030, 1.470),
        (1, EXPANDED, 1.036, 1.464),
        (2, ONE_SIDED, 1.042, 1.458),
        (2, EXPANDED, 1.051, 1.449),
    ],
)
def test_acceptance_limits(edges, coverage, low, high):
    """Limits of 1.0 and 1.5 in drawn in by the guard band; on a rule, 17/16 to 23/16."""
    read = limits(edges=edges, coverage=coverage)
    on_the_rule = [n for n in range(33) if clears(min(F(n, 16) - 1, F(3, 2) - F(n, 16)), read)]

    assert acceptance_in(read) == (pytest.approx(low, abs=0.0005), pytest.approx(high, abs=0.0005))
    assert on_the_rule == list(range(17, 24))


# P(true >= 1.0 in), normal with u 0.01804: computed from the normal distribution. The upper limit
# is too far away to count.
@pytest.mark.parametrize(
    ("width", "chance"), [(F(1), 0.500), (F(33, 32), 0.958), (F(17, 16), 0.9997)]
)
def test_chance_that_the_true_width_is_inside(width, chance):
    """At a limit every second true width is outside; a sixteenth inside nearly none is."""
    assert chance_inside(width, limits()) == pytest.approx(chance, abs=0.0006)


@pytest.mark.parametrize(
    ("width", "chance"), [(F(15, 16), 0), (F(1), F(1, 2)), (F(17, 16), 1), (F(3, 2), F(1, 2))]
)
def test_chance_by_half_marks(width, chance):
    """Taken as anywhere within half a mark, the chances are none, half and all."""
    assert chance_inside_rectangular(width, limits()) == chance


# Tolerance 0.5 in over 4 u, computed.
@pytest.mark.parametrize(("step", "ratio"), [(F(1, 16), 6.93), (F(1, 8), 3.46)])
def test_uncertainty_ratio(step, ratio):
    """Sixteenths are fine enough for half an inch of limits, eighths are not (4 is wanted)."""
    assert uncertainty_ratio(limits(step)) == pytest.approx(ratio, abs=0.005)


@given(
    st.fractions(0, 3),
    st.sampled_from([F(1, 64), F(1, 16), F(1, 8), MM]),
    st.integers(1, 2),
)
def test_chance_is_what_scipy_has(width, step, edges):
    """The chance from the error function is that of scipy's normal distribution."""
    norm = stats.norm(float(width), math.sqrt(edges / 12) * float(step))

    assert chance_inside(width, limits(step, edges)) == pytest.approx(
        norm.cdf(1.5) - norm.cdf(1.0), abs=1e-9
    )


@given(st.fractions(0, 1), st.sampled_from([F(1, 64), F(1, 16), F(1, 8)]), st.integers(1, 2))
def test_clearing_is_the_guard_band(margin, step, edges):
    """The exact comparison agrees with the guard band as a float, but at its very edge."""
    read = limits(step, edges)
    if abs(float(margin) - guard_band_in(read)) > 1e-12:
        assert clears(margin, read) is (float(margin) > guard_band_in(read))
