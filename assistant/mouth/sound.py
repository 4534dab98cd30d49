"""A piece of sound, and the few things done to one. Pure; imports nothing of ours."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.int16]
Wave = npt.NDArray[np.float64]
FULL_SCALE = 32_767
_AUDIBLE = 200
"""Samples below this (44 dB under full scale) count as silence when a voice's sound is trimmed."""
_KEPT_MS = 40
"""Silence that stays around trimmed sound, so that soft consonants are not clipped."""


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """Mono sound, 16 bit."""

    samples: Samples
    rate_hz: int

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return len(self.samples) / self.rate_hz


def from_wave(wave: Wave, rate_hz: int) -> Sound:
    """Return ``wave`` (-1 to 1; louder is clipped) as 16 bit sound."""
    return Sound(np.round(np.clip(wave, -1, 1) * FULL_SCALE).astype(np.int16), rate_hz)


def to_wave(sound: Sound) -> Wave:
    """Return the samples as numbers from -1 to 1."""
    return sound.samples.astype(np.float64) / FULL_SCALE


def trimmed(sound: Sound) -> Sound:
    """Return ``sound`` without the silence around it; empty when there is only silence."""
    audible = np.flatnonzero(np.abs(sound.samples.astype(np.int32)) > _AUDIBLE)
    if not len(audible):
        return Sound(sound.samples[:0], sound.rate_hz)
    kept = _KEPT_MS * sound.rate_hz // 1000
    first = max(0, int(audible[0]) - kept)
    return Sound(sound.samples[first : int(audible[-1]) + kept], sound.rate_hz)


def padded(sound: Sound, before_s: float, after_s: float) -> Sound:
    """Return ``sound`` with silence before and after it."""
    before, after = (round(seconds * sound.rate_hz) for seconds in (before_s, after_s))
    return Sound(np.pad(sound.samples, (before, after)), sound.rate_hz)


def resampled(sound: Sound, rate_hz: int) -> Sound:
    """Return ``sound`` at another sample rate, band-limited.

    Cuts or extends the discrete Fourier spectrum of the whole sound. It is first filled up with
    silence to a length at which the ratio of the rates is exact; the fill is cut off again.
    """
    if rate_hz == sound.rate_hz or not len(sound.samples):
        return Sound(sound.samples, rate_hz)
    common = gcd(rate_hz, sound.rate_hz)
    up, down = rate_hz // common, sound.rate_hz // common
    # Half of the fill also keeps the end of the sound from ringing into its beginning.
    blocks = -(-len(sound.samples) // down) + 8
    spectrum = np.fft.rfft(to_wave(sound), blocks * down)
    bins = blocks * up // 2 + 1
    fitted = np.zeros(bins, dtype=np.complex128)
    shared = min(bins, len(spectrum))
    fitted[:shared] = spectrum[:shared]
    wave = np.fft.irfft(fitted, blocks * up) * (up / down)
    return from_wave(wave[: len(sound.samples) * up // down], rate_hz)
