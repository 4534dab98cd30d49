"""Records as they come from other devices, out of folders or zip files, and harmless to read.

Imports ``record`` and ``errors``. Nothing that comes in chooses where it is written: only what is
called as a record calls its files is read, each up to a size, and what writes it takes other names.
"""

from __future__ import annotations

import os
import stat
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from assistant.errors import UsageProblem
from assistant.gather import zipped
from assistant.gather.limits import MOST_SIDE, MOST_SIDE_FILES, RecordFiles, Refused, shown
from assistant.record.journal import CLIPS_NAME, FILE_NAME

_NO_DEVICE = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
"""So that neither a link nor a pipe that somebody left there can lead astray or hold up."""


@dataclass(slots=True)
class Came:
    """Everything that one FROM holds."""

    records: Iterator[RecordFiles]
    refused: list[str] = field(default_factory=list)
    """Sentences about what was left out; complete once ``records`` is used up."""


def opened(source: Path, job: Path) -> Came:
    """Return the records in a folder or a zip file; the job folder itself is passed over.

    Raises:
        UsageProblem: it is neither, or cannot be read.
    """
    try:
        if source.is_dir():
            came = Came(iter(()))
            came.records = _in_folder(source, job.resolve(), came.refused)
            return came
        if zipfile.is_zipfile(source):
            came = Came(iter(()))
            came.records = zipped.records(source, came.refused)
            return came
    except OSError as error:
        raise UsageProblem(f"{source} cannot be read ({error.strerror}).") from error
    what = "is neither a folder nor a zip file" if source.exists() else "does not exist"
    raise UsageProblem(f"{source} {what}. Name the folder of a record, or a zip file of one.")


def _in_folder(source: Path, job: Path, refused: list[str]) -> Iterator[RecordFiles]:
    def told(error: OSError) -> None:
        refused.append(f"{shown(str(error.filename))} cannot be read ({error.strerror}).")

    for where, folders, names in os.walk(source, onerror=told):
        folders.sort()
        here = Path(where)
        if here.resolve() == job:
            folders.clear()
            continue
        for name in folders:
            if (here / name).is_symlink():
                refused.append(f"{shown(str(here / name))} is a link and was not followed.")
        refused += [
            f"{shown(str(here / name))} is a zip file inside a folder and was not opened. Gather "
            "it by its own name."
            for name in sorted(names)
            if name.lower().endswith(".zip")
        ]
        if FILE_NAME in names:
            yield _record_in(here)


def _record_in(folder: Path) -> RecordFiles:
    sides = [name for name in _names(folder) if name.startswith(f"{FILE_NAME[:6]}.")]
    return RecordFiles(
        label=shown(str(folder)),
        read=_reader(folder),
        clips=frozenset(_names(folder / CLIPS_NAME)),
        sides=tuple(name for name in sides if name != FILE_NAME)[:MOST_SIDE_FILES],
    )


def _names(folder: Path) -> list[str]:
    try:
        return sorted(entry.name for entry in os.scandir(folder))
    except OSError:
        return []


def _reader(folder: Path) -> Callable[[str, int], bytes]:
    def read(name: str, most: int) -> bytes:
        path = folder / name
        try:
            descriptor = os.open(path, os.O_RDONLY | _NO_DEVICE | getattr(os, "O_BINARY", 0))
        except OSError as error:
            why = "is a link" if path.is_symlink() else f"cannot be read ({error.strerror})"
            raise Refused(why) from error
        with os.fdopen(descriptor, "rb") as file:
            about = os.fstat(file.fileno())
            if not stat.S_ISREG(about.st_mode):
                raise Refused("is no file")
            if about.st_size > most:
                raise Refused("is too large to be one")
            content = file.read(most + 1)
        if len(content) > most:
            raise Refused("is too large to be one")
        return content

    return read


def side_files(record: RecordFiles) -> Iterator[tuple[str, bytes | Refused]]:
    """Yield what lies beside a record: ends of lines that were cut short, and signatures."""
    for name in record.sides:
        try:
            yield name, record.read(name, MOST_SIDE)
        except Refused as problem:
            yield name, problem
