"""Recordings as files: sound in, bytes and a name out, and back.

Imports nothing of ours. A clip is FLAC (mono, 16 bit), and its name is the SHA-256 of the file's
bytes. Older records hold WAV files; so does one made where the FLAC library cannot be loaded: to
keep the sound counts more than how small it is. That library loads at the first clip.
"""

from __future__ import annotations

import hashlib
import io
import re
import wave

FLAC, WAV = "flac", "wav"
MEDIA_TYPES = {FLAC: "audio/flac", WAV: "audio/wav"}

_NAME = re.compile(rf"[0-9a-f]{{64}}\.({FLAC}|{WAV})")


class BadClip(Exception):
    """Bytes that are no clip of ours; ``str()`` says so as a clause."""


def is_name(name: str) -> bool:
    """Tell whether a text is the file name of a clip, and so nothing that leads elsewhere."""
    return _NAME.fullmatch(name) is not None


def media_type(name: str) -> str:
    """Return what a browser is told that a clip is; ``name`` is a clip's."""
    return MEDIA_TYPES[name.rpartition(".")[2]]


def kept_as(name: str, content: bytes) -> bool:
    """Tell whether a clip of this name is as it was kept."""
    return is_name(name) and hashlib.sha256(content).hexdigest() == name.partition(".")[0]


def load() -> None:
    """Load the library now, so that the first answer of a shift does not wait for it."""
    _flac(b"\0\0", 16_000)


def packed(pcm: bytes, rate_hz: int) -> tuple[str, bytes]:
    """Return name and bytes of the file that keeps a sound (mono, 16 bit little-endian).

    The same sound gets the same name, unless another version of the library packs it otherwise.
    """
    flac = _flac(pcm, rate_hz)
    content = _wav(pcm, rate_hz) if flac is None else flac
    suffix = WAV if flac is None else FLAC
    return f"{hashlib.sha256(content).hexdigest()}.{suffix}", content


def unpacked(name: str, content: bytes) -> tuple[bytes, int]:
    """Return samples (mono, 16 bit little-endian) and rate of a clip.

    Raises:
        BadClip: it is none, or nothing here can read it.
    """
    try:
        return _from_wav(content) if name.endswith(WAV) else _from_flac(content)
    except (ImportError, OSError, EOFError, ValueError, RuntimeError, wave.Error) as problem:
        raise BadClip("cannot be read as sound") from problem


def _flac(pcm: bytes, rate_hz: int) -> bytes | None:
    """Return a FLAC file, or None where none can be made: of no sound, or without the library."""
    if not pcm:
        return None
    try:
        import numpy as np  # noqa: PLC0415 - with the library
        import soundfile  # noqa: PLC0415 - loads a library that typed answers never need
    except (ImportError, OSError):
        return None
    buffer = io.BytesIO()
    samples = np.frombuffer(pcm, "<i2").astype(np.int16)
    try:
        soundfile.write(buffer, samples, rate_hz, format="FLAC", subtype="PCM_16")
    except RuntimeError:
        return None
    return buffer.getvalue()


def _from_flac(content: bytes) -> tuple[bytes, int]:
    import soundfile  # noqa: PLC0415 - loads a library that typed answers never need

    samples, rate_hz = soundfile.read(io.BytesIO(content), dtype="int16")
    if samples.ndim != 1:
        raise BadClip("has more than one channel")
    return samples.astype("<i2").tobytes(), int(rate_hz)


def _wav(pcm: bytes, rate_hz: int) -> bytes:
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate_hz)
        file.writeframes(pcm)
    return buffer.getvalue()


def _from_wav(content: bytes) -> tuple[bytes, int]:
    with wave.open(io.BytesIO(content), "rb") as file:
        if (file.getnchannels(), file.getsampwidth()) != (1, 2):
            raise BadClip("is not mono with 16 bit")
        return file.readframes(file.getnframes()), file.getframerate()
