"""Noise of a roof, made from nothing: blowers, engines, hammering, clatter, saws, gusts of wind.

A blower is shaped hiss with the whine of its fan; an engine is a tall stack of harmonics that
beats; a blow rings and dies away. Used to train, to test and for the demo.

Run: ``python noise.py OUT.npy`` to make the bank of noises that training mixes in.
"""

from __future__ import annotations

import argparse
from multiprocessing import Pool
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
Kind = Literal["blower", "engine", "both", "hiss", "hammer", "wind", "saw", "clatter"]
Sound = NDArray[np.float32]
_KINDS: list[Kind] = ["blower", "engine", "both", "hiss", "hammer", "wind", "saw", "clatter"]
_OFTEN = [0.28, 0.16, 0.15, 0.07, 0.08, 0.06, 0.07, 0.13]
_BANK_SEED = 1000
HELD_OUT_NOISE = (
    "vacuuming_0",
    "aircon_0",
    "dishwasher_0",
    *(f"sound_{number}" for number in (3, 8, 13, 18, 23, 28, 33, 38, 43, 48)),
)
"""Whole recordings that are never trained on; the first is nearest to a blower."""
_FRAME = RATE // 50
_ACTIVE_DB = 30.0
"""Frames this far below the loudest are pauses and do not count as speech."""


def _hiss(rng: np.random.Generator, samples: int) -> NDArray[np.float64]:
    """Return noise that falls or stays level towards the treble, with a few broad humps."""
    spectrum = np.fft.rfft(rng.normal(size=samples))
    hertz = np.fft.rfftfreq(samples, 1 / RATE)
    gain = (np.maximum(hertz, 30.0) / 300.0) ** (rng.uniform(-2.2, 0.2) / 2)
    for _ in range(rng.integers(1, 5)):
        centre = rng.uniform(150, 4000)
        width = centre / rng.uniform(1, 6)
        gain *= 1 + rng.uniform(0.5, 4) * np.exp(-0.5 * ((hertz - centre) / width) ** 2)
    return _level(np.fft.irfft(spectrum * gain, samples))


def _stack(
    rng: np.random.Generator, samples: int, hertz: float, *, count: int, fall: float, wander: float
) -> NDArray[np.float64]:
    """Return harmonics of a tone whose pitch wanders a little."""
    seconds = samples / RATE
    knots = np.linspace(0, seconds, 40)
    drift = np.interp(np.arange(samples) / RATE, knots, rng.normal(size=40))
    phase = 2 * np.pi * np.cumsum(hertz * (1 + wander * drift)) / RATE
    sound = np.zeros(samples)
    for order in range(1, min(count, int(7500 / hertz)) + 1):
        strength = rng.uniform(0.3, 1.0) / order**fall
        sound += strength * np.sin(order * phase + rng.uniform(0, 2 * np.pi))
    return _level(sound)


def _level(sound: NDArray[np.float64]) -> NDArray[np.float64]:
    return sound / max(float(sound.std()), 1e-12)


def _fan(rng: np.random.Generator, samples: int) -> NDArray[np.float64]:
    count = int(rng.integers(1, 10))
    hertz, fall = rng.uniform(120, 900), rng.uniform(0.5, 1.5)
    fan = _stack(rng, samples, hertz, count=count, fall=fall, wander=0.004)
    return rng.uniform(0.1, 1.0) * fan


def _motor(rng: np.random.Generator, samples: int) -> NDArray[np.float64]:
    count = int(rng.integers(10, 60))
    hertz, fall = rng.uniform(25, 120), rng.uniform(0.2, 1.0)
    motor = _stack(rng, samples, hertz, count=count, fall=fall, wander=0.01)
    return rng.uniform(0.3, 1.5) * motor


def _blows(rng: np.random.Generator, samples: int) -> NDArray[np.float64]:
    """Return hammering: blows at an uneven beat, each a few tones that ring and die away."""
    sound = np.zeros(samples)
    at, beat = rng.uniform(0, 0.5), rng.uniform(0.25, 1.2)
    tones = rng.uniform(200, 6000, rng.integers(3, 9))
    while at < samples / RATE:
        first = int(at * RATE)
        time = np.arange(min(int(0.4 * RATE), samples - first)) / RATE
        ring = np.exp(-time / rng.uniform(0.005, 0.06))
        tone = np.sin(2 * np.pi * tones[:, None] * time + rng.uniform(0, 6, (len(tones), 1)))
        crack = rng.normal(size=len(time)) * np.exp(-time / 0.004)
        sound[first : first + len(time)] += rng.uniform(0.4, 1) * (ring * tone.mean(0) + crack)
        at += beat * rng.uniform(0.7, 1.4)
    return _level(sound)


