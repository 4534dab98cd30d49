"""How often strips pass, and how much a row of passes proves. Imports nothing of ours.

Strips from one set-up are not independent of each other, so every figure here is the best that
they could prove. What a strip that was cut because another failed tells is not counted.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist

CONFIDENCE = 0.95
LEAST_STRIPS = 5
"""With fewer, an interval holds nearly everything, and a percentage would only mislead."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A share between 0 and 1, from and to."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class PassRate:
    """How many of the strips that count have passed."""

    passed: int
    count: int

    @property
    def enough(self) -> bool:
        """There are enough to name a rate."""
        return self.count >= LEAST_STRIPS

    @property
    def wilson(self) -> Interval:
        """The interval that is right on average."""
        return wilson(self.passed, self.count)

    @property
    def exact(self) -> Interval:
        """The interval that is never too narrow."""
        return clopper_pearson(self.passed, self.count)


def wilson(passed: int, count: int, confidence: float = CONFIDENCE) -> Interval:
    """Return the score interval for a share (Wilson 1927, without correction for continuity)."""
    _check(passed, count)
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share, weight = passed / count, z * z / count
    middle = share + weight / 2
    reach = z * math.sqrt(share * (1 - share) / count + weight / (4 * count))
    low, high = ((middle + sign * reach) / (1 + weight) for sign in (-1, 1))
    return Interval(0.0 if passed == 0 else low, 1.0 if passed == count else high)


def clopper_pearson(passed: int, count: int, confidence: float = CONFIDENCE) -> Interval:
    """Return the exact interval for a share, from quantiles of the beta distribution."""
    _check(passed, count)
    from scipy.special import betaincinv  # noqa: PLC0415 - slow to load, and seldom needed

    tail = (1 - confidence) / 2
    low = betaincinv(passed, count - passed + 1, tail) if passed else 0.0
    high = betaincinv(passed + 1, count - passed, 1 - tail) if passed < count else 1.0
    return Interval(float(low), float(high))


def proven_by_row(passes: int, confidence: float = CONFIDENCE) -> float:
    """Return the least share of passes that a row without a fail proves: (1 - C) ** (1 / n)."""
    if passes < 0:
        raise ValueError("a row cannot be shorter than nothing")
    return (1 - confidence) ** (1 / passes) if passes else 0.0


def row_needed(share: float, confidence: float = CONFIDENCE) -> int:
    """Return how many passes in a row prove a share: the least n with share ** n <= 1 - C."""
    if not (0 < share < 1 and 0 < confidence < 1):
        raise ValueError("a share and a confidence lie between 0 and 1")
    needed = math.ceil(math.log(1 - confidence) / math.log(share))
    # Logarithms are rounded; where they come out whole, the powers themselves decide.
    while share**needed > 1 - confidence:
        needed += 1
    while needed > 1 and share ** (needed - 1) <= 1 - confidence:
        needed -= 1
    return needed


def routine(strips: Iterable[tuple[Hashable, bool]]) -> tuple[bool, ...]:
    """Return the results that count, of (set-up, passed) in order of time.

    A strip that follows a fail of the same set-up was cut because of it, so it does not count;
    with it the set-up is clear again once it passes.
    """
    failed: set[Hashable] = set()
    found = []
    for set_up, passed in strips:
        if set_up not in failed:
            found.append(passed)
        if passed:
            failed.discard(set_up)
        else:
            failed.add(set_up)
    return tuple(found)


def pass_rate(results: Sequence[bool]) -> PassRate:
    """Count results."""
    return PassRate(sum(results), len(results))


def row_at_end(results: Sequence[bool]) -> int:
    """Return how many of the last results in a row have passed."""
    row = 0
    for passed in reversed(results):
        if not passed:
            break
        row += 1
    return row


def _check(passed: int, count: int) -> None:
    if count < 1 or not 0 <= passed <= count:
        raise ValueError("there must be at least one strip, and no more passes than strips")
