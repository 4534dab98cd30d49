"""A welder made of recordings: hears Lapcall through the loudspeaker, answers into the microphone.

Waits, as a person would, until Lapcall has been quiet for a moment; what Lapcall says is read from
what it prints, since no recogniser here understands it.
"""

from __future__ import annotations

import subprocess
import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from support.rig import Recorder, SoundRig

QUIET_S = 0.7
"""Silence on the loudspeaker after which the welder takes a turn."""
BREATH_S = 1.5
"""Time that Lapcall is given to begin to speak a line that it has printed."""
LOUD = 200
"""Peak of 32768 above which the loudspeaker counts as sounding."""
PATIENCE_S = 12.0
"""A welder who gets no reaction says it once more after so long."""

Answer = Callable[[str], Path | None]
"""The last line that Lapcall said -> the recording to answer with, or None to keep quiet."""


class Welder:
    """Answers one Lapcall process until it ends."""

    def __init__(
        self,
        rig: SoundRig,
        recorder: Recorder,
        answer: Answer,
        seen: Callable[[str], None] = lambda _: None,
    ) -> None:
        self._rig, self._recorder, self._answer, self._seen = rig, recorder, answer, seen
        self.lines: list[str] = []
        """All that Lapcall printed."""
        self._said_at = 0.0

    def work(self, process: subprocess.Popen[str], limit_s: float) -> int:
        """Answer until the process ends; return its exit code.

        Raises:
            TimeoutError: it did not end within ``limit_s`` seconds.
        """
        reader = threading.Thread(target=self._read, args=(process,), daemon=True)
        reader.start()
        give_up = time.monotonic() + limit_s
        answered_at, answered_to = 0.0, -1
        while process.poll() is None:
            if time.monotonic() > give_up:
                process.kill()
                raise TimeoutError("Lapcall did not end:\n" + "\n".join(self.lines[-30:]))
            time.sleep(0.1)
            turn = len(self._said())
            waited = time.monotonic() - answered_at
            if turn == 0 or (turn == answered_to and waited < PATIENCE_S):
                continue
            if time.monotonic() - self._said_at < BREATH_S or not self._is_quiet():
                continue
            recording = self._answer(self._said()[-1])
            if recording is not None and process.poll() is None:
                self._rig.play_mic(recording)
            answered_at, answered_to = time.monotonic(), turn
        reader.join(5)
        return process.returncode

    def _read(self, process: subprocess.Popen[str]) -> None:
        if process.stdout is None:
            raise RuntimeError("the process was started without a pipe")
        for line in process.stdout:
            self.lines.append(line.rstrip())
            self._seen(line)
            if line.startswith("Lapcall: "):
                self._said_at = time.monotonic()

    def _said(self) -> list[str]:
        lines = list(self.lines)
        return [x.removeprefix("Lapcall: ") for x in lines if x.startswith("Lapcall: ")]

    def _is_quiet(self) -> bool:
        tail = self._recorder.samples()[-int(QUIET_S * 16_000) :]
        return tail.size > 0 and int(np.abs(tail.astype(np.int32)).max()) < LOUD
