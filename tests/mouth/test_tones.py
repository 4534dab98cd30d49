from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from assistant.mouth.ports import Tone
from assistant.mouth.sound import to_wave
from assistant.mouth.tones import PEAK, PIPS, tone_sound

RATE_HZ = 22_050
PAIRS = list(combinations(Tone, 2))


def _runs(tone: Tone) -> list[tuple[bool, float]]:
    """Return the rhythm as it sounds: (sounding, seconds), from the samples alone."""
    step = RATE_HZ // 200
    wave = np.abs(to_wave(tone_sound(tone, RATE_HZ)))
    # A rattle's dips are shorter than 25 ms; they are no rests.
    levels = [wave[at : at + 5 * step].max() > 0.1 for at in range(0, len(wave), step)]
    runs: list[tuple[bool, float]] = []
    for sounding in levels:
        if runs and runs[-1][0] == sounding:
            runs[-1] = (bool(sounding), runs[-1][1] + 0.005)
        else:
            runs.append((bool(sounding), 0.005))
    return runs


def _spectrum(tone: Tone) -> np.ndarray:
    """Return the power in bands of 100 Hz up to 6 kHz, of length 1."""
    power = np.abs(np.fft.rfft(to_wave(tone_sound(tone, RATE_HZ)), RATE_HZ * 2)) ** 2
    bands = power[:12_000].reshape(60, 200).sum(axis=1)
    return bands / np.linalg.norm(bands)


def test_every_tone_has_its_pips():
    """No tone of the port is left without a sound."""
    assert set(PIPS) == set(Tone)


@pytest.mark.parametrize("tone", Tone)
def test_tones_are_loud_and_not_clipped(tone):
    """The peak is where it should be: loud, with room left."""
    assert np.abs(to_wave(tone_sound(tone, RATE_HZ))).max() == pytest.approx(PEAK, abs=0.001)


@pytest.mark.parametrize("tone", Tone)
def test_tones_lie_above_a_blower_and_below_worn_hearing(tone):
    """Nearly all power lies between 1 and 6 kHz, and most of it below 3 kHz."""
    power = np.abs(np.fft.rfft(to_wave(tone_sound(tone, RATE_HZ)))) ** 2
    hz = np.fft.rfftfreq(len(tone_sound(tone, RATE_HZ).samples), 1 / RATE_HZ)

    assert power[(hz > 1000) & (hz < 6000)].sum() > 0.97 * power.sum()
    assert power[hz < 3000].sum() > 0.8 * power.sum()


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_rhythm_alone_tells_tones_apart(one, other):
    """Two tones differ in their number of pips, or in a pip's length by more than half."""
    pips = [[seconds for sounding, seconds in _runs(tone) if sounding] for tone in (one, other)]
    lengths = zip(*pips, strict=False)

    assert len(pips[0]) != len(pips[1]) or any(max(pair) > 1.5 * min(pair) for pair in lengths)


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_spectra_differ(one, other):
    """Two tones differ in pitch too: their spectra have little in common."""
    assert float(_spectrum(one) @ _spectrum(other)) < 0.8


def test_acknowledgements_are_short_and_verdicts_are_not():
    """What sounds a hundred times a day is short; what matters cannot be missed."""
    assert tone_sound(Tone.LISTENING).seconds < 0.2
    assert tone_sound(Tone.HEARD).seconds < 0.2
    assert tone_sound(Tone.PASSED).seconds > 0.5
    assert tone_sound(Tone.FAILED).seconds > 0.8


@pytest.mark.parametrize("rate_hz", [8_000, 16_000, 44_100, 48_000])
def test_tones_last_as_long_at_every_rate(rate_hz):
    """The rate of the device does not change a tone."""
    for tone in Tone:
        assert tone_sound(tone, rate_hz).seconds == pytest.approx(
            tone_sound(tone).seconds, abs=1e-3
        )
