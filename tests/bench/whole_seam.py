"""Both procedures of a seam by voice alone, through the virtual sound card: run by hand.

    .venv/bin/python tests/bench/whole_seam.py

Nothing is shortened but the ten minutes of cooling, which the welder ends with "carry on". Takes
about six minutes. Writes results/whole_seam.md: how long the seam took, how many answers had to
be given twice, and how soon an answer was acknowledged after its last sound.
"""

from __future__ import annotations

import json
import platform
import statistics
import subprocess
import sys
import tempfile
import time
import wave
from datetime import date
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from support.rig import SoundRig
from support.welder import Welder

from assistant.dialogue.lines import HOW_TO_WAKE
from assistant.places import procedure_file
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import AskChoice, AskYesNo, Step, Tell, Wait, Warn

AUDIO = ROOT / "demo" / "audio"
BY_ID = {
    "seam": "seam-twelve",
    "failure": "first-film-tearing",
    "width": "first-width",
    "heat-marks": "first-none",
    "feet": "first-feet",
}
ASLEEP = "first-wake-done"
"""Said where hands weld, awake or asleep."""
BY_KIND: tuple[tuple[type[Step], str], ...] = (
    (AskYesNo, "first-yes"),
    (Warn, "first-ready"),
    (Tell, "first-done"),
    (Wait, "first-carry-on"),
    (AskChoice, "first-none"),
)
RIGHT = ("Seam one two.", "One and one quarter inches.", "Seam length six five feet.")


class Head:
    """Knows the checklists, answers, and notes when it spoke."""

    def __init__(self) -> None:
        steps = [s for n in ("pre-weld", "finish-weld") for s in self._steps(n)]
        self._answers = {step.say: self._recording(step) for step in steps}
        self._answers[HOW_TO_WAKE] = ASLEEP
        self.given = 0

    @staticmethod
    def _steps(name: str) -> tuple[Step, ...]:
        return load_procedure(procedure_file(name)).steps

    @staticmethod
    def _recording(step: Step) -> str:
        if step.id in BY_ID:
            return BY_ID[step.id]
        if isinstance(step, Tell) and step.hands_busy:
            return ASLEEP
        return next((clip for kind, clip in BY_KIND if isinstance(step, kind)), "first-yes")

    def __call__(self, said: str) -> Path | None:
        """Return the answer to what was said last."""
        self.given += 1
        if said.endswith("Is that right?"):
            right = said.startswith(RIGHT)
            return AUDIO / ("first-yes.wav" if right else "second-no.wav")
        for text, clip in self._answers.items():
            if text and said.startswith(text):
                return AUDIO / f"{clip}.wav"
        return None


class TimedRig(SoundRig):
    """Notes when the voice of each answer ended."""

    ended: list[float]

    def play_mic(self, wav: Path | str) -> None:
        """Play, and note when the voice in it is over."""
        self.ended.append(time.monotonic() + voice_ends_s(Path(wav)))
        super().play_mic(wav)


def voice_ends_s(path: Path) -> float:
    """Return after how many seconds the voice in a quiet recording is over."""
    with wave.open(str(path)) as clip:
        samples = np.frombuffer(clip.readframes(clip.getnframes()), "<i2").astype(np.int32)
        rate_hz = clip.getframerate()
    loud = np.flatnonzero(np.abs(samples) > np.abs(samples).max() // 20)
    return float(loud[-1]) / rate_hz


def main() -> None:
    """Run a seam and write the table."""
    folder = Path(tempfile.mkdtemp())
    head = Head()
    heard_at: list[float] = []
    rig = TimedRig()
    rig.ended = []
    command = [sys.executable, "-u", "-m", "assistant", "work", "--once", "--headset"]
    command += ["--record", str(folder / "record")]
    began = time.monotonic()
    with rig, rig.capture() as recorder:
        welder = Welder(rig, recorder, head, seen=lambda line: _note(line, heard_at))
        with subprocess.Popen(
            command, env=rig.env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        ) as process:
            code = welder.work(process, limit_s=1200)
    took_s = time.monotonic() - began
    print("\n".join(welder.lines))
    rows = (folder / "record" / "record.jsonl").read_text(encoding="utf-8").splitlines()
    outcomes = [row["outcome"] for row in map(json.loads, rows) if row["kind"] == "judged"]
    delays = [_delay(at, rig.ended) for at in heard_at]
    _write(code, outcomes, took_s, head.given, [d for d in delays if d is not None])


def _note(line: str, heard_at: list[float]) -> None:
    if line.startswith("    You: "):
        heard_at.append(time.monotonic())


def _delay(at: float, ended: list[float]) -> float | None:
    before = [end for end in ended if end <= at]
    return at - before[-1] if before else None


def _write(code: int, outcomes: list[str], took_s: float, given: int, delays: list[float]) -> None:
    text = f"""# A whole seam by voice

{date.today().isoformat()}, {platform.machine()}, {platform.system()}, Python \
{platform.python_version()}; virtual sound card, one synthetic voice without noise.

| what | value |
|---|---|
| exit code | {code} |
| verdicts | {", ".join(outcomes)} |
| whole seam, both procedures | {took_s:.0f} s |
| answers given, repeats counted | {given} |
| end of the voice to words understood, median, patience of 0.5 to 1.2 s within \
| {statistics.median(delays):.2f} s |
"""
    (Path(__file__).parent / "results" / "whole_seam.md").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
