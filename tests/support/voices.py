"""Speech engines for tests: a child that writes a tone, dies, hangs or stays silent at will."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from assistant.mouth.sound import Sound, from_wave
from assistant.mouth.sound_files import wav_bytes

_CHILD = """\
import os, sys, time
what, diary, voice, rate, out, *how = sys.argv[1:]
with open(diary, "ab") as file:
    file.write((" ".join([voice, rate, *how, sys.stdin.read()]) + "\\n").encode())
if what == "hang":
    time.sleep(60)
if what == "no engine":
    sys.stderr.write("libespeak-ng.so.1 not found\\n")
    sys.exit(3)
if what == "crash":
    os.abort()
if what == "silent":
    sys.exit(0)
with open(what, "rb") as source, open(out, "wb") as target:
    target.write(source.read())
"""


def tone(hz: float = 1000, seconds: float = 0.3, rate_hz: int = 22_050) -> Sound:
    """Return a plain tone."""
    at_s = np.arange(round(seconds * rate_hz)) / rate_hz
    return from_wave(0.5 * np.sin(2 * np.pi * hz * at_s), rate_hz)


class FakeEngine:
    """A child command for ``Voice`` that does ``what``, and the diary of what it was asked.

    ``what`` is ``tone``, ``hang``, ``no engine``, ``crash`` or ``silent``.
    """

    def __init__(self, folder: Path, what: str = "tone", seconds: float = 0.3) -> None:
        folder.mkdir(exist_ok=True)
        self._diary = folder / "diary"
        script = folder / "child.py"
        script.write_text(_CHILD, encoding="ascii")
        (folder / "tone.wav").write_bytes(wav_bytes(tone(seconds=seconds)))
        does = str(folder / "tone.wav") if what == "tone" else what
        self.command = (sys.executable, "-S", str(script), does, str(self._diary))

    def asked(self) -> list[str]:
        """Return a line for each child started: voice, rate, how, sentence."""
        if not self._diary.exists():
            return []
        return self._diary.read_text(encoding="utf-8").splitlines()
