"""Does the hearing, in several processes: mix, gate, and ask every engine about the same cut."""

from __future__ import annotations

import hashlib
import multiprocessing
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.ear.gate import Gate, silero
from assistant.ear.listening import Listening
from assistant.ear.ports import Clip, Heard
from assistant.words.phrase import Grammar

from . import cutting
from .engines import OURS, WHISPER, Engine, load
from .kept import Entry, Kept, name_of
from .levels import to_pcm
from .recordings_in import Sound
from .sets import Asked


@dataclass(frozen=True)
class Job:
    """One sound, and what is asked about it."""

    name: str
    voice: str
    level: str
    sound: Callable[[], tuple[str, Sound]]
    """Returns the name of the noise in it, and the samples."""
    asked: tuple[Asked, ...]
    engines: tuple[str, ...]
    stream: bool = False
    """Sound as from an open microphone: every utterance in it counts, not the first alone."""
    meant_for: tuple[str, ...] = ()
    """The engines that hear it whenever they are measured: others than ours get a sample."""


@dataclass(frozen=True)
class Row:
    """One answer of one engine; without an engine, an utterance that the gate did not find."""

    engine: str
    asked: Asked
    job: Job
    noise: str
    sound: str
    """Name of the samples, before anything was cut out of them."""
    text: str | None
    """As the engine wrote it; None if the gate stayed shut."""
    confidence: float


@dataclass
class Setting:
    """What all processes know. Copied into them as they start."""

    jobs: list[Job]
    identities: dict[str, str]
    model: Path
    whisper: Path | None
    known: dict[str, Any]


_setting: Setting | None = None
_engines: dict[str, Engine] = {}
_fronts: list[cutting.Remembered] = []


def hear_all(setting: Setting, kept: Kept, processes: int) -> list[Row]:
    """Return the answers of all engines to all jobs."""
    global _setting  # noqa: PLW0603 - the processes are forked with it: sounds are large
    _setting = setting
    rows: list[Row] = []
    order = sorted(range(len(setting.jobs)), key=lambda at: _key(setting.jobs[at]))
    progress = _Progress(sum(_weight(job) for job in setting.jobs))
    with multiprocessing.get_context("fork").Pool(processes) as pool:
        for at, found, new in pool.imap_unordered(_work, order, chunksize=4):
            rows += [_row(setting.jobs, *plain) for plain in found]
            kept.add(new)
            progress.add(_weight(setting.jobs[at]))
    sys.stderr.write("\n")
    return rows


def _weight(job: Job) -> int:
    """About how long a job takes: a minute of talk as long as many clips."""
    return 25 if job.stream else 1


class _Progress:
    """Tells now and then how much is done."""

    def __init__(self, whole: int) -> None:
        self._whole, self._done, self._told = whole, 0, 0.0
        self._began = time.monotonic()

    def add(self, weight: int) -> None:
        self._done += weight
        passed = time.monotonic() - self._began
        if passed - self._told < 5 and self._done < self._whole:
            return
        self._told = passed
        left = passed / self._done * (self._whole - self._done)
        share = 100 * self._done / self._whole
        sys.stderr.write(f"\r{share:.0f} %, {passed:.0f} s, about {left:.0f} s left  ")
        sys.stderr.flush()


def _key(job: Job) -> tuple[str, str]:
    """Sounds under one grammar come together: an engine holds only a few at a time."""
    return (job.asked[0].grammar.key, job.name)


_Plain = tuple[int, int, str, str, str, str | None, float]


def _row(jobs: list[Job], job: int, asked: int, *rest: Any) -> Row:
    engine, noise, sound, text, confidence = rest
    one = jobs[job]
    return Row(engine, one.asked[asked], one, noise, sound, text, confidence)


def _work(at: int) -> tuple[int, list[_Plain], list[Entry]]:
    assert _setting is not None
    job, new = _setting.jobs[at], _New(_setting.known)
    noise, sound = job.sound()
    mixed = to_pcm(sound)
    digest = hashlib.sha256(mixed).hexdigest()[:24]
    pcm = cutting.with_silence(mixed, max(asked.patience_ms for asked in job.asked))
    front = _front()
    name = name_of("speech", cutting.identity(), hashlib.sha256(pcm).hexdigest())
    front.load(pcm, new.known.get(name, {}))
    rows: list[_Plain] = []
    for number, asked in enumerate(job.asked):
        for engine in job.engines:
            found: list[tuple[str | None, float]] = list(_heard(engine, asked, pcm, job, new))
            if not found and not job.stream:
                found = [(None, 0.0)]
            rows += [(at, number, engine, noise, digest, *one) for one in found]
    if front.learnt:
        new.entries.append((name, front.segments))
    return at, rows, new.entries


def _heard(
    engine: str, asked: Asked, pcm: bytes, job: Job, new: _New
) -> Iterator[tuple[str, float]]:
    """Yield what an engine makes of each utterance in a sound."""
    front, patience = _front(), asked.patience_ms
    front.rewind()
    gate = Gate(front)
    if engine == OURS:
        listening = Listening(_Asked(new), gate)
        grammar = asked.grammar
        for heard in cutting.listened(pcm, listening, grammar, patience, all_of_them=job.stream):
            yield heard.text, heard.confidence
        return
    for said in cutting.utterances(pcm, gate, patience, all_of_them=job.stream):
        yield _hear(engine, asked.grammar, said, new)


@dataclass
class _Asked:
    """Our recogniser as the front sees it, with a memory."""

    new: _New

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        text, confidence = _hear(OURS, grammar, clip.pcm, self.new)
        return Heard(text, (), confidence, clip, damaged)


def _hear(engine: str, grammar: Grammar, said: bytes, new: _New) -> tuple[str, float]:
    assert _setting is not None
    sound = hashlib.sha256(said).hexdigest()[:24]
    # Whisper takes no grammar: what it heard is the same at every moment.
    told = "" if engine == WHISPER else grammar.key
    name = name_of("heard", _setting.identities[engine], told, sound)
    text, confidence = new.get(name, lambda: _engine(engine).hear(said, grammar))
    return text, confidence


class _New:
    """Looks up what is known, and notes what is not."""

    def __init__(self, known: dict[str, Any]) -> None:
        self.known = known
        self._made: dict[str, Any] = {}
        self.entries: list[Entry] = []

    def get(self, name: str, make: Callable[[], Any]) -> Any:
        for have in (self.known, self._made):
            if name in have:
                return have[name]
        self._made[name] = made = make()
        self.entries.append((name, made))
        return made


def _front() -> cutting.Remembered:
    if not _fronts:
        _fronts.append(cutting.Remembered(silero()))
    return _fronts[0]


def _engine(name: str) -> Engine:
    assert _setting is not None
    if name not in _engines:
        _engines[name] = load(name, _setting.model, _setting.whisper)
    return _engines[name]
