"""From what dev clips were taken for to how far the ear is to be believed. Pure; needs numpy.

``calibrate.py`` hears the clips and prints what these functions find.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Vector = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Taken:
    """What one utterance was taken for."""

    group: str
    level: str
    """Decibels of voice over noise, or what else was done to it."""
    said: bool
    """False for noise and talk: nothing of it may be accepted."""
    needs: str
    """``value`` or ``answer``: which threshold it must pass; ``never`` if it only makes Lapcall
    ask; ``none`` for what is obeyed at any confidence; ``shut`` if no speech was found."""
    right: bool
    share: float
    """What the opinion is sure of, before calibration."""

    def outcome(self, least: float) -> str:
        """Return right, wrong or asked, if a share of at least ``least`` is accepted."""
        if self.needs in ("never", "shut"):
            return "right" if self.right else "asked"
        if self.needs != "none" and self.share < least:
            return "asked"
        return "right" if self.right else "wrong"


def logits(shares: Iterable[float]) -> Vector:
    """Return log odds; shares are kept a millionth away from 0 and 1, as the product does."""
    kept = np.clip(np.asarray(list(shares), np.float64), 1e-6, 1 - 1e-6)
    odds: Vector = np.log(kept / (1 - kept))
    return odds


def fitted(shares: Sequence[float], right: Sequence[bool]) -> tuple[float, float]:
    """Return offset and slope of the logistic that fits best (Newton's method, slightly damped)."""
    inputs = np.stack([np.ones(len(shares)), logits(shares)], 1)
    wanted = np.asarray(right, np.float64)
    weights = np.array([0.0, 1.0])
    damping = np.diag([1e-3, 1e-3])
    for _ in range(30):
        found = 1 / (1 + np.exp(-inputs @ weights))
        slope = inputs.T @ (wanted - found) + damping @ ([0.0, 1.0] - weights)
        curve = (inputs.T * (found * (1 - found))) @ inputs + damping
        weights = weights + np.linalg.solve(curve, slope)
    return float(weights[0]), float(weights[1])


def probabilities(shares: Sequence[float], offset: float, slope: float) -> Vector:
    """Return calibrated probabilities."""
    found: Vector = 1 / (1 + np.exp(-offset - slope * logits(shares)))
    return found


def loss(found: Vector, right: Sequence[bool]) -> float:
    """Return the mean cross-entropy in natural logarithms: less is better."""
    chance = np.where(np.asarray(right), found, 1 - found)
    return float(-np.log(np.clip(chance, 1e-9, 1)).mean())


def least_share(taken: Sequence[Taken], most_wrong: float) -> float:
    """Return the lowest threshold on the share with at most ``most_wrong`` of ``taken`` wrong."""
    wrong = sorted((t.share for t in taken if t.outcome(0.0) == "wrong"), reverse=True)
    allowed = math.floor(most_wrong * len(taken) + 1e-9)
    return 0.0 if len(wrong) <= allowed else math.nextafter(wrong[allowed], 2.0)


def percent(taken: Sequence[Taken], least: float) -> tuple[float, float]:
    """Return how many of a hundred are right, and how many wrong."""
    seen = [one.outcome(least) for one in taken]
    right, wrong = (100 * seen.count(what) / max(1, len(seen)) for what in ("right", "wrong"))
    return right, wrong


def at_most(count: int, total: int) -> float:
    """Return the upper end of the 95 % interval of a rate (Wilson's score interval)."""
    if total == 0:
        return 1.0
    z = 1.96
    rate, extra = count / total, z * z / total
    spread = z * math.sqrt(rate * (1 - rate) / total + extra / (4 * total))
    return (rate + extra / 2 + spread) / (1 + extra)


BINS = (0.0, 0.2, 0.4, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.999, 1.0)


def reliability(
    found: Vector, right: Sequence[bool]
) -> list[tuple[float, float, int, float, float]]:
    """Return for each bin of probability: from, to, how many, mean promised, share right."""
    truth, rows = np.asarray(right, np.float64), []
    for low, high in itertools.pairwise(BINS):
        inside = (found >= low) & ((found < high) | (high == BINS[-1]))
        if inside.any():
            mean, true = float(found[inside].mean()), float(truth[inside].mean())
            rows.append((low, high, int(inside.sum()), mean, true))
    return rows
