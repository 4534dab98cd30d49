"""How a voice says a thing this time: rhythm, pitch, melody, and whose way of speaking it borrows.

A speech network says the same text the same way for ever; people do not. A manner is drawn with
the plan and applied inside the network (``torch_speech.py``); the network on the processor
(``synth.py``) speaks plainly and leaves manners out.
"""

from __future__ import annotations

import random
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import torch

_VOICED_HZ = 20.0
"""Below this the network's pitch curve means that nothing is voiced."""


@dataclass(frozen=True, slots=True)
class Manner:
    """One way of speaking. The default is the network's own."""

    uneven: float = 0.0
    """Spread of each sound's length, as the standard deviation of its natural logarithm."""
    pitch: float = 1.0
    """Factor on the pitch."""
    melody: float = 1.0
    """Power on the pitch's distance from its mean: below 1 flatter, above 1 livelier."""
    strangeness: float = 0.0
    """Noise on the style, in standard deviations between voices."""
    seed: int = 0

    def as_dict(self) -> dict[str, Any]:
        """Return the form kept in plans."""
        return asdict(self)


def drawn(rng: random.Random) -> Manner:
    """Return a manner; a quarter of all are plain."""
    seed = rng.randrange(2**31)
    if rng.random() < 0.25:
        return Manner(seed=seed)
    return Manner(
        uneven=round(rng.uniform(0.05, 0.28), 3),
        pitch=round(2 ** rng.uniform(-0.3, 0.3), 3),
        melody=round(rng.uniform(0.4, 1.7), 3),
        strangeness=round(rng.uniform(0.0, 0.25), 3),
        seed=seed,
    )


def lengthened(lengths: torch.Tensor, manner: Manner) -> torch.Tensor:
    """Return the lengths of sounds, in the network's frames, made uneven."""
    import torch  # noqa: PLC0415 - plans are made without it

    chance = torch.Generator().manual_seed(manner.seed)
    spread = torch.randn(lengths.shape, generator=chance) * manner.uneven
    return lengths * torch.exp(spread).to(lengths.device)


def sung(pitch_hz: torch.Tensor, manner: Manner) -> torch.Tensor:
    """Return a pitch curve raised or lowered as a whole, and made flatter or livelier."""
    import torch  # noqa: PLC0415 - plans are made without it

    voiced = pitch_hz > _VOICED_HZ
    if not bool(voiced.any()):
        return pitch_hz
    mean = pitch_hz[voiced].mean()
    changed = mean * manner.pitch * (pitch_hz.clamp(min=_VOICED_HZ) / mean) ** manner.melody
    return torch.where(voiced, changed, pitch_hz)
