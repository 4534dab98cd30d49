"""Loads the sound library for ear and mouth, and keeps ALSA's chatter off the terminal.

Imports ``errors`` and ``sound_lock``. Loaded late, for without PortAudio the import of sounddevice
itself fails.
"""

from __future__ import annotations

import contextlib
import ctypes
import sys
import threading
from types import ModuleType
from typing import Any

from assistant.errors import SoundProblem
from assistant.sound_lock import open_streams, sound_lock, stream_closed

_CLOSING_S = 0.5
"""How long to wait for a hung device to let its stream go."""

# ALSA writes each hiccup straight to stderr, into the middle of the conversation on the screen.
# What matters of it reaches us as stream flags and errors.
_HANDLER = ctypes.CFUNCTYPE(
    None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p
)
_SAY_NOTHING = _HANDLER(lambda *_: None)
"""Kept for ever: ALSA holds a bare pointer to it."""


def load_sound_library(problem: type[SoundProblem]) -> ModuleType:
    """Return the sounddevice module.

    Raises:
        SoundProblem: PortAudio is missing; raised as ``problem``, with what to do.
    """
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError, AttributeError):
            ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(_SAY_NOTHING)
    try:
        import sounddevice  # noqa: PLC0415 - see the module's docstring
    except OSError as error:
        raise problem(
            "The sound library PortAudio is missing: install it with "
            "'sudo apt install libportaudio2', then start again."
        ) from error
    library: ModuleType = sounddevice
    return library


def takes_mono(sd: ModuleType, way: str, place: str | int | None, rate_hz: int) -> bool:
    """Tell whether a device takes one channel; ``way`` is ``"input"`` or ``"output"``."""
    check = getattr(sd, f"check_{way}_settings")
    try:
        check(place, channels=1, dtype="int16", samplerate=rate_hz)
    except sd.PortAudioError:
        return False
    return True


def devices_seen(sd: ModuleType, way: str) -> str:
    """Return the names of the devices of one ``way``, or ``"none"``. Call under the lock."""
    names = [about["name"] for about in sd.query_devices() if about[f"max_{way}_channels"] > 0]
    return ", ".join(names) or "none"


def look_again(sd: ModuleType) -> None:
    """Let the library see which devices there are now, unless a stream is in use.

    Call under ``sound_lock()``.
    """
    if open_streams() == 0:
        sd._terminate()
        sd._initialize()


def close_stream(stream: Any, *, hangs: bool) -> None:  # noqa: ANN401 - the library has no types
    """Close a stream that was counted; one that ``hangs`` is closed without waiting for it."""
    if not hangs:
        with sound_lock():
            stream.close()
            stream_closed()
        return

    def close_in_the_end() -> None:
        # Blocks for as long as the device hangs, so without the lock; until it returns, the
        # count keeps the library from being re-initialised under it.
        stream.close()
        with sound_lock():
            stream_closed()

    closer = threading.Thread(target=close_in_the_end, name="stream-closer", daemon=True)
    closer.start()
    closer.join(_CLOSING_S)
