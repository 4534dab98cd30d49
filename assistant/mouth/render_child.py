"""Renders one sentence to a file and exits: ``python -m assistant.mouth.render_child``.

Arguments: VOICE RATE OUT.wav [gently]; the sentence comes on standard input. Started by
``voice`` only, as a process of its own, because the speech library holds one global engine that
is safe for one ``save_to_file`` in its life: a second one, a ``say`` after it or a second thread
write to the wrong file, block or crash. Imports nothing of ours, so that it starts quickly.

VOICE is the engine's own name of a voice; ``english`` takes the engine's voice if that is an
English one, else the first English one. RATE is in words a minute. ``gently`` gives way to all
other programs. Exit codes: 0 rendered, 3 no engine, 4 the engine made no sound.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any

ANY_ENGLISH = "english"
NO_ENGINE = 3
NO_SOUND = 4
_HEADER_BYTES = 44
_WAIT_S = 15.0
_SETTLED_S = 0.02
"""A file that has not grown for so long is complete."""


def english_voice(current: str | None, voices: Iterable[Any]) -> str | None:
    """Return the id of the voice to use: the current one if it is English, else the first such.

    None when no voice says that it is English: then the engine's own choice must do.
    """
    english = [str(voice.id) for voice in voices if _is_english(voice)]
    return current if current in english else next(iter(english), None)


def _is_english(voice: Any) -> bool:  # noqa: ANN401 - the library's class differs by version
    tags = [str(tag).lower().lstrip("\x05") for tag in voice.languages or []]
    return any(tag == "en" or tag.startswith(("en-", "en_")) for tag in tags)


def _wait_for(path: Path) -> bool:
    """Wait until ``path`` holds sound and has stopped growing: the library returns too early."""
    give_up = time.monotonic() + _WAIT_S
    before = 0
    while time.monotonic() < give_up:
        size = path.stat().st_size if path.exists() else 0
        if size > _HEADER_BYTES and size == before:
            return True
        before = size
        time.sleep(_SETTLED_S)
    return False


def _render(voice: str, rate_wpm: int, out: Path, text: str) -> int:
    try:
        import pyttsx3  # noqa: PLC0415 - a missing engine must become an exit code

        engine = pyttsx3.init()
    except Exception as problem:  # each driver fails in its own way
        sys.stderr.write(f"{problem}\n")
        return NO_ENGINE
    name = voice
    if voice == ANY_ENGLISH:
        name = english_voice(engine.getProperty("voice"), engine.getProperty("voices")) or ""
    if name:
        engine.setProperty("voice", name)
    engine.setProperty("rate", rate_wpm)
    engine.save_to_file(text, str(out))
    engine.runAndWait()
    if _wait_for(out):
        return 0
    sys.stderr.write("the speech engine wrote no sound\n")
    return NO_SOUND


def main(arguments: list[str]) -> int:
    """Do as the module's docstring says; return the exit code."""
    voice, rate_wpm, out, *how = arguments
    if how == ["gently"] and hasattr(os, "nice"):
        os.nice(10)
    return _render(voice, int(rate_wpm), Path(out), sys.stdin.buffer.read().decode("utf-8"))


if __name__ == "__main__":
    code = main(sys.argv[1:])
    sys.stdout.flush()
    sys.stderr.flush()
    # Not sys.exit: espeak stops the process with an assertion when Python takes it down.
    os._exit(code)
