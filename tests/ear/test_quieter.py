from __future__ import annotations

import numpy as np
import pytest

from assistant.ear.quieter import Quieter, QuieterSettings

RATE = 16_000


def _rms(sound: np.ndarray) -> float:
    return float(np.sqrt((sound.astype(np.float64) ** 2).mean()))


def _hiss(seconds: float, level: float) -> np.ndarray:
    sound = np.random.default_rng(1).normal(size=int(RATE * seconds) // 512 * 512) * level
    return sound.astype(np.int16)


def test_steady_noise_is_turned_down():
    """Hiss that goes on is brought down by at least 9 dB, once it is known."""
    out = Quieter().push(_hiss(3, 1000))

    assert _rms(out[RATE:]) < 355


def test_a_tone_that_begins_in_noise_is_kept():
    """What is new against the noise passes: at most 3 dB are lost in its first quarter second."""
    tone = np.zeros(3 * RATE // 512 * 512)
    span = slice(2 * RATE, 2 * RATE + RATE // 4)
    tone[span] = 3000 * np.sin(2 * np.pi * 700 * np.arange(RATE // 4) / RATE)
    out = Quieter().push((_hiss(3, 300) + tone).astype(np.int16))

    assert _rms(out[span]) > _rms(tone[span]) * 0.7


def test_sound_passes_unchanged_where_nothing_is_turned_down():
    """With a gain that never falls, the stretches add up to what went in, 16 ms later."""
    sound = _hiss(1, 1000)
    out = Quieter(QuieterSettings(least_gain=1.0, memory=0.0)).push(sound)
    late = out[256 + 256 :].astype(int) - sound[256:-256]

    assert np.abs(late).max() <= 1


@pytest.mark.parametrize("size", [512, 1024, 5120])
def test_size_of_the_blocks_does_not_matter(size: int):
    """However the sound is cut, the same comes out."""
    sound = _hiss(1, 1000)[:15_360]
    quieter = Quieter()
    parts = [quieter.push(sound[at : at + size]) for at in range(0, len(sound), size)]

    assert np.array_equal(np.concatenate(parts), Quieter().push(sound))


def test_noise_is_remembered_when_sound_is_forgotten():
    """A filter that knows the noise turns it down from the first moment on."""
    quieter = Quieter()
    quieter.push(_hiss(2, 1000))
    quieter.forget_sound()
    tone = (3000 * np.sin(2 * np.pi * 700 * np.arange(5120) / RATE)).astype(np.int16)
    known, unknown = quieter.push(tone), Quieter().push(tone)

    assert _rms(known) > 1.5 * _rms(unknown)


def test_sound_that_is_forgotten_is_not_heard():
    """Nothing of before comes out behind it."""
    quieter = Quieter()
    quieter.push(_hiss(1, 5000))
    quieter.forget_sound()

    assert not quieter.push(np.zeros(5120, np.int16)).any()


def test_digital_silence_stays_silent():
    """Nothing in, nothing out, and no division by nothing."""
    assert not Quieter().push(np.zeros(5120, np.int16)).any()
