from __future__ import annotations

import numpy as np
import pytest

from assistant.mouth.sound import Sound, from_wave, padded, resampled, to_wave, trimmed


def _tone(hz: float, rate_hz: int, seconds: float = 0.5) -> Sound:
    at_s = np.arange(round(seconds * rate_hz)) / rate_hz
    return from_wave(0.5 * np.sin(2 * np.pi * hz * at_s) * np.hanning(len(at_s)), rate_hz)


@pytest.mark.parametrize("to_hz", [8_000, 16_000, 44_100, 48_000, 96_000])
@pytest.mark.parametrize("from_hz", [16_000, 22_050, 44_100])
def test_resampling_keeps_the_sound(from_hz, to_hz):
    """At another rate a tone is the same tone, sample for sample."""
    got = resampled(_tone(1000, from_hz), to_hz)
    wanted = _tone(1000, to_hz)

    assert got.rate_hz == to_hz
    assert abs(len(got.samples) - len(wanted.samples)) <= 1
    size = min(len(got.samples), len(wanted.samples))
    # The window's edge points differ a little between rates; 0.2 % of full scale is inaudible.
    assert np.abs(to_wave(got)[:size] - to_wave(wanted)[:size]).max() < 0.002


def test_resampling_down_does_not_fold_high_tones():
    """What the lower rate cannot carry is left out instead of coming back as another tone."""
    assert np.abs(resampled(_tone(7_000, 22_050), 8_000).samples).max() < 40


def test_trimming_keeps_the_sound():
    """Silence around the sound goes but for a short rest; the sound itself stays."""
    tone = from_wave(np.full(2_205, 0.5), 22_050)
    got = trimmed(padded(tone, 1.0, 2.0))

    assert got.seconds == pytest.approx(0.18, abs=0.002)
    assert np.count_nonzero(got.samples) == 2_205


def test_trimming_silence_leaves_nothing():
    """Of silence nothing is left."""
    assert trimmed(Sound(np.zeros(1000, dtype=np.int16), 8_000)).seconds == 0


def test_loud_waves_are_clipped_not_wrapped():
    """Too loud a wave is clipped; wrapping round would crackle."""
    assert from_wave(np.array([2.0, -2.0]), 8_000).samples.tolist() == [32_767, -32_767]
