"""One crash: a record is written and the power goes, perhaps also while it comes back.

What a writer was told is kept here and compared with what is found afterwards.
"""

from __future__ import annotations

import errno
import itertools
import random
import tempfile
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from pathlib import Path

from support.power_cut import ForgetfulDisk, PowerCut

from assistant.errors import RecordProblem
from assistant.record.entry import Entry
from assistant.record.journal import Record
from assistant.record.verify import verify

FOLDER = Path("/data/shift")
_MORNING = datetime(2026, 5, 4, 7, 0, tzinfo=timezone(timedelta(hours=-5)))
_MOST_CUTS = 4


@dataclass
class Told:
    """What the writer was told has been kept."""

    lines: dict[int, str] = field(default_factory=dict)
    """Number of a line -> SHA-256 of its bytes."""
    steps: list[str] = field(default_factory=list)
    clips: set[str] = field(default_factory=set)
    twice: int = 0
    """How often a number was told of a second line."""
    cuts: int = 0
    """How often the power went while somebody wrote."""

    def line(self, entry: Entry) -> None:
        """Note a line that was acknowledged."""
        if entry.seq in self.lines:
            self.twice += 1
        self.lines[entry.seq] = entry.digest
        self.steps.append(str(entry.fields["step"]))


def a_crash(seed: int) -> Told:
    """Write on a disk that loses power, come back, and check; return what was acknowledged.

    Raises:
        AssertionError: something acknowledged was lost, told twice, or is not sound.
    """
    rng = random.Random(seed)  # noqa: S311 - when the power goes is no secret
    disk, told, clock = ForgetfulDisk(rng), Told(), _clock()
    for _ in range(rng.randint(1, _MOST_CUTS)):
        disk.cut_at = rng.randint(1, 100)
        if rng.random() < 0.25:
            disk.fail_at = {rng.randint(1, 100): rng.choice([errno.ENOSPC, errno.EIO])}
        try:
            _write(disk, clock, rng, told)
        except PowerCut:
            told.cuts += 1
        except RecordProblem:
            pass
        disk.power_back()
        check(disk, clock, told)
    return told


def _clock() -> itertools.count[int]:
    return itertools.count()


def _write(
    disk: ForgetfulDisk, clock: itertools.count[int], rng: random.Random, told: Told
) -> None:
    """Answer step after step, each one once, as a conversation does that resumes."""
    record = opened(disk, clock)
    for _ in range(rng.randint(0, 12)):
        step = f"step-{len(record.entries)}"
        clip = record.keep_clip(rng.randbytes(rng.choice([2, 800, 3000])), 16_000)
        told.clips.add(clip)
        said = "é" * rng.choice([1, 80, 700])
        entry = record.append("answered", {"step": step, "said": said, "clip": clip, "run": 0})
        told.line(entry)
    record.close()


def opened(disk: ForgetfulDisk, clock: itertools.count[int]) -> Record:
    """Open the record on this disk; ``clock`` gives it seconds."""
    return Record.open(
        FOLDER,
        lambda: _MORNING + timedelta(seconds=next(clock)),
        ticks=lambda: 0.0,
        disk=disk,
    )


def check(disk: ForgetfulDisk, clock: itertools.count[int], told: Told) -> None:
    """Open the record as the next start does, and compare it with what was acknowledged."""
    record = opened(disk, clock)
    found = {entry.seq: entry.digest for entry in record.entries}
    steps = [str(entry.fields["step"]) for entry in record.entries]
    record.close()
    with tempfile.TemporaryDirectory() as folder:
        disk.copy_to(Path(folder), of=FOLDER)
        verified = verify(Path(folder))
        clips = {path.name for path in (Path(folder) / "clips").glob("*")}

    assert told.lines.items() <= found.items(), "an acknowledged line is lost"
    assert told.twice == 0, "a number was acknowledged twice"
    assert len(set(steps)) == len(steps), "a step was kept twice"
    assert told.clips <= clips, "an acknowledged clip is lost"
    assert verified.problems == ()
    assert verified.lines == len(found)
