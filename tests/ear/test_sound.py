from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pytest

from assistant.ear.sound import RATE_HZ, Resampler, at_our_rate, read_wav, with_hiss
from assistant.errors import UsageProblem

RATES = (8_000, 11_025, 22_050, 44_100, 48_000, 96_000)


def _tone(rate_hz: int, hz: float, seconds: float = 1.0) -> np.ndarray:
    time_s = np.arange(int(rate_hz * seconds)) / rate_hz
    return (8_000 * np.sin(2 * np.pi * hz * time_s)).astype(np.int16)


@pytest.mark.parametrize("rate_hz", RATES)
def test_a_tone_stays_itself(rate_hz: int):
    """A tone of any rate comes out at 16 kHz as if it had been recorded there."""
    out = at_our_rate(_tone(rate_hz, 440), rate_hz)[:RATE_HZ]
    middle = slice(200, -200)

    assert np.abs(out[middle].astype(int) - _tone(RATE_HZ, 440)[middle]).max() <= 8


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_what_we_cannot_hold_is_not_folded_back(rate_hz: int):
    """A tone above 8 kHz vanishes instead of turning up as another one."""
    out = at_our_rate(_tone(rate_hz, 10_000), rate_hz)[200 : RATE_HZ - 200]

    assert np.abs(out.astype(int)).max() <= 8


@pytest.mark.parametrize("rate_hz", RATES)
def test_blocks_join_without_a_seam(rate_hz: int):
    """Sound that comes in odd blocks gives the same samples as sound in one piece."""
    sound = np.random.default_rng(1).integers(-9_000, 9_000, rate_hz, dtype=np.int16)
    resampler = Resampler(rate_hz)
    sizes = [1, 7, 1_000, 333, 2]
    parts, at = [], 0
    while at < len(sound):
        size = sizes[len(parts) % len(sizes)]
        parts.append(resampler.push(sound[at : at + size]))
        at += size

    assert np.array_equal(np.concatenate(parts), Resampler(rate_hz).push(sound))


def test_our_own_rate_is_left_alone():
    """Sound at 16 kHz passes untouched."""
    sound = _tone(RATE_HZ, 1_000)

    assert np.array_equal(at_our_rate(sound, RATE_HZ), sound)


def _write(path: Path, raw: bytes, channels: int, width: int, rate_hz: int) -> Path:
    with wave.open(str(path), "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(width)
        out.setframerate(rate_hz)
        out.writeframes(raw)
    return path


def test_stereo_becomes_the_mean_of_both(tmp_path: Path):
    """A stereo file is heard with both its channels."""
    left, right = np.full(400, 1_000, "<i2"), np.full(400, 3_000, "<i2")
    raw = np.stack([left, right], axis=1).tobytes()
    clip = read_wav(_write(tmp_path / "a.wav", raw, 2, 2, RATE_HZ))

    assert clip.rate_hz == RATE_HZ
    assert clip.pcm == np.full(400, 2_000, "<i2").tobytes()


def test_other_rates_are_brought_to_ours(tmp_path: Path):
    """A file of a second at 8 kHz is a second at 16 kHz."""
    clip = read_wav(_write(tmp_path / "a.wav", _tone(8_000, 440).tobytes(), 1, 2, 8_000))

    assert len(clip.pcm) / 2 == pytest.approx(RATE_HZ, rel=0.03)


@pytest.mark.parametrize(("channels", "width"), [(1, 1), (1, 3), (3, 2)])
def test_other_samples_are_refused_with_the_remedy(tmp_path: Path, channels: int, width: int):
    """A file we cannot use says what it holds and how to save it."""
    path = _write(tmp_path / "a.wav", bytes(channels * width * 100), channels, width, RATE_HZ)
    with pytest.raises(UsageProblem, match=f"{channels} channels of {8 * width} bit.*16-bit"):
        read_wav(path)


def test_what_is_no_wav_file_is_refused(tmp_path: Path):
    """Text, an empty file and a missing one are each refused."""
    (tmp_path / "text.wav").write_text("hello")
    (tmp_path / "empty.wav").write_bytes(b"")
    for name in ("text.wav", "empty.wav", "none.wav"):
        with pytest.raises(UsageProblem, match=name):
            read_wav(tmp_path / name)


def test_silence_gets_a_hiss_that_is_the_same_each_time() -> None:
    """Noughts become faint noise, loud sound stays within two parts in a thousand."""
    quiet = np.frombuffer(with_hiss(bytes(2 * 16_000)), "<i2").astype(float)
    loud = (np.sin(np.arange(16_000) / 5) * 32_767).astype("<i2")
    louder = np.frombuffer(with_hiss(loud.tobytes()), "<i2").astype(int)

    assert with_hiss(loud.tobytes()) == louder.astype("<i2").tobytes()
    assert 3.5 < quiet.std() < 4.5
    assert np.abs(louder - loud).max() < 32
