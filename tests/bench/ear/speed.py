"""How fast, how large, how soon: our ear alone, on one core, in processes of its own.

Times are seconds of the processor, so that whatever else the machine does counts nothing. Run by
measure.py as ``python speed.py FOLDER MODEL (time|load|memory)``; prints JSON.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[3]), str(Path(__file__).parents[2])]

import numpy as np
from bench.ear import cutting
from bench.ear.levels import CLEAN, Noises, at_level, chance, to_pcm
from bench.ear.recordings_in import Recording, Sound, own_phrases
from bench.ear.sets import ANSWERS, WIDTHS, Asked, questions

from assistant.dialogue.prompts import step_grammar
from assistant.dialogue.state import Phase
from assistant.ear.gate import FRAME_MS, Gate, silero
from assistant.ear.listening import Listening
from assistant.ear.ports import Clip
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE_HZ
from assistant.places import procedure_file
from assistant.procedure.loader import load_procedure
from assistant.words import grammars

_CLIPS = 60
_LOADS = 5
_ENDS_DB = 30.0
_FRAME = RATE_HZ // 50
_PHASES = (Phase.ANSWER, Phase.SECOND_WAY, Phase.CONFIRM)


def measured(clips: Path, model: Path) -> dict[str, Any]:
    """Return every figure of speed; the graphs must have been compiled before."""
    found: dict[str, Any] = {}
    loads = []
    for what in ("load",) * _LOADS + ("time", "memory"):
        command = [sys.executable, __file__, str(clips), str(model), what]
        one_thread = {**os.environ, "OMP_NUM_THREADS": "1"}
        done = subprocess.run(command, check=True, capture_output=True, env=one_thread)
        told = json.loads(done.stdout.splitlines()[-1])
        loads += [told.pop("load_s")] if what == "load" else []
        found |= told
    found["load_s"] = statistics.median(loads)
    found["model_mb"] = sum(f.stat().st_size for f in model.rglob("*") if f.is_file()) / 1e6
    return found


def end_of_speech(sound: Sound) -> int:
    """Return the sample behind the last frame that is no more than 30 dB below the loudest."""
    whole = sound[: len(sound) // _FRAME * _FRAME].astype(np.float64).reshape(-1, _FRAME)
    power = (whole**2).mean(axis=1)
    loud = np.flatnonzero(power > power.max() / 10 ** (_ENDS_DB / 10))
    return int(loud[-1] + 1) * _FRAME if len(loud) else 0


def _load(model: Path) -> dict[str, Any]:
    began = time.process_time()
    recogniser = Recogniser(model)
    recogniser.prepare(grammars.value("in"))
    return {"load_s": time.process_time() - began}


def _time(clips: Path, model: Path) -> dict[str, Any]:
    recogniser = Recogniser(model)
    with tempfile.TemporaryDirectory() as empty:
        began = time.process_time()
        Recogniser(model, cache=Path(empty)).prepare(grammars.value("in"))
        first_s = time.process_time() - began
    picked = _picked(own_phrases(clips))
    for _, asked in picked:
        recogniser.hear(Clip(bytes(RATE_HZ), RATE_HZ), asked.grammar)
    gate, figures = Gate(silero()), _Figures()
    for one, asked in sorted(picked, key=lambda pair: pair[1].grammar.key):
        figures.take(one, asked, recogniser, gate)
    return {"first_load_s": first_s, **figures.summary()}


def _picked(clips: list[Recording]) -> list[tuple[Recording, Asked]]:
    asked = questions(clips)
    pairs = [(one, question) for one in clips for question in asked(one)]
    found: list[tuple[Recording, Asked]] = []
    for group in (WIDTHS, ANSWERS):
        of_group = [pair for pair in pairs if pair[1].group == group]
        chance("speed").shuffle(of_group)
        found += of_group[:_CLIPS]
    return found


class _Figures:
    """What clips cost, and how long after the last sound each was understood."""

    def __init__(self) -> None:
        self.decode_s = self.gate_s = self.all_s = 0.0
        self.said_s = self.gated_s = self.open_s = 0.0
        self.delays: dict[str, list[float]] = {WIDTHS: [], ANSWERS: []}

    def take(self, one: Recording, asked: Asked, recogniser: Recogniser, gate: Gate) -> None:
        sound = at_level(one.id, one.sound(), CLEAN, _NO_NOISE)[1]
        pcm = cutting.with_silence(to_pcm(sound), asked.patience_ms)
        began = time.process_time()
        said = cutting.utterances(pcm, gate, asked.patience_ms, all_of_them=True)
        self.gate_s += time.process_time() - began
        self.gated_s += len(pcm) / 2 / RATE_HZ
        if not said:
            return
        began = time.process_time()
        recogniser.hear(Clip(said[0], RATE_HZ), asked.grammar)
        self.decode_s += time.process_time() - began
        self.said_s += len(said[0]) / 2 / RATE_HZ
        self._live(pcm, asked, Listening(recogniser, gate), end_of_speech(sound) / RATE_HZ)

    def _live(self, pcm: bytes, asked: Asked, listening: Listening, spoken_s: float) -> None:
        """Bring the sound at the pace of a microphone, and note when the answer is there."""
        listening.begin(asked.grammar, asked.patience_ms)
        free_s = 0.0
        for number, frame in enumerate(cutting.frames(pcm), 1):
            began = time.process_time()
            heard = listening.push(frame)
            took = time.process_time() - began
            self.all_s += took
            free_s = max(free_s, number * FRAME_MS / 1000) + took
            if heard is not None:
                self.open_s += number * FRAME_MS / 1000
                self.delays[asked.group].append(free_s - spoken_s)
                return

    def summary(self) -> dict[str, Any]:
        decode, gate = self.decode_s / self.said_s, self.gate_s / self.gated_s
        found: dict[str, Any] = {
            "rtf_decode": decode,
            "rtf_gate": gate,
            "rtf_all": self.all_s / self.open_s,
        }
        for group, delays in self.delays.items():
            if len(delays) > 1:
                last = statistics.quantiles(delays, n=10)[-1]
                found[f"delay {group}"] = {"median": statistics.median(delays), "p90": last}
        return found


_NO_NOISE = Noises(Path(), ())


def _memory(model: Path) -> dict[str, Any]:
    """Return the size of this process with all that a finish weld is heard with."""
    before = _status_mb("VmRSS")
    recogniser, gate = Recogniser(model), Gate(silero())
    told = {step_grammar(s, p) for s in _finish_weld() for p in _PHASES}
    told |= {grammars.on_hold(), grammars.waiting(), grammars.done(), grammars.yes_no()}
    by_key = {grammar.key: grammar for grammar in told}
    gate.push(bytes(2 * RATE_HZ))
    for grammar in by_key.values():
        recogniser.hear(Clip(bytes(4 * RATE_HZ), RATE_HZ), grammar)
    return {
        "grammars": len(by_key),
        "rss_mb": _status_mb("VmRSS"),
        "most_rss_mb": _status_mb("VmHWM"),
        "rss_before_mb": before,
    }


def _finish_weld() -> tuple[Any, ...]:
    return load_procedure(procedure_file("finish-weld")).steps


def _status_mb(name: str) -> float:
    """Return a size from Linux' list about this process; 0 elsewhere."""
    try:
        lines = Path("/proc/self/status").read_text().splitlines()
    except OSError:
        return 0.0
    return next(int(line.split()[1]) / 1024 for line in lines if line.startswith(f"{name}:"))


def _main() -> None:
    clips, model, what = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    told = {"load": _load, "memory": _memory}
    print(json.dumps(_time(clips, model) if what == "time" else told[what](model)))


if __name__ == "__main__":
    _main()
