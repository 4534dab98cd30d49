"""What the record asks of the disk: lasting writes, one writer, problems in plain words.

Imports ``errors`` only.
"""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

from assistant.errors import RecordFull, RecordInUse, RecordProblem

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_NO_ROOM = frozenset(
    getattr(errno, name) for name in ("ENOSPC", "EDQUOT", "EFBIG") if hasattr(errno, name)
)


def sync(descriptor: int) -> None:
    """Return only when the file's bytes would survive a power loss. Raises ``OSError``."""
    if sys.platform == "darwin":
        fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)  # fsync there leaves them in the drive's cache
    else:
        os.fsync(descriptor)


def sync_folder(folder: Path) -> None:
    """Make names in a folder last; Windows keeps them without being asked. Raises ``OSError``."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte. Raises ``OSError``."""
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(descriptor, rest) :]


def open_file(path: Path, flags: int) -> int:
    """Open a file as bytes on every system, readable by its owner alone. Raises ``OSError``."""
    return os.open(path, flags | getattr(os, "O_BINARY", 0), 0o600)


def lock(path: Path) -> int:
    """Return the descriptor of a lock file that nobody else holds; closing it lets go.

    The lock also goes when the process dies.

    Raises:
        RecordInUse: somebody else holds it.
        OSError: the file cannot be made.
    """
    descriptor = open_file(path, os.O_RDWR | os.O_CREAT)
    try:
        if sys.platform == "win32":
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as problem:
        os.close(descriptor)
        if problem.errno in (errno.EACCES, errno.EAGAIN, errno.EDEADLK):
            raise RecordInUse(
                f"Another Lapcall is writing to {path.parent}. Stop it first, or keep this record "
                "somewhere else with --record FOLDER."
            ) from problem
        raise
    return descriptor


def problem_of(error: OSError, path: Path) -> RecordProblem:
    """Return the error to raise when the disk refuses."""
    if error.errno in _NO_ROOM:
        return RecordFull(
            f"There is no room left to write {path}. What was confirmed before is kept. "
            "Make room on the disk, then start again."
        )
    why = error.strerror or str(error)
    return RecordProblem(
        f"The record {path} cannot be written ({why}). What was confirmed before is kept. "
        "Check the disk and the folder's permissions, or name another with --record FOLDER."
    )
