"""What the record asks of the disk: lasting writes, and problems in plain words.

Imports ``errors`` and ``lock`` only. All that a record writes goes through one ``Disk``, so that
tests can put one in its place that loses power at any moment.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sys
from pathlib import Path
from typing import Protocol

from assistant.errors import RecordFull, RecordProblem, RecordReadOnly
from assistant.record.lock import Lock

if sys.platform == "darwin":
    import fcntl

_NO_ROOM = frozenset(
    getattr(errno, name) for name in ("ENOSPC", "EDQUOT", "EFBIG") if hasattr(errno, name)
)
_MAY_NOT = frozenset({errno.EROFS, errno.EACCES, errno.EPERM})
_UNKNOWN_THERE = frozenset(
    getattr(errno, name) for name in ("EINVAL", "ENOTSUP", "ENOTTY") if hasattr(errno, name)
)
"""How a network share answers what it has no way to do."""


class Held(Protocol):
    """Something that is let go by closing it."""

    def close(self) -> None:
        """Let go."""


class Disk:
    """The part of a file system that a record needs. All methods raise ``OSError``."""

    def make_folder(self, folder: Path) -> None:
        """Make a folder and those above it; each name lasts when this returns."""
        missing = [each for each in (folder, *folder.parents) if not each.is_dir()]
        for each in reversed(missing):
            each.mkdir(exist_ok=True)
            self.sync_folder(each.parent)
        if not missing:  # it may have been made just before the power went
            with contextlib.suppress(PermissionError):
                self.sync_folder(folder.parent)

    def lock(self, path: Path) -> Held:
        """Take the lock of the one writer; raises ``RecordInUse`` too."""
        return Lock(path)

    def names(self, folder: Path) -> list[str]:
        """Return the names in a folder, in order; none where there is no folder."""
        return sorted(each.name for each in folder.iterdir()) if folder.is_dir() else []

    def has(self, path: Path) -> bool:
        """Tell whether there is a file or a folder."""
        return path.exists()

    def read(self, path: Path) -> bytes:
        """Return all bytes of a file."""
        return path.read_bytes()

    def open(self, path: Path, flags: int) -> int:
        """Open a file as bytes on every system, readable by its owner alone."""
        return os.open(path, flags | getattr(os, "O_BINARY", 0), 0o600)

    def write(self, descriptor: int, data: bytes) -> None:
        """Write every byte."""
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(descriptor, rest) :]

    def sync(self, descriptor: int) -> None:
        """Return only when the file's bytes would survive a power loss."""
        if sys.platform == "darwin":
            # There fsync leaves them in the drive's cache; a share may know nothing else.
            try:
                fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
            except OSError as error:
                if error.errno not in _UNKNOWN_THERE:
                    raise
            else:
                return
        os.fsync(descriptor)

    def cut(self, descriptor: int, size: int) -> None:
        """Take away all that lies behind the first ``size`` bytes."""
        os.ftruncate(descriptor, size)

    def close(self, descriptor: int) -> None:
        """Close a file."""
        os.close(descriptor)

    def rename(self, old: Path, new: Path) -> None:
        """Give a file another name, taking the place of what had it."""
        old.replace(new)

    def remove(self, path: Path) -> None:
        """Take a file away."""
        path.unlink()

    def sync_folder(self, folder: Path) -> None:
        """Make names in a folder last; Windows keeps them without being asked."""
        if sys.platform == "win32":
            return
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        except OSError as error:
            if error.errno not in _UNKNOWN_THERE:
                raise
        finally:
            os.close(descriptor)

    def room(self, folder: Path) -> int:
        """Return how many bytes may still be written there."""
        return shutil.disk_usage(folder).free


DISK = Disk()
"""The disk of this machine."""


def write_whole(disk: Disk, path: Path, content: bytes) -> None:
    """Write a file so that its name stands for all of it or does not exist.

    It is on the disk when this returns. Raises ``OSError``.
    """
    part = path.with_name(path.name + ".part")
    try:
        descriptor = disk.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        try:
            disk.write(descriptor, content)
            disk.sync(descriptor)
        finally:
            disk.close(descriptor)
        disk.rename(part, path)
    except OSError:
        with contextlib.suppress(OSError):
            disk.remove(part)
        raise
    disk.sync_folder(path.parent)


def problem_of(error: OSError, path: Path) -> RecordProblem:
    """Return the error to raise when the disk refuses."""
    if error.errno in _NO_ROOM:
        return RecordFull(
            f"There is no room left to write {path}. What was confirmed before is kept. "
            "Make room on the disk, then start again."
        )
    kind = RecordReadOnly if error.errno in _MAY_NOT else RecordProblem
    why = error.strerror or str(error)
    return kind(
        f"The record {path} cannot be written ({why}). What was confirmed before is kept. "
        "Check the disk and the folder's permissions, or name another with --record FOLDER."
    )
