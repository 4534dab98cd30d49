"""Made noise: every kind is level, and levels mean what they say."""

import numpy as np
import pytest
from noise import RATE, make, mix, speech_rms

KINDS = ["blower", "engine", "both", "hiss", "hammer", "wind", "saw"]


@pytest.mark.parametrize("kind", [*KINDS, None])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_kind_has_an_rms_of_one(kind, seed):
    """Noise of any kind is finite and has an RMS of 1, so that a level is a level."""
    sound = make(np.random.default_rng(seed), 2 * RATE, kind)

    assert sound.dtype == np.float32
    assert len(sound) == 2 * RATE
    assert np.isfinite(sound).all()
    assert float(sound.std()) == pytest.approx(1.0, abs=1e-3)


def test_a_seed_makes_the_same_noise():
    """The bank comes out the same, and its rows differ."""
    first, again, other = (make(np.random.default_rng(seed), RATE) for seed in (4, 4, 5))

    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


@pytest.mark.parametrize("snr_db", [20.0, 0.0, -5.0])
def test_a_mix_has_the_ratio_asked_for(snr_db):
    """Decibels compare the voice without its pauses to the noise."""
    time = np.arange(RATE) / RATE
    voice = (0.1 * np.sin(2 * np.pi * 200 * time) * (time < 0.5)).astype(np.float32)
    noise = make(np.random.default_rng(6), RATE, "hiss")
    left = mix(voice, noise, snr_db) - voice

    assert 20 * np.log10(speech_rms(voice) / left.std()) == pytest.approx(snr_db, abs=0.1)


def test_a_loud_mix_is_turned_down_not_clipped():
    """However loud the noise, no sample reaches full scale."""
    voice = np.full(RATE, 0.6, np.float32)
    loud = mix(voice, make(np.random.default_rng(7), RATE, "blower"), -20)

    assert float(np.abs(loud).max()) == pytest.approx(0.98, abs=1e-3)
