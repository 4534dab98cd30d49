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

from bench.ear import cutting, hours
from bench.ear.engines import OURS
from bench.ear.kept import Kept
from bench.ear.levels import Noises, chance, to_pcm
from bench.ear.measure import clip_jobs, held_out_noise
from bench.ear.recordings_in import own_phrases
from bench.ear.sets import everything_listed, hearable
from bench.ear.work import Job

from assistant.ear.gate import Gate, silero
from assistant.ear.model_folder import look_at
from assistant.ear.recogniser import Recogniser, _answer
from assistant.ear.sound import RATE_HZ

NOISE_MINUTES_OF_THE_BENCH = 60
_setting: tuple[list[Job], Path, dict[str, Any]] | None = None
_tools: list[Any] = []
Row = dict[str, Any]


def jobs_of(options: argparse.Namespace) -> list[Job]:
    """Return every clip at every level, and minutes of noise that the bench does not use."""
    noises = Noises(options.shared / "noise", held_out_noise())
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
    ``networks``: for each the guesses as [text, score], or None where the gate found no speech.
    """
    global _setting  # noqa: PLW0603 - the processes are forked with it
    code = hashlib.sha256((ROOT / "assistant/ear/graph.py").read_bytes()).hexdigest()
    heard = Kept(options.work / f"guesses-{look_at(options.model).digest()}-{code[:8]}.jsonl")
    gate = hashlib.sha256(cutting.identity().encode()).hexdigest()
    cuts = Kept(options.work / f"cuts-{gate[:8]}.jsonl")
    _setting = (jobs, options.model, cuts.known)
    todo = [at for at, job in enumerate(jobs) if name_of(job) not in heard.known]
    with multiprocessing.get_context("fork").Pool(options.processes) as pool:
        for done, (at, places, rows) in enumerate(pool.imap(_hear, todo, chunksize=16), 1):
            heard.add([(name_of(jobs[at]), rows)])
            cuts.add([(name_of(jobs[at]), places)])
            if done % 100 == 0:
                sys.stderr.write(f"\r{done} of {len(todo)} ")
    return [row for job in jobs for row in heard.known[name_of(job)]]


def name_of(job: Job) -> str:
    """Return a name for a clip at a level under its questions."""
    asked = " ".join(f"{a.group}/{a.grammar.key}/{a.patience_ms}" for a in job.asked)
    return f"{job.name} {job.level} {asked}"


def _hear(at: int) -> tuple[int, list[list[cutting.Cut]], list[Row]]:
    assert _setting is not None
    jobs, model, known = _setting
    if not _tools:
        _tools.extend((Recogniser(model), Gate(silero())))
    recogniser, gate = _tools
    job, name = jobs[at], name_of(jobs[at])
    pcm, rows = to_pcm(job.sound()[1]), []
    cuts = known.get(name) or [
        cutting.cuts(pcm, gate, asked.patience_ms, all_of_them=job.stream) for asked in job.asked
    ]
    for number, (asked, places) in enumerate(zip(job.asked, cuts, strict=True)):
        row = {"job": name, "asked": number, "level": job.level, "group": asked.group}
        if not places and not job.stream:
            rows.append({**row, "networks": None})
        for cut in places:
            raws = recogniser._engine.recognisers(asked.grammar, RATE_HZ)
            answers = [_answer(raw, cutting.said_in(pcm, tuple(cut))) for raw in raws]
            rows.append({**row, "networks": [_guesses(answer) for answer in answers]})
    return at, cuts, rows


def _guesses(answer: dict[str, Any]) -> list[tuple[str, float]]:
    return [(one["text"], round(one["confidence"], 3)) for one in answer.get("alternatives", ())]
