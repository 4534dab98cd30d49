"""Sound as numbers: the rate we hear at, other rates brought to it, and WAV files.

Imports ``errors`` and ``ports`` only.
"""

from __future__ import annotations

import math
import wave
from pathlib import Path

import numpy as np
import numpy.typing as npt

from assistant.ear.ports import Clip
from assistant.errors import UsageProblem

RATE_HZ = 16_000
"""Everything behind the microphone is mono, 16 bit, at this rate."""

Samples = npt.NDArray[np.int16]

_REACH = 16
"""Half-width of the filter, in samples of the slower rate."""
_CUT = 0.92
"""Where the filter cuts, as a part of the slower rate's half."""


class Resampler:
    """Brings a stream of samples to 16 kHz, block by block. One thread at a time.

    Each output sample is a weighted sum of the input around its time, with the weights of a sinc
    under a Hann window (Smith, "Digital Audio Resampling", the band-limited interpolation).
    """

    def __init__(self, rate_hz: int, to_hz: int = RATE_HZ) -> None:
        common = math.gcd(rate_hz, to_hz)
        self._step, self._phases = rate_hz // common, to_hz // common
        slower = min(1.0, to_hz / rate_hz)
        reach = math.ceil(_REACH / slower)
        self._taps = 2 * reach
        self._weights = _weights(self._phases, reach, slower)
        self._rest = np.zeros(reach - 1, np.float32)
        self._at = 0
        """Time of the next output in units of 1/phases input samples, from the rest's start."""

    def push(self, samples: Samples) -> Samples:
        """Return the output that ``samples`` complete; the filter's reach stays behind."""
        if self._step == self._phases:
            return samples
        held = np.concatenate([self._rest, samples.astype(np.float32)])
        last = (len(held) - self._taps) * self._phases + self._phases - 1
        times = np.arange(self._at, max(self._at, last + 1), self._step)
        whole, phase = np.divmod(times, self._phases)
        windows = held[whole[:, None] + np.arange(self._taps)]
        out = np.einsum("ij,ij->i", windows, self._weights[phase])
        following = self._at + len(times) * self._step
        drop = min(following // self._phases, len(held))
        self._at = following - drop * self._phases
        self._rest = held[drop:]
        whole_numbers: Samples = np.clip(np.rint(out), -32768, 32767).astype(np.int16)
        return whole_numbers


def _weights(phases: int, reach: int, slower: float) -> npt.NDArray[np.float32]:
    """Return the filter's weights, shape (phases, 2 * reach)."""
    cut = slower * (_CUT if slower < 1 else 1.0)
    away = np.arange(1 - reach, reach + 1)[None] - np.arange(phases)[:, None] / phases
    shape = np.sinc(away * cut) * np.cos(np.clip(away / reach, -1, 1) * math.pi / 2) ** 2
    return np.asarray(shape / shape.sum(axis=1, keepdims=True), np.float32)


def at_our_rate(samples: Samples, rate_hz: int) -> Samples:
    """Return a whole recording at 16 kHz."""
    resampler = Resampler(rate_hz)
    tail = np.zeros(0 if rate_hz == RATE_HZ else rate_hz // 50, np.int16)
    return resampler.push(np.concatenate([samples, tail]))


_FLOOR = 4.0
"""RMS of the hiss, in steps of 16 bits: 78 dB below full scale, far under any open microphone."""


def with_hiss(pcm: bytes) -> bytes:
    """Return samples with a hiss nobody can hear: the same for the same number of samples.

    The network learnt from microphones, which are never quite silent. Headsets that switch off
    between words send noughts, whose logarithm is like nothing it has met.
    """
    samples = np.frombuffer(pcm, "<i2")
    hiss = np.random.default_rng(len(samples)).normal(0.0, _FLOOR, len(samples))
    return bytes(np.clip(np.rint(samples + hiss), -32768, 32767).astype("<i2").tobytes())


def read_wav(path: Path) -> Clip:
    """Read a WAV file of 16-bit samples, mono or stereo, any rate; return it mono at 16 kHz.

    Raises:
        UsageProblem: it is missing, no WAV file, or has other samples.
    """
    try:
        with wave.open(str(path), "rb") as file:
            channels, width, rate_hz = file.getparams()[:3]
            raw = file.readframes(file.getnframes())
    except OSError as problem:
        raise UsageProblem(f"The sound file {path} cannot be read: {problem}.") from problem
    except (wave.Error, EOFError) as problem:
        raise UsageProblem(
            f"{path} is no plain WAV file ({problem}). {_HOW_TO_CONVERT}"
        ) from problem
    if width != 2 or channels not in (1, 2) or not 4000 <= rate_hz <= 192_000:
        raise UsageProblem(
            f"{path} has {channels} channels of {8 * width} bit at {rate_hz} Hz. {_HOW_TO_CONVERT}"
        )
    usable = len(raw) // (2 * channels) * channels
    samples = np.frombuffer(raw, "<i2", usable).reshape(-1, channels)
    mono = samples[:, 0] if channels == 1 else (samples.astype(np.int32).sum(axis=1) // 2)
    return Clip(at_our_rate(mono.astype(np.int16), rate_hz).tobytes(), RATE_HZ)


_HOW_TO_CONVERT = "Save it as WAV with 16-bit samples, mono or stereo."
