"""Copies of records as many devices leave them, and a job folder told as plain data."""

from __future__ import annotations

import shutil
from datetime import datetime, timedelta, timezone
from hashlib import sha256
from pathlib import Path

from support.records import JOB, Scribe, TickingClock

from assistant.gather.merge import gather
from assistant.gather.told import Report
from assistant.record.journal import Record

NOW = datetime(2026, 7, 1, 12, 0, tzinfo=timezone.utc)
DAY = datetime(2026, 5, 4, 7, 0, tzinfo=timezone(timedelta(hours=-5)))


def device(folder: Path, number: int = 1, *, start: datetime = DAY, tests: int = 1) -> Path:
    """Write a shift of one device: a welder and a gun of its own, and strips with their sound."""
    record = _opened(folder, start)
    try:
        writer = Scribe(record)
        writer.begin(job={**JOB, "welder": f"welder {number}", "gun": f"gun {number}"})
        for test in range(tests):
            sound = bytes([number % 256, test % 256]) * 50
            clip = record.keep_clip(sound, 16_000)
            writer.judged("pass", writer.value("width", "inch and a quarter", "5/4", clip=clip))
    finally:
        record.close()
    return folder


def _opened(folder: Path, start: datetime) -> Record:
    clock = TickingClock(start)
    return Record.open(folder, clock, ticks=lambda: clock.moment.timestamp())  # noqa: PLW0108 - it moves


def copied(folder: Path, to: Path) -> Path:
    """Copy a record's folder as a person would."""
    shutil.copytree(folder, to, ignore=shutil.ignore_patterns("*.lock"))
    return to


def more(folder: Path, kind: str = "carried-on", *, start: datetime | None = None) -> Path:
    """Go on with a record; another kind of line makes another continuation."""
    record = _opened(folder, start or DAY + timedelta(hours=2))
    try:
        record.append(kind, {"run": 0, "step": "seam", "said": kind})
    finally:
        record.close()
    return folder


def merged(job: Path, *sources: Path) -> Report:
    """Gather all sources in one call."""
    return gather(sources, job, NOW)


def tree(folder: Path) -> dict[str, str]:
    """Return the fingerprint of every file of a folder by its path, but for locks."""
    return {
        path.relative_to(folder).as_posix(): sha256(path.read_bytes()).hexdigest()[:8]
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(".lock")
    }


def told(tmp_path: Path, source: Path) -> str:
    """Gather a source, and return what was said; nothing may lie outside the job folder."""
    before = {path for path in tmp_path.rglob("*") if "job" not in path.parts}
    report = merged(tmp_path / "job", source)
    after = {path for path in tmp_path.rglob("*") if "job" not in path.parts}
    assert before == after
    return " ".join(report.lines())
