"""Does the hearing, in several processes: mix, gate, and ask every engine about the same cut."""

from __future__ import annotations

import hashlib
import multiprocessing
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from assistant.ear.gate import Gate, silero

from . import cutting
from .engines import WHISPER, Engine, load
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
    """Name of the utterance's samples."""
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
    gate_name: str = field(default_factory=cutting.identity)


_setting: Setting | None = None
_engines: dict[str, Engine] = {}
_gates: list[Gate] = []


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
    pcm = to_pcm(sound)
    digest = hashlib.sha256(pcm).hexdigest()
    rows: list[_Plain] = []
    for number, asked in enumerate(job.asked):
        patience = asked.patience_ms
        name = name_of("cut", _setting.gate_name, str(patience), str(job.stream), digest)
        places = new.get(name, partial(_cut, pcm, patience, job.stream))
        if not places and not job.stream:
            rows += [(at, number, engine, noise, digest, None, 0.0) for engine in job.engines]
        for cut in places:
            said = cutting.said_in(pcm, tuple(cut))
            for engine in job.engines:
                rows.append((at, number, engine, noise, *_hear(engine, asked, said, new)))
    return at, rows, new.entries


def _hear(engine: str, asked: Asked, said: bytes, new: _New) -> tuple[str, str, float]:
    assert _setting is not None
    sound = hashlib.sha256(said).hexdigest()[:24]
    # Whisper takes no grammar: what it heard is the same at every moment.
    told = "" if engine == WHISPER else asked.grammar.key
    name = name_of("heard", _setting.identities[engine], told, sound)
    text, confidence = new.get(name, lambda: _engine(engine).hear(said, asked.grammar))
    return sound, text, confidence


class _New:
    """Looks up what is known, and notes what is not."""

    def __init__(self, known: dict[str, Any]) -> None:
        self._known = known
        self.entries: list[Entry] = []

    def get(self, name: str, make: Callable[[], Any]) -> Any:
        if name in self._known:
            return self._known[name]
        self.entries.append((name, make()))
        return self.entries[-1][1]


def _cut(pcm: bytes, patience_ms: int, stream: bool) -> list[cutting.Cut]:
    if not _gates:
        _gates.append(Gate(silero()))
    return cutting.cuts(pcm, _gates[0], patience_ms, all_of_them=stream)


def _engine(name: str) -> Engine:
    assert _setting is not None
    if name not in _engines:
        _engines[name] = load(name, _setting.model, _setting.whisper)
    return _engines[name]


def of_engine(rows: list[Row], engine: str) -> Iterator[Row]:
    """Yield one engine's rows."""
    return (row for row in rows if row.engine == engine)