def _gusts(rng: np.random.Generator, samples: int) -> NDArray[np.float64]:
    """Return wind in a microphone: deep rumble that swells."""
    spectrum = np.fft.rfft(rng.normal(size=samples))
    hertz = np.fft.rfftfreq(samples, 1 / RATE)
    rumble = np.fft.irfft(spectrum / (1 + (hertz / rng.uniform(40, 200)) ** 2), samples)
    knots = np.abs(rng.normal(size=max(4, samples // RATE * 2)))
    swell = np.interp(np.arange(samples), np.linspace(0, samples, len(knots)), knots)
    return _level(rumble * swell)


def _saw(rng: np.random.Generator, samples: int) -> NDArray[np.float64]:
    """Return a saw or grinder: a high stack of tones that comes and goes."""
    hertz, fall = rng.uniform(150, 700), rng.uniform(0.1, 0.7)
    count = int(rng.integers(8, 40))
    tones = _stack(rng, samples, hertz, count=count, fall=fall, wander=0.02)
    knots = rng.uniform(0, 1, max(4, samples // RATE)) > 0.4
    on = np.interp(np.arange(samples), np.linspace(0, samples, len(knots)), knots.astype(float))
    return _level(tones * (0.1 + on))


def _clatter(rng: np.random.Generator, samples: int) -> NDArray[np.float64]:
    """Return tools, sheet metal and crates knocked about: each blow of another thing, no beat."""
    sound = np.zeros(samples)
    often, lively = rng.uniform(2, 16), rng.uniform(0.3, 1.2)
    for first in rng.integers(0, samples, rng.poisson(often * samples / RATE)):
        time = np.arange(min(int(0.5 * RATE), samples - first)) / RATE
        tones = rng.uniform(150, 7000, rng.integers(1, 7))[:, None]
        fades = rng.uniform(0.004, 0.12, len(tones))[:, None]
        ring = np.exp(-time / fades) * np.sin(2 * np.pi * tones * time + rng.uniform(0, 6))
        crack = rng.normal(size=len(time)) * np.exp(-time / rng.uniform(0.001, 0.02))
        loud = np.exp(lively * rng.normal())
        sound[first : first + len(time)] += loud * (ring.mean(0) + rng.uniform(0, 1) * crack)
    return _level(sound)


_ON_TOP = {"hammer": _blows, "wind": _gusts, "saw": _saw, "clatter": _clatter}


def make(rng: np.random.Generator, samples: int, kind: Kind | None = None) -> Sound:
    """Return noise of RMS 1; without ``kind``, of a kind drawn by chance."""
    kind = kind or _KINDS[rng.choice(len(_KINDS), p=_OFTEN)]
    sound = _hiss(rng, samples)
    if kind in ("blower", "both"):
        sound += _fan(rng, samples)
    if kind in ("engine", "both"):
        sound += _motor(rng, samples)
        beat = np.sin(2 * np.pi * rng.uniform(5, 30) * np.arange(samples) / RATE)
        sound *= 1 + rng.uniform(0, 0.5) * beat
    if kind in _ON_TOP:
        sound = rng.uniform(0.05, 0.5) * sound + _ON_TOP[kind](rng, samples)
    swell = np.interp(np.arange(samples), np.linspace(0, samples, 12), rng.normal(size=12))
    return _level(sound * (1 + 0.2 * swell.clip(-2, 2))).astype(np.float32)


def room(rng: np.random.Generator, samples: int, dbfs: float = -62.0) -> Sound:
    """Return the floor of a quiet place with an open microphone."""
    return (_hiss(rng, samples) * 10 ** (dbfs / 20)).astype(np.float32)


def speech_rms(sound: Sound) -> float:
    """Return the RMS of speech without its pauses."""
    whole = sound[: len(sound) // _FRAME * _FRAME].astype(np.float64)
    power = (whole.reshape(-1, _FRAME) ** 2).mean(axis=1)
    if power.size == 0 or power.max() <= 0:
        return 0.0
    return float(np.sqrt(power[power > power.max() / 10 ** (_ACTIVE_DB / 10)].mean()))


def mix(speech: Sound, noise: Sound, snr_db: float) -> Sound:
    """Return speech in noise of RMS 1 at a signal-to-noise ratio; turned down if it would clip."""
    scaled = noise[: len(speech)] * (speech_rms(speech) / 10 ** (snr_db / 20))
    both = speech + scaled
    return (both / max(1.0, float(np.abs(both).max()) / 0.98)).astype(np.float32)


def _bank_row(asked: tuple[int, int]) -> NDArray[np.float16]:
    seed, samples = asked
    return make(np.random.default_rng(seed), samples).astype(np.float16)


def main() -> None:
    """Write a bank of noises, one a row, as 16-bit floats."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seconds", type=int, default=12)
    parser.add_argument("--processes", type=int, default=1)
    asked = parser.parse_args()
    wanted = [(_BANK_SEED + row, asked.seconds * RATE) for row in range(asked.count)]
    with Pool(asked.processes) as pool:
        np.save(asked.out, np.stack(pool.map(_bank_row, wanted)))
    print(f"{asked.count} noises of {asked.seconds} s in {asked.out}")


if __name__ == "__main__":
    main()
