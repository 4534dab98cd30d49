"""What a clip goes through before it is heard: a telephone's band, or noise at a level.

Everything is drawn by chance from the clip's name alone, so every engine and every run hears the
same samples. At all levels a clip lies in the same stretch of the same noise.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.ear.sound import RATE_HZ, read_wav

from .recordings_in import Sound, floats

sys.path.insert(0, str(Path(__file__).parents[3] / "models" / "recipe"))

# The recipe is no package: a type checker that was not told of its folder does not find it.
from noise import HELD_OUT_NOISE, make, mix  # type: ignore[import-not-found,unused-ignore]

CLEAN, BAND = "clean", "band"
LEVELS = (CLEAN, BAND, "20", "10", "5", "0")
NEAREST: str = HELD_OUT_NOISE[0]
"""The held-out recording that is most like a blower; every second clip is mixed with it."""
BEFORE = RATE_HZ // 2
BEHIND = 2 * RATE_HZ
_BAND_HZ = (300.0, 3400.0)
_SLOPE_HZ = 100.0


def chance(name: str) -> np.random.Generator:
    """Return a source of chance that depends on ``name`` alone."""
    return np.random.default_rng(int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], "big"))


class Noises:
    """Recorded noises that were kept out of training."""

    def __init__(self, folder: Path, names: tuple[str, ...]) -> None:
        self.sounds: dict[str, Sound] = {}
        for name in names:
            pcm = read_wav(folder / f"{name}.wav").pcm
            self.sounds[name] = floats(np.frombuffer(pcm, "<i2"))
        self._others = [name for name in names if name != NEAREST]

    def drawn(self, rng: np.random.Generator, samples: int) -> tuple[str, Sound]:
        """Return the name and a stretch of a noise, of RMS 1; short ones go round."""
        name = NEAREST
        if self._others and rng.random() < 0.5:
            name = self._others[rng.integers(len(self._others))]
        return name, stretch(self.sounds[name], rng, samples)


def stretch(noise: Sound, rng: np.random.Generator, samples: int) -> Sound:
    """Return a stretch of ``noise`` of RMS 1, from a place drawn by chance."""
    at = int(rng.integers(len(noise)))
    piece = np.resize(np.roll(noise, -at), samples).astype(np.float64)
    level: Sound = (piece / max(1e-9, float(np.sqrt((piece**2).mean())))).astype(np.float32)
    return level


def telephone(sound: Sound) -> Sound:
    """Return ``sound`` with nothing outside 300 to 3400 Hz, the band of a telephone (ITU-T G.712).

    Edges fall within 100 Hz, as half a cosine.
    """
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    low, high = _BAND_HZ
    inside = np.minimum(hertz - low, high - hertz) / _SLOPE_HZ
    gain = 0.5 - 0.5 * np.cos(np.pi * np.clip(inside + 1, 0, 1))
    out: Sound = np.fft.irfft(np.fft.rfft(sound) * gain, len(sound)).astype(np.float32)
    return out


def at_level(name: str, sound: Sound, level: str, noises: Noises) -> tuple[str, Sound]:
    """Return which noise a clip is in, and the clip with silence or noise around and under it.

    A level in dB is that of the voice without its pauses over the noise (models/recipe/noise.py).
    """
    padded = np.concatenate([np.zeros(BEFORE), sound, np.zeros(BEHIND)]).astype(np.float32)
    if level == CLEAN:
        return "", padded
    if level == BAND:
        return "", telephone(padded)
    which, around = noises.drawn(chance(name), len(padded))
    return which, in_noise(padded, around, level)


def in_noise(voice: Sound, noise: Sound, level: str) -> Sound:
    """Return a voice over noise of RMS 1, ``level`` decibels above it."""
    mixed: Sound = mix(voice, noise, float(level))
    return mixed


def synthetic(name: str, samples: int) -> Sound:
    """Return made noise of RMS 1: blowers and engines, of seeds that training does not use."""
    made: Sound = make(chance(f"unseen {name}"), samples)
    return made


def to_pcm(sound: Sound) -> bytes:
    """Return 16-bit samples."""
    whole: NDArray[np.int16] = np.clip(np.rint(sound * 32_767), -32_768, 32_767).astype("<i2")
    return whole.tobytes()
