# ruff: noqa: E402 - the project must be on the path before it is imported
"""Hears dev clips with each network of a model and keeps what it guessed. For ``calibrate.py``."""

from __future__ import annotations

import argparse
import hashlib
import multiprocessing
import sys
from collections import defaultdict
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from bench.ear import hours
from bench.ear.engines import OURS
from bench.ear.kept import Kept
from bench.ear.levels import HELD_OUT_NOISE, Noises, chance, to_pcm
from bench.ear.measure import clip_jobs
from bench.ear.recordings_in import own_phrases
from bench.ear.sets import Asked, everything_listed, hearable
from bench.ear.work import Job

from assistant.ear.gate import FRAME_BYTES, Gate, silero
from assistant.ear.listening import Listening
from assistant.ear.model_folder import look_at
from assistant.ear.ports import Clip, Heard
from assistant.ear.recogniser import Recogniser, heard_of
from assistant.ear.sound import RATE_HZ
from assistant.words.phrase import Grammar

NOISE_MINUTES_OF_THE_BENCH = 60
_FRONT = ("graph", "gate", "listening", "patience")
"""The parts that decide what a network gets to hear."""
_setting: tuple[list[Job], Path] | None = None
_tools: list[Any] = []
Row = dict[str, Any]


def jobs_of(options: argparse.Namespace) -> list[Job]:
    """Return every clip at every level, and minutes of noise that the bench does not use."""
    noises = Noises(options.shared / "noise", HELD_OUT_NOISE)
    recordings = [
        one for one in own_phrases(options.clips) if not options.kinds or one.kind in options.kinds
    ]
    lacking = Recogniser(options.model).missing_words(everything_listed(recordings))
    recordings = hearable(recordings, frozenset(lacking))
    if options.limit:
        kinds: dict[str, list[Any]] = defaultdict(list)
        for one in sorted(recordings, key=lambda r: chance(f"dev {r.id}").random()):
            kinds[one.kind].append(one)
        recordings = [one for ones in kinds.values() for one in ones[: options.limit]]
    told = argparse.Namespace(levels=options.levels, sphinx_sample=0, whisper_sample=0)
    whole = NOISE_MINUTES_OF_THE_BENCH
    noise = hours.noise_minutes(noises, whole + options.noise_minutes, [OURS])[whole:]
    return sorted(
        [*clip_jobs(recordings, noises, told, [OURS]), *noise],
        key=lambda job: (job.asked[0].grammar.key, job.name),
    )


def guessed(options: argparse.Namespace, jobs: list[Job]) -> list[Row]:
    """Return what each network guesses of each utterance; from WORK where it is known.

    A row has ``job`` (its name), ``asked`` (which of its questions), ``level``, ``group`` and
    ``networks``: for each the guesses as [text, score], or None where no speech was found.
    """
    global _setting  # noqa: PLW0603 - the processes are forked with it
    ear = ROOT / "assistant" / "ear"
    code = b"".join((ear / f"{name}.py").read_bytes() for name in _FRONT)
    form = f"{look_at(options.model).digest()}-{hashlib.sha256(code).hexdigest()[:8]}"
    heard = Kept(options.work / f"guesses-{form}.jsonl")
    _setting = (jobs, options.model)
    todo = [at for at, job in enumerate(jobs) if name_of(job) not in heard.known]
    with multiprocessing.get_context("fork").Pool(options.processes) as pool:
        for done, (at, rows) in enumerate(pool.imap(_hear, todo, chunksize=16), 1):
            heard.add([(name_of(jobs[at]), rows)])
            if done % 100 == 0:
                sys.stderr.write(f"\r{done} of {len(todo)} ")
    return [row for job in jobs for row in heard.known[name_of(job)]]


def name_of(job: Job) -> str:
    """Return a name for a clip at a level under its questions."""
    asked = " ".join(f"{a.group}/{a.grammar.key}/{a.patience_ms}" for a in job.asked)
    return f"{job.name} {job.level} {asked}"


class _Guesser:
    """Stands where the recogniser does, and remembers what each network guessed."""

    def __init__(self, model: Path) -> None:
        self._recogniser = Recogniser(model)
        self.guesses: dict[bytes, list[list[tuple[str, float]]]] = {}

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        answers = self._recogniser._answers(clip, grammar)
        self.guesses[clip.pcm] = [
            [(one["text"], round(one["confidence"], 3)) for one in answer.get("alternatives", ())]
            for answer in answers
        ]
        return heard_of(answers, grammar, clip, damaged=damaged)


def _hear(at: int) -> tuple[int, list[Row]]:
    assert _setting is not None
    jobs, model = _setting
    if not _tools:
        _tools.extend((_Guesser(model), Gate(silero())))
    guesser, gate = _tools
    gate.probability.forget_place()
    job, rows = jobs[at], []
    pcm = to_pcm(job.sound()[1])
    for number, asked in enumerate(job.asked):
        row = {"job": name_of(job), "asked": number, "level": job.level, "group": asked.group}
        guesser.guesses.clear()
        listening = Listening(guesser, gate)
        found = _utterances(listening, pcm, asked, once=not job.stream)
        rows += [{**row, "networks": guesser.guesses[said]} for said in found]
        if not found and not job.stream:
            rows.append({**row, "networks": None})
    return at, rows


def _utterances(listening: Listening, pcm: bytes, asked: Asked, *, once: bool) -> list[bytes]:
    """Return the samples of the first utterance, or of all; silence behind ends the last one."""
    whole = pcm + bytes(2 * (RATE_HZ * (2 * asked.patience_ms + 1000) // 1000))
    found = []
    listening.begin(asked.grammar, asked.patience_ms)
    for at in range(0, len(whole), FRAME_BYTES):
        heard = listening.push(whole[at : at + FRAME_BYTES])
        if heard is not None and heard.clip is not None:
            found.append(heard.clip.pcm)
            if once:
                break
            listening.begin(asked.grammar, asked.patience_ms)
    return found
