"""Loads the sound library for ear and mouth, and keeps ALSA's chatter off the terminal.

Imports ``errors`` only. Loaded late, for without PortAudio the import of sounddevice itself fails.
"""

from __future__ import annotations

import contextlib
import ctypes
import sys
from types import ModuleType

from assistant.errors import SoundProblem

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
