"""How well a width is known from a rule, and what that does to its limits.

Imports the limits. Decisions are exact (``clears``); the figures to be shown are floats.
"""

from __future__ import annotations

import math
from fractions import Fraction

from assistant.weld.limits import WidthLimits


def variance_in2(step_in: Fraction, edges: int = 1) -> Fraction:
    """Return the variance of a reading, in square inches: edges * step**2 / 12.

    A reading to the nearest mark lies anywhere within half a step of it (rectangular, GUM
    4.3.7); edges read one by one add their variances. Not in it: the angle of the rule, choosing
    the edge of the bond, a stretched strip, a cut that is not square.
    """
    return edges * step_in**2 / 12


def standard_uncertainty_in(step_in: Fraction, edges: int = 1) -> float:
    """Return the standard uncertainty u of a reading, in inches."""
    return math.sqrt(variance_in2(step_in, edges))


def guard_band_in(limits: WidthLimits) -> float:
    """Return the guard band inside each limit, in inches: coverage * u (JCGM 106, 8.3)."""
    return float(limits.coverage) * standard_uncertainty_in(limits.rule_step_in, limits.edges)


def acceptance_in(limits: WidthLimits) -> tuple[float, float]:
    """Return the least and the most reading that is a plain pass; the first may be the larger."""
    band = guard_band_in(limits)
    return float(limits.least_in) + band, float(limits.most_in) - band


def clears(margin_in: Fraction, limits: WidthLimits) -> bool:
    """Tell whether a reading that far inside a limit is outside its guard band.

    margin >= coverage * u, compared as squares, so that it is exact. At the limit itself half of
    the true widths are on the wrong side, so a margin of nought never clears.
    """
    band_squared = limits.coverage**2 * variance_in2(limits.rule_step_in, limits.edges)
    return margin_in > 0 and margin_in**2 >= band_squared


def chance_inside(width_in: Fraction, limits: WidthLimits) -> float:
    """Return the chance that the true width is within both limits (JCGM 106, 7.4).

    The true width is taken as normal around the reading, with its standard uncertainty.
    """
    spread = standard_uncertainty_in(limits.rule_step_in, limits.edges) * math.sqrt(2)

    def below(limit_in: Fraction) -> float:
        return (1 + math.erf(float(limit_in - width_in) / spread)) / 2

    return max(below(limits.most_in) - below(limits.least_in), 0.0)


def chance_inside_rectangular(width_in: Fraction, limits: WidthLimits) -> Fraction:
    """Return the same where the true width is taken as anywhere within half a mark, exactly.

    For one edge: with two the spread is no longer rectangular.
    """
    half = limits.rule_step_in / 2
    low, high = width_in - half, width_in + half
    inside = min(high, limits.most_in) - max(low, limits.least_in)
    return max(inside, Fraction(0)) / (high - low)


def uncertainty_ratio(limits: WidthLimits) -> float:
    """Return how many times the limits' distance holds 4 u: under 4, the rule is coarse for them.

    The test uncertainty ratio of calibration practice.
    """
    u = standard_uncertainty_in(limits.rule_step_in, limits.edges)
    return float(limits.most_in - limits.least_in) / (4 * u)
