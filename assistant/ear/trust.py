"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer. Confidence proves
nothing: read-back, ranges and the strict grammars carry the safety; this only asks sooner.

From tests/bench/results/ear.md (which has the newest figures): synthetic voices that were not
trained on, right / wrong in percent of 150 widths, clean and beside a vacuum cleaner; and other
talk taken for a width, in percent of 60.

    threshold          0.5         0.7         0.8         0.9
    widths, clean      99.3 / 0.7  96.7 / 0.7  95.3 / 0.7  94.7 / 0.0
    widths, 10 dB      98.7 / 1.3  96.7 / 0.7  94.7 / 0.7  92.0 / 0.0
    widths, 5 dB       96.0 / 4.0  95.3 / 2.0  92.7 / 1.3  90.0 / 1.3
    widths, 0 dB       81.3 / 11   75.3 / 6.7  74.0 / 5.3  70.7 / 4.0
    talk, 5 dB         8.3         3.3         1.7         0.0
    talk, 0 dB         25          8.3         6.7         3.3

A wrong width is worse than several questions, so values take the highest of these. It was chosen
with these figures in sight: the next test needs fresh clips.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ANSWER_TRUST = 0.7
"""For commands and plain answers."""
VALUE_TRUST = 0.9
"""For measured values."""


@dataclass(frozen=True)
class Belief:
    """How far guesses are to be believed; models/recipe/calibrate.py chooses these."""

    sharpness: float
    """How much a better score counts: 1 is what the network itself believes."""
    missed: float
    """The share that a network is taken to give to a meaning that it did not think of."""
    offset: float
    """With ``slope`` it makes a probability p of a share s: logit p = offset + slope * logit s."""
    slope: float

    def probability(self, share: float) -> float:
        """Return how likely a meaning with this share of the opinion is right, 0 to 1."""
        share = min(max(share, _LEAST), 1 - _LEAST)
        return 1 / (1 + math.exp(-self.offset - self.slope * math.log(share / (1 - share))))


_LEAST = 1e-6
ONE_NETWORK = Belief(sharpness=0.7, missed=1e-3, offset=0.0, slope=1.0)
TWO_NETWORKS = Belief(sharpness=0.7, missed=1e-3, offset=0.0, slope=1.0)


def belief(networks: int) -> Belief:
    """Return how far to believe so many networks."""
    return ONE_NETWORK if networks == 1 else TWO_NETWORKS
