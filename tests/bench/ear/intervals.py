"""How far a share that was counted may lie from the true one."""

from __future__ import annotations

import math

Z95 = 1.959964
"""Standard deviations within which a normal variable stays in 95 of 100 cases."""


def wilson(hits: int, of: int, z: float = Z95) -> tuple[float, float]:
    """Return the 95 % score interval of a share, from 0 to 1; (0, 1) where nothing was counted.

    Source: E. B. Wilson, "Probable inference, the law of succession, and statistical inference",
    Journal of the American Statistical Association 22 (1927), 209-212.
    """
    if of == 0:
        return 0.0, 1.0
    share, weight = hits / of, z * z / of
    middle = (share + weight / 2) / (1 + weight)
    reach = z / (1 + weight) * math.sqrt(share * (1 - share) / of + weight / (4 * of))
    return max(0.0, middle - reach), min(1.0, middle + reach)


def most_an_hour(events: int, hours: float) -> float:
    """Return the 95 % upper bound of a rate, events being Poisson (one-sided, by bisection).

    Source: F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28 (1936),
    437-442. For no event it is the "rule of three": -ln 0.05 = 3.0 in the time looked at.
    """
    low, high = 0.0, 20.0 + 4.0 * events
    for _ in range(60):
        middle = (low + high) / 2
        chance = sum(
            math.exp(-middle + k * math.log(middle) - math.lgamma(k + 1)) for k in range(events + 1)
        )
        low, high = (middle, high) if chance > 0.05 else (low, middle)
    return high / hours
