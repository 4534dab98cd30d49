from __future__ import annotations

import numpy as np
import pytest

from assistant.mouth.clarity import PEAK, clarified
from assistant.mouth.sound import Sound, from_wave, to_wave

RATE_HZ = 22_050


def _voice_like() -> Sound:
    """Return harmonics of 110 Hz falling 12 dB an octave, as of a voice, in syllables."""
    at_s = np.arange(RATE_HZ) / RATE_HZ
    wave = sum(np.sin(2 * np.pi * 110 * n * at_s + n * n) / n**2 for n in range(1, 50))
    return from_wave(0.4 * wave * np.sin(2 * np.pi * 4 * at_s) ** 2, RATE_HZ)


def _share_between(sound: Sound, low_hz: float, high_hz: float) -> float:
    power = np.abs(np.fft.rfft(to_wave(sound))) ** 2
    hz = np.fft.rfftfreq(len(sound.samples), 1 / sound.rate_hz)
    return float(power[(hz >= low_hz) & (hz < high_hz)].sum() / power.sum())


def test_peak_is_set_and_nothing_clips():
    """The peak lies where it should, just under full scale."""
    assert np.abs(to_wave(clarified(_voice_like()))).max() == pytest.approx(PEAK, abs=0.001)


def test_power_moves_from_rumble_to_consonants():
    """Power below the high-pass goes, and that between 1 and 4 kHz grows."""
    before = _voice_like()
    after = clarified(before)

    assert _share_between(after, 0, 300) < 0.1 * _share_between(before, 0, 300)
    assert _share_between(after, 1000, 4000) > 5 * _share_between(before, 1000, 4000)


def test_it_is_louder_at_the_same_peak():
    """At the same peak the processed sound holds more power where speech is decided."""
    before = to_wave(_voice_like())
    before *= PEAK / np.abs(before).max()
    after = clarified(_voice_like())
    power_before = _share_between(from_wave(before, RATE_HZ), 1000, 4000) * (before**2).mean()
    power_after = _share_between(after, 1000, 4000) * (to_wave(after) ** 2).mean()

    assert 10 * np.log10(power_after / power_before) > 10


@pytest.mark.parametrize("samples", [[], [0, 0, 0]])
def test_silence_stays_silence(samples):
    """Nothing becomes nothing, without a division by zero."""
    assert clarified(Sound(np.array(samples, dtype=np.int16), RATE_HZ)).samples.tolist() == samples


def test_the_end_does_not_ring_into_the_beginning():
    """A sentence that ends abruptly is as silent at its start as before."""
    wave = np.zeros(RATE_HZ)
    wave[-200:] = 0.5

    assert np.abs(clarified(from_wave(wave, RATE_HZ)).samples[:1000]).max() < 330
