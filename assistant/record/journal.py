"""The record of a shift as it is written: append only, on the disk before anybody is told.

Imports the modules of ``record`` and ``errors``. In its folder lie ``record.jsonl`` (the lines),
``clips/`` (recordings named by their SHA-256), ``record.lock``, and ``record.torn-N`` where a
power loss cut a line short.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Mapping
from datetime import datetime
from enum import Enum
from pathlib import Path

from assistant.errors import RecordBroken, RecordProblem
from assistant.record import chain, kinds
from assistant.record.clips import packed
from assistant.record.disk import DISK, Disk, Held, problem_of, write_whole
from assistant.record.entry import BadLine, Entry, to_entry, to_line
from assistant.record.older import FORMAT
from assistant.record.ticks import seconds_up

FILE_NAME = "record.jsonl"
LOCK_NAME = "record.lock"
CLIPS_NAME = "clips"
TORN_NAME = "record.torn-{number}"
PROBE_NAME = "record.probe"

_PROBE = bytes(64 * 1024)
"""Written on opening: what has room for this has room for some hundred lines."""
LITTLE_ROOM = 256 * 1024 * 1024
"""Less than this may be filled by the clips of some shifts."""


class Noticed(Enum):
    """What was found on opening that whoever works should hear of."""

    MADE_WHOLE = "the last line lacked its end"
    CUT_SHORT = "the last line was cut short"
    LITTLE_ROOM = "there is little room left"


class Record:
    """The one writer of a record folder. All methods belong to the thread that opened it."""

    def __init__(self, folder: Path, now: Callable[[], datetime], disk: Disk) -> None:
        self._folder, self._now, self._disk = folder, now, disk
        self._lock: Held | None = None
        self._descriptor = -1
        self._path = folder / FILE_NAME
        self._ticks: Callable[[], float] = seconds_up
        self._up_since: float | None = None
        self._entries: list[Entry] = []
        self._head = ""
        self._size = 0
        self._given_up: RecordProblem | None = None
        self.notes: tuple[str, ...] = ()
        """Sentences about what was found and mended on opening."""
        self.noticed: tuple[Noticed, ...] = ()
        """The same, for telling it by voice."""

    @classmethod
    def open(
        cls,
        folder: Path,
        now: Callable[[], datetime],
        *,
        ticks: Callable[[], float] = seconds_up,
        disk: Disk = DISK,
    ) -> Record:
        """Open the record in ``folder``, making both where they are missing.

        ``now`` returns the aware time that a line gets, ``ticks`` the seconds of a clock that
        nobody sets. What lasts is tried out before this returns, so that work does not begin where
        it could not be kept.

        Raises:
            RecordInUse: another process has it open.
            RecordBroken: a line was changed or removed; nothing may be written after it.
            RecordFull: there is no room.
            RecordReadOnly: the disk or the folder may not be written.
            RecordProblem: the disk refuses otherwise.
        """
        record = cls(folder, now, disk)
        record._ticks = ticks
        try:
            record._take_hold()
            record._read()
            record._try_out()
        except OSError as error:
            record.close()
            raise problem_of(error, folder / FILE_NAME) from error
        except BaseException:
            record.close()
            raise
        return record

    @property
    def folder(self) -> Path:
        """Where it lies."""
        return self._folder

    def now(self) -> datetime:
        """Return the aware time that a line written now would get."""
        return self._now()

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Every line so far."""
        return tuple(self._entries)

    def append(self, kind: str, fields: Mapping[str, object]) -> Entry:
        """Write a line; it is on the disk when this returns.

        After a failure the file ends in its last whole line again, and nothing was added.

        Raises:
            RecordFull: there is no room. May be tried again once there is.
            RecordProblem: the disk refuses, or refused before, or the record was closed.
            ValueError, TypeError: ``kind`` or ``fields`` are no line of a record, or too much for
                one.
        """
        if self._given_up is not None:
            raise self._given_up
        if kind not in kinds.ALL:
            raise ValueError(f"{kind} is no kind of line")
        ticks = self._ticks()
        since = ticks if self._up_since is None else self._up_since
        up_ms = int((ticks - since) * 1000)
        line = to_line(len(self._entries), self._now(), kind, fields, self._head, up_ms=up_ms)
        if len(line) >= chain.MOST_BYTES:
            raise ValueError(f"a line has {chain.MOST_BYTES} bytes at most")
        entry = to_entry(line)
        try:
            self._disk.write(self._descriptor, line + b"\n")
            self._disk.sync(self._descriptor)
        except OSError as error:
            raise self._cut_back(error) from error
        except BaseException as interruption:
            self._cut_back(OSError(str(interruption)))
            raise
        self._entries.append(entry)
        self._head = entry.digest
        self._size += len(line) + 1
        self._up_since = since
        return entry

    def keep_clip(self, pcm: bytes, rate_hz: int) -> str:
        """Keep a recording (mono, 16 bit) as a FLAC file; return its file name in ``clips/``.

        It is on the disk when this returns. The same sound twice is one file.

        Raises:
            RecordFull: there is no room.
            RecordProblem: the disk refuses.
        """
        name, content = packed(pcm, rate_hz)
        clips = self._folder / CLIPS_NAME
        try:
            if not self._disk.has(clips):
                self._disk.make_folder(clips)
            if not self._disk.has(clips / name):
                write_whole(self._disk, clips / name, content)
        except OSError as error:
            raise problem_of(error, clips / name) from error
        return name

    def close(self) -> None:
        """Let go of the folder. Safe to call twice."""
        if self._descriptor >= 0:
            self._disk.close(self._descriptor)
        if self._lock is not None:
            self._lock.close()
        self._descriptor, self._lock = -1, None
        self._given_up = RecordProblem("The record was closed already.")

    # ---- opening

    def _take_hold(self) -> None:
        self._disk.make_folder(self._folder)
        self._lock = self._disk.lock(self._folder / LOCK_NAME)
        self._descriptor = self._disk.open(self._path, os.O_RDWR | os.O_CREAT | os.O_APPEND)
        self._disk.sync_folder(self._folder)

    def _read(self) -> None:
        self._sweep()
        data = self._disk.read(self._path)
        found = chain.read(data)
        if found.broken:
            raise _broken(found.broken[0], self._path)
        if any(entry.version > FORMAT for entry in found.entries):
            raise RecordProblem(
                f"{self._path} was written by a newer Lapcall. Use that one, or start a new record "
                "with --record FOLDER."
            )
        self._entries = list(found.entries)
        self._head = found.head
        self._size = len(data) - len(found.torn)
        if found.torn:
            self._mend(found.torn)
        else:
            self._disk.sync(self._descriptor)  # the last line may never have been acknowledged

    def _sweep(self) -> None:
        """Take away what a sudden end left half done."""
        clips = self._folder / CLIPS_NAME
        for name in self._disk.names(clips):
            if name.endswith(".part"):
                self._disk.remove(clips / name)
        for name in self._disk.names(self._folder):
            if name == PROBE_NAME or (name.startswith("record.torn-") and name.endswith(".part")):
                self._disk.remove(self._folder / name)

    def _mend(self, torn: bytes) -> None:
        """Complete a last line that lacks only its end, or set a torn one aside."""
        with contextlib.suppress(BadLine):
            entry = to_entry(torn)
            if (entry.seq, entry.prev) == (len(self._entries), self._head):
                self._disk.write(self._descriptor, b"\n")
                self._disk.sync(self._descriptor)
                self._entries.append(entry)
                self._head = entry.digest
                self._size += len(torn) + 1
                self._notice(
                    Noticed.MADE_WHOLE, "The last line of the record lacked its end. It is whole."
                )
                return
        aside = self._set_aside(torn)
        self._disk.cut(self._descriptor, self._size)
        self._disk.sync(self._descriptor)
        self._notice(
            Noticed.CUT_SHORT,
            f"The last line of the record was cut short while it was written. It is kept in "
            f"{aside.name}, and everything before it is whole.",
        )

    def _set_aside(self, torn: bytes) -> Path:
        """Keep a torn line in a file of its own, once, however often the power goes meanwhile."""
        number = 1
        while self._disk.has(aside := self._folder / TORN_NAME.format(number=number)):
            if self._disk.read(aside) == torn:
                self._disk.sync_folder(self._folder)
                return aside
            number += 1
        write_whole(self._disk, aside, torn)
        return aside

    def _try_out(self) -> None:
        """Write and sync something that is not missed: better refused now than at the first word.

        Raises ``OSError``.
        """
        probe = self._folder / PROBE_NAME
        descriptor = self._disk.open(probe, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        try:
            self._disk.write(descriptor, _PROBE)
            self._disk.sync(descriptor)
        finally:
            self._disk.close(descriptor)
            self._disk.remove(probe)
        room = self._disk.room(self._folder)
        if room < LITTLE_ROOM:
            self._notice(
                Noticed.LITTLE_ROOM,
                f"There is little room left for the record: {room // (1024 * 1024)} MiB.",
            )

    def _notice(self, what: Noticed, sentence: str) -> None:
        self.noticed, self.notes = (*self.noticed, what), (*self.notes, sentence)

    # ---- writing

    def _cut_back(self, error: OSError) -> RecordProblem:
        """Take away what was written of a line; where that fails too, write nothing any more."""
        problem = problem_of(error, self._path)
        try:
            self._disk.cut(self._descriptor, self._size)
            self._disk.sync(self._descriptor)
        except OSError:
            self._given_up = problem
        return problem


def _broken(line: chain.Line, path: Path) -> RecordBroken:
    return RecordBroken(
        f"Line {line.number} of {path} {line.problem}. Nothing is written after it. Keep the "
        "folder as it is, and start a new record with --record FOLDER."
    )
