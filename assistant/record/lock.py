"""One writer for one record folder. Imports ``errors`` only.

The lock is the operating system's own on an open file, never the mere presence of a file: it goes
with the process that held it, however that ended, so no start after a crash meets a lock left
behind. The file itself stays; it says who held it last, for the message alone.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import sys
from pathlib import Path

from assistant.errors import RecordInUse

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_TAKEN = frozenset({errno.EACCES, errno.EAGAIN, errno.EDEADLK})
_FAR_AWAY = 1 << 30
"""Windows keeps others from reading a locked byte: lock one behind all that is written."""
_HOLDER = re.compile(rb"[0-9]{1,20}")


class Lock:
    """A lock file that nobody else holds; closing it, or dying, lets go."""

    def __init__(self, path: Path) -> None:
        """Take the lock at ``path``.

        Raises:
            RecordInUse: somebody else holds it.
            OSError: the file cannot be made, or this place knows no locks.
        """
        flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
        self._descriptor = os.open(path, flags, 0o600)
        try:
            _hold(self._descriptor)
        except OSError as problem:
            holder = _holder(self._descriptor)
            os.close(self._descriptor)
            if problem.errno in _TAKEN:
                raise _in_use(path, holder) from problem
            raise
        with contextlib.suppress(OSError):  # a full disk must not keep anybody out
            os.ftruncate(self._descriptor, 0)
            os.write(self._descriptor, b"%d" % os.getpid())

    def close(self) -> None:
        """Let go."""
        os.close(self._descriptor)


def _hold(descriptor: int) -> None:
    if sys.platform == "win32":
        os.lseek(descriptor, _FAR_AWAY, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        finally:
            os.lseek(descriptor, 0, os.SEEK_SET)
    else:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _holder(descriptor: int) -> str:
    with contextlib.suppress(OSError):
        found = _HOLDER.fullmatch(os.read(descriptor, 20))
        if found:
            return f" (process {found[0].decode()})"
    return ""


def _in_use(path: Path, holder: str) -> RecordInUse:
    return RecordInUse(
        f"Another Lapcall{holder} is writing to {path.parent}. Stop it first, or keep this record "
        "somewhere else with --record FOLDER."
    )
