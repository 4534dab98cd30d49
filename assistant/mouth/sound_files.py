"""Reads what speech engines write, WAV or AIFF, and writes WAV. Imports ``sound`` only.

AIFF is what macOS writes whatever the file is called; Python has no reader for it from 3.13 on.
"""

from __future__ import annotations

import io
import struct
import wave

import numpy as np

from assistant.mouth.sound import Sound

# The wave module meets a damaged length with a bare RuntimeError.
_BROKEN = (wave.Error, EOFError, struct.error, ValueError, KeyError, RuntimeError)
_RATES_HZ = range(4_000, 200_000)
_BIG_ENDIAN = frozenset({b"", b"NONE", b"twos"})


class SoundFileError(Exception):
    """A file that is torn, silent or of a kind that no engine of ours writes."""


def wav_bytes(sound: Sound) -> bytes:
    """Return ``sound`` as the content of a WAV file."""
    out = io.BytesIO()
    with wave.open(out, "wb") as writer:
        writer.setnchannels(1)
        writer.setsampwidth(2)
        writer.setframerate(sound.rate_hz)
        writer.writeframes(sound.samples.astype("<i2").tobytes())
    return out.getvalue()


def read_sound(content: bytes) -> Sound:
    """Return the sound in a WAV or AIFF file of 16 bit; several channels become their mean.

    Raises:
        SoundFileError: it is torn, empty, nothing but silence, or of another kind.
    """
    try:
        sound = _read_aiff(content) if content[:4] == b"FORM" else _read_wav(content)
    except _BROKEN as problem:
        raise SoundFileError(str(problem) or "the file ends early") from problem
    # A power cut can leave a file of the right length that holds zeros only.
    if not sound.samples.any():
        raise SoundFileError("there is no sound in it")
    return sound


def _read_wav(content: bytes) -> Sound:
    with wave.open(io.BytesIO(content), "rb") as reader:
        _check_width(8 * reader.getsampwidth())
        frames = reader.getnframes()
        data = reader.readframes(frames)
        return _sound(data, "<i2", (frames, reader.getnchannels()), reader.getframerate())


def _read_aiff(content: bytes) -> Sound:
    """Read AIFF or AIFF-C ("Audio Interchange File Format", Apple, 1989; chunks, big-endian)."""
    if content[8:12] not in {b"AIFF", b"AIFC"}:
        raise ValueError("not an AIFF file")
    chunks: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= len(content):
        name, size = struct.unpack_from(">4sI", content, at)
        chunks[name] = content[at + 8 : at + 8 + size]
        at += 8 + size + size % 2
    common = chunks[b"COMM"]
    channels, frames, bits = struct.unpack_from(">hIh", common)
    # An extended float of 80 bits; sample rates are whole numbers, which its mantissa holds.
    exponent, mantissa = struct.unpack_from(">HQ", common, 8)
    rate_hz = mantissa >> (16_383 + 63 - exponent)
    packing = common[18:22]
    if packing not in _BIG_ENDIAN | {b"sowt"}:
        raise ValueError(f"unknown packing {packing!r}")
    order = "<i2" if packing == b"sowt" else ">i2"
    _check_width(bits)
    return _sound(chunks[b"SSND"][8:], order, (frames, channels), rate_hz)


def _check_width(bits: int) -> None:
    if bits != 16:
        raise ValueError(f"{bits} bit samples; 16 bit are wanted")


def _sound(data: bytes, order: str, shape: tuple[int, int], rate_hz: int) -> Sound:
    """Return sound from ``shape`` = (frames, channels) samples of type ``order``."""
    size = 2 * shape[0] * shape[1]
    if rate_hz not in _RATES_HZ or min(shape) < 1:
        raise ValueError(f"{shape[1]} channels of {shape[0]} samples at {rate_hz} Hz")
    if len(data) < size:
        raise ValueError("the file ends early")
    rows = np.frombuffer(data[:size], dtype=order).reshape(shape)
    mono = rows[:, 0] if shape[1] == 1 else rows.mean(axis=1)
    return Sound(mono.astype(np.int16), rate_hz)
