"""Turns steady sound down, so that the speech gate finds a voice beside a blower.

Imports ``sound`` only. For the gate's ears alone: the recogniser was trained on noise and hears
what the microphone heard. A Wiener filter in short stretches of sound, its signal-to-noise ratio
estimated as Ephraim and Malah do ("Speech enhancement using a minimum mean-square error short-time
spectral amplitude estimator", IEEE Trans. ASSP 32 (1984), 1109-1121, equation 51). The noise floor
of each frequency falls with its quiet moments at once and rises slowly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from assistant.ear.sound import Samples

_HOP = 256
_SIZE = 2 * _HOP
"""Stretches of 32 ms, each half over the next; a frame of the gate is two hops."""

Powers = npt.NDArray[np.float64]


@dataclass(frozen=True)
class QuieterSettings:
    """How much is turned down, and how fast noise is learned."""

    least_gain: float = 0.3
    """No frequency is turned down further: what is left of noise must not sound like chirping, and
    the gate's network must still hear what kind of place it is in."""
    memory: float = 0.97
    """How far the last stretch's voice counts in this one's (the paper's alpha is 0.98)."""
    rise: float = 1.02
    """The floor grows by this factor with each hop while there is more sound than it says."""
    fall: float = 0.1
    """And comes down by this part of the way."""
    smoothing: float = 0.2
    """Weight of the newest stretch in the sound that the floor follows."""
    first_hops: int = 12
    """The floor begins as the mean of so many: whoever is asked takes a breath."""


class Quieter:
    """Filters a stream of samples. One thread at a time."""

    def __init__(self, settings: QuieterSettings | None = None) -> None:
        self._settings = settings or QuieterSettings()
        self._window = np.sqrt(np.hanning(_SIZE + 1)[:_SIZE])
        self._floor: Powers = np.zeros(_HOP + 1)
        self._hops = 0
        self.forget_sound()

    def forget_sound(self) -> None:
        """Forget what was heard, but not how loud the noise was.

        Whoever answers at once must not be taken for the noise. If that has changed meanwhile:
        fallen noise is noticed at once, and under risen noise little is turned down at first.
        """
        self._last = np.zeros(_HOP)
        self._tail = np.zeros(_HOP)
        self._smooth: Powers = self._floor.copy()
        self._voice: Powers = np.zeros(_HOP + 1)

    def push(self, samples: Samples) -> Samples:
        """Return as many samples as came in, 16 ms late; their number is a multiple of 256."""
        hops = samples.astype(np.float64).reshape(-1, _HOP)
        out = np.concatenate([self._hop(hop) for hop in hops])
        whole: Samples = np.clip(np.rint(out), -32_768, 32_767).astype(np.int16)
        return whole

    def _hop(self, fresh: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        spectrum = np.fft.rfft(np.concatenate([self._last, fresh]) * self._window)
        self._last = fresh
        power = np.abs(spectrum) ** 2 + 1e-9
        self._follow(power)
        sound = np.fft.irfft(spectrum * self._gain(power)) * self._window
        done: npt.NDArray[np.float64] = self._tail + sound[:_HOP]
        self._tail = sound[_HOP:]
        return done

    def _follow(self, power: Powers) -> None:
        """Learn the noise floor."""
        how = self._settings
        self._hops += 1
        if self._hops == 1:
            self._smooth = power
        self._smooth = (1 - how.smoothing) * self._smooth + how.smoothing * power
        if self._hops <= how.first_hops:
            self._floor = self._floor + (power - self._floor) / self._hops
            return
        down = self._floor + how.fall * (self._smooth - self._floor)
        up = np.minimum(self._floor * how.rise, self._smooth)
        self._floor = np.where(self._smooth < self._floor, down, up)

    def _gain(self, power: Powers) -> Powers:
        how = self._settings
        over = power / self._floor
        prior = how.memory * self._voice + (1 - how.memory) * np.maximum(over - 1, 0)
        gain: Powers = np.maximum(prior / (1 + prior), how.least_gain)
        self._voice = gain**2 * over
        return gain
