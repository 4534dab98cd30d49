"""The record of a shift as it is written: append only, on the disk before anybody is told.

Imports the modules of ``record`` and ``errors``. In its folder lie ``record.jsonl`` (the lines),
``clips/`` (recordings named by their SHA-256), ``record.lock``, and ``record.torn-N`` where a
power loss cut a line short.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import wave
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

from assistant.errors import RecordBroken, RecordProblem
from assistant.record import chain, disk, kinds
from assistant.record.entry import BadLine, Entry, to_entry, to_line

FILE_NAME = "record.jsonl"
LOCK_NAME = "record.lock"
CLIPS_NAME = "clips"
TORN_NAME = "record.torn-{number}"


class Record:
    """The one writer of a record folder. All methods belong to the thread that opened it."""

    def __init__(
        self, folder: Path, now: Callable[[], datetime], lock: int, descriptor: int
    ) -> None:
        self._folder, self._now = folder, now
        self._lock, self._descriptor = lock, descriptor
        self._path = folder / FILE_NAME
        self._entries: list[Entry] = []
        self._head = ""
        self._size = 0
        self._given_up: RecordProblem | None = None
        self.notes: tuple[str, ...] = ()
        """Sentences about what was found and mended on opening."""

    @classmethod
    def open(cls, folder: Path, now: Callable[[], datetime]) -> Record:
        """Open the record in ``folder``, making both where they are missing.

        ``now`` returns the aware time that a line gets.

        Raises:
            RecordInUse: another process has it open.
            RecordBroken: a line was changed or removed; nothing may be written after it.
            RecordFull: there is no room.
            RecordProblem: the disk refuses.
        """
        path = folder / FILE_NAME
        try:
            folder.mkdir(parents=True, exist_ok=True)
            disk.sync_folder(folder.parent)
            lock = disk.lock(folder / LOCK_NAME)
        except OSError as error:
            raise disk.problem_of(error, path) from error
        try:
            descriptor = disk.open_file(path, os.O_RDWR | os.O_CREAT | os.O_APPEND)
        except OSError as error:
            os.close(lock)
            raise disk.problem_of(error, path) from error
        record = cls(folder, now, lock, descriptor)
        try:
            record._read()
        except OSError as error:
            record.close()
            raise disk.problem_of(error, path) from error
        except BaseException:
            record.close()
            raise
        return record

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
            ValueError, TypeError: ``kind`` or ``fields`` are no line of a record.
        """
        if self._given_up is not None:
            raise self._given_up
        if kind not in kinds.ALL:
            raise ValueError(f"{kind} is no kind of line")
        line = to_line(len(self._entries), self._now(), kind, fields, self._head)
        entry = to_entry(line)
        try:
            disk.write_all(self._descriptor, line + b"\n")
            disk.sync(self._descriptor)
        except OSError as error:
            raise self._cut_back(error) from error
        except BaseException as interruption:
            self._cut_back(OSError(str(interruption)))
            raise
        self._entries.append(entry)
        self._head = entry.digest
        self._size += len(line) + 1
        return entry

    def keep_clip(self, pcm: bytes, rate_hz: int) -> str:
        """Keep a recording (mono, 16 bit) as a WAV file; return its file name in ``clips/``.

        It is on the disk when this returns. The same sound twice is one file.

        Raises:
            RecordFull: there is no room.
            RecordProblem: the disk refuses.
        """
        content = _wav(pcm, rate_hz)
        name = f"{hashlib.sha256(content).hexdigest()}.wav"
        clips = self._folder / CLIPS_NAME
        try:
            if not clips.is_dir():
                clips.mkdir()
                disk.sync_folder(self._folder)
            if not (clips / name).exists():
                _write_whole(clips / name, content)
        except OSError as error:
            raise disk.problem_of(error, clips / name) from error
        return name

    def close(self) -> None:
        """Let go of the folder. Safe to call twice."""
        if self._descriptor < 0:
            return
        os.close(self._descriptor)
        os.close(self._lock)
        self._descriptor = self._lock = -1
        self._given_up = RecordProblem("The record was closed already.")

    # ---- opening

    def _read(self) -> None:
        disk.sync_folder(self._folder)
        for left_over in (self._folder / CLIPS_NAME).glob("*.part"):
            left_over.unlink()
        data = self._path.read_bytes()
        found = chain.read(data)
        if found.broken:
            raise _broken(found.broken[0], self._path)
        self._entries = list(found.entries)
        self._head = found.head
        self._size = len(data) - len(found.torn)
        if found.torn:
            self._mend(found.torn)

    def _mend(self, torn: bytes) -> None:
        """Complete a last line that lacks only its end, or set a torn one aside."""
        with contextlib.suppress(BadLine):
            entry = to_entry(torn)
            if (entry.seq, entry.prev) == (len(self._entries), self._head):
                disk.write_all(self._descriptor, b"\n")
                disk.sync(self._descriptor)
                self._entries.append(entry)
                self._head = entry.digest
                self._size += len(torn) + 1
                self.notes = ("The last line of the record lacked its end. It is whole again.",)
                return
        aside = _free_name(self._folder)
        _write_whole(aside, torn)
        os.ftruncate(self._descriptor, self._size)
        disk.sync(self._descriptor)
        self.notes = (
            f"The last line of the record was cut short while it was written. It is kept in "
            f"{aside.name}, and everything before it is whole.",
        )

    # ---- writing

    def _cut_back(self, error: OSError) -> RecordProblem:
        """Take away what was written of a line; where that fails too, write nothing any more."""
        problem = disk.problem_of(error, self._path)
        try:
            os.ftruncate(self._descriptor, self._size)
            disk.sync(self._descriptor)
        except OSError:
            self._given_up = problem
        return problem


def _broken(line: chain.Line, path: Path) -> RecordBroken:
    return RecordBroken(
        f"Line {line.number} of {path} {line.problem}. Nothing is written after it. Keep the "
        "folder as it is, and start a new record with --record FOLDER."
    )


def _wav(pcm: bytes, rate_hz: int) -> bytes:
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate_hz)
        file.writeframes(pcm)
    return buffer.getvalue()


def _write_whole(path: Path, content: bytes) -> None:
    """Write a file so that its name stands for all of it or does not exist."""
    part = path.with_name(path.name + ".part")
    try:
        descriptor = disk.open_file(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        try:
            disk.write_all(descriptor, content)
            disk.sync(descriptor)
        finally:
            os.close(descriptor)
        part.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            part.unlink()
        raise
    disk.sync_folder(path.parent)


def _free_name(folder: Path) -> Path:
    number = 1
    while (folder / TORN_NAME.format(number=number)).exists():
        number += 1
    return folder / TORN_NAME.format(number=number)
