from __future__ import annotations

import io
import struct
import wave

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.mouth.sound import Sound
from assistant.mouth.sound_files import SoundFileError, read_sound, wav_bytes

SAMPLES = np.array([1, -2, 300, -32_768, 32_767], dtype=np.int16)
RATES = {22_050: b"\x40\x0d\xac\x44", 44_100: b"\x40\x0e\xac\x44", 8_000: b"\x40\x0b\xfa\x00"}


def _aiff(
    rate_hz: int = 22_050, kind: bytes = b"AIFF", packing: bytes = b"", bits: int = 16
) -> bytes:
    order = "<i2" if packing == b"sowt" else ">i2"
    common = struct.pack(">hIh", 1, len(SAMPLES), bits) + RATES[rate_hz].ljust(10, b"\0")
    if packing:
        common += packing + b"\0\0"
    sound = bytes(8) + SAMPLES.astype(order).tobytes()
    # An odd chunk in between is followed by a byte of fill.
    chunks = [(b"FLLR", b"odd"), (b"COMM", common), (b"SSND", sound)]
    body = b"".join(
        name + struct.pack(">I", len(data)) + data + bytes(len(data) % 2) for name, data in chunks
    )
    return b"FORM" + struct.pack(">I", 4 + len(body)) + kind + body


def test_wav_comes_back():
    """What is written is read again."""
    sound = read_sound(wav_bytes(Sound(SAMPLES, 22_050)))

    assert sound.rate_hz == 22_050
    assert sound.samples.tolist() == SAMPLES.tolist()


@pytest.mark.parametrize("rate_hz", RATES)
@pytest.mark.parametrize(
    ("kind", "packing"),
    [(b"AIFF", b""), (b"AIFC", b"NONE"), (b"AIFC", b"twos"), (b"AIFC", b"sowt")],
)
def test_aiff_is_read(rate_hz, kind, packing):
    """The AIFF that macOS writes is read in either byte order, with its sample rate."""
    sound = read_sound(_aiff(rate_hz, kind, packing))

    assert sound.rate_hz == rate_hz
    assert sound.samples.tolist() == SAMPLES.tolist()


def test_two_channels_become_their_mean():
    """Of two channels the mean is heard."""
    out = io.BytesIO()
    with wave.open(out, "wb") as writer:
        writer.setnchannels(2)
        writer.setsampwidth(2)
        writer.setframerate(8_000)
        writer.writeframes(np.array([[100, 300], [-50, 50]], dtype="<i2").tobytes())

    assert read_sound(out.getvalue()).samples.tolist() == [200, 0]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"FORM",
        b"not a sound",
        bytes(200),
        wav_bytes(Sound(SAMPLES, 8_000))[:-2],
        wav_bytes(Sound(np.zeros(50, dtype=np.int16), 8_000)),
        wav_bytes(Sound(SAMPLES[:0], 8_000)),
        _aiff()[:-2],
        _aiff(packing=b"ulaw"),
        _aiff(bits=24),
        _aiff(kind=b"8SVX"),
    ],
)
def test_broken_files_are_refused(content):
    """Torn, empty, silent and foreign files are refused by one named error."""
    with pytest.raises(SoundFileError):
        read_sound(content)


@given(st.sampled_from([_aiff(), wav_bytes(Sound(SAMPLES, 8_000))]), st.data())
def test_no_damage_gets_past_the_named_error(content, data):
    """Whatever a disk does to a file, it is either read or refused by the named error."""
    at = data.draw(st.integers(0, len(content) - 1))
    broken = content[:at] + data.draw(st.binary(max_size=8)) + content[at + 4 :]
    try:
        sound = read_sound(broken)
    except SoundFileError:
        return

    assert sound.samples.any()
