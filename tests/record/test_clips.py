"""Recordings as files: no sample is lost, and the name is the hash."""

from __future__ import annotations

import hashlib
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.record.clips import BadClip, is_name, kept_as, media_type, packed, unpacked


@given(
    samples=st.lists(st.integers(-32_768, 32_767), max_size=300),
    times=st.integers(1, 20),
    rate_hz=st.sampled_from([8_000, 16_000, 44_100, 48_000]),
)
def test_no_sample_is_lost(samples, times, rate_hz):
    """What is packed is what was heard, whatever it was, at its own rate."""
    pcm = b"".join(sample.to_bytes(2, "little", signed=True) for sample in samples) * times
    name, content = packed(pcm, rate_hz)

    assert unpacked(name, content) == (pcm, rate_hz)
    assert name == f"{hashlib.sha256(content).hexdigest()}.{'flac' if pcm else 'wav'}"
    assert is_name(name)
    assert kept_as(name, content)
    assert not kept_as(name, content + b"\0")


def test_same_sound_has_the_same_name():
    """Nothing but the sound is in the file: no time, no place, no random number."""
    assert packed(b"\1\2" * 500, 16_000) == packed(b"\1\2" * 500, 16_000)


def test_sound_is_kept_where_flac_cannot_be_made(monkeypatch):
    """Without the library the clip is a WAV file: to keep it counts more than how small it is."""
    monkeypatch.setitem(sys.modules, "soundfile", None)
    name, content = packed(b"\1\2" * 500, 16_000)

    assert name.endswith(".wav")
    assert media_type(name) == "audio/wav"
    assert unpacked(name, content) == (b"\1\2" * 500, 16_000)


@pytest.mark.parametrize("content", [b"", b"fLaC", b"RIFF", b"\0" * 5_000, b"fLaC" + b"\xff" * 99])
@pytest.mark.parametrize("suffix", ["flac", "wav"])
def test_what_is_no_sound_is_told(content, suffix):
    """Bytes that are no recording are refused with a clause, and no other error."""
    with pytest.raises(BadClip, match="cannot be read as sound"):
        unpacked(f"{'a' * 64}.{suffix}", content)
