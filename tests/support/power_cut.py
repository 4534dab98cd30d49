"""A disk in memory that loses power at any moment, and then holds no more than it must.

It knows what a file system promises and nothing more: bytes last once their file was synced, a
name once its folder was. What was not synced may be there or not, sector by sector and name by
name, in any mixture; a longer file may hold zeros or somebody's old bytes where its own never came.
Failing writes and syncs without a power cut can be asked for too.
"""

from __future__ import annotations

import errno
import os
import random
from dataclasses import dataclass, field
from pathlib import Path

from assistant.record.disk import Disk, Held

SECTOR = 512
_LASTING, _OLD_BYTES = 0.4, 0.3


class PowerCut(BaseException):
    """The power is gone: nothing is done any more, not even tidying up."""


@dataclass
class _File:
    safe: bytes = b""
    """What was there at the last sync."""
    now: bytes = b""
    """What a reader sees."""
    versions: list[bytes] = field(default_factory=list)
    """What it was between: each may be what is found after the power came back."""

    def change(self, content: bytes) -> None:
        """Change it, without a promise."""
        self.versions.append(self.now)
        self.now = content

    def sync(self) -> None:
        """Make it last."""
        self.safe, self.versions = self.now, []


@dataclass
class _Folder:
    safe: dict[str, _File | _Folder] = field(default_factory=dict)
    now: dict[str, _File | _Folder] = field(default_factory=dict)
    versions: list[dict[str, _File | _Folder]] = field(default_factory=list)

    def change(self, name: str, what: _File | _Folder | None) -> None:
        """Give a name to something, or take it away, without a promise."""
        self.versions.append(dict(self.now))
        if what is None:
            del self.now[name]
        else:
            self.now[name] = what

    def sync(self) -> None:
        """Make the names last."""
        self.safe, self.versions = dict(self.now), []


class _Free:
    def close(self) -> None:
        """Let go of a lock that nobody else wants."""


class ForgetfulDisk(Disk):
    """See the module. ``cut_at`` counts what changes something: writes, syncs, names, cuts."""

    def __init__(self, rng: random.Random) -> None:
        self._rng = rng
        self._root = _Folder()
        self._open: dict[int, _File] = {}
        self._dead = False
        self.done = 0
        """How many changes there were."""
        self.cut_at: int | None = None
        self.fail_at: dict[int, int] = {}
        """Number of a change -> errno with which it fails; a write leaves half of its bytes."""
        self.free = 1 << 40

    # ---- what the record asks for

    def make_folder(self, folder: Path) -> None:
        """Make folders; each name lasts."""
        here = self._root
        for name in folder.parts[1:]:
            if name not in here.now:
                self.count()
                here.change(name, _Folder())
            self.count()
            here.sync()
            below = here.now[name]
            assert isinstance(below, _Folder)
            here = below

    def lock(self, path: Path) -> Held:
        """Let anybody in: one writer at a time is tested elsewhere."""
        self.count()
        self._folder(path.parent).now.setdefault(path.name, _File())
        return _Free()

    def names(self, folder: Path) -> list[str]:
        """Return names in order."""
        found = self._find(folder)
        return sorted(found.now) if isinstance(found, _Folder) else []

    def has(self, path: Path) -> bool:
        """Tell whether there is such a name."""
        return self._find(path) is not None

    def read(self, path: Path) -> bytes:
        """Return what a reader sees."""
        return self._file(path).now

    def open(self, path: Path, flags: int) -> int:
        """Open a file, making it where it is missing."""
        folder = self._folder(path.parent)
        if path.name not in folder.now:
            self.count()
            folder.change(path.name, _File())
        file = self._file(path)
        if flags & os.O_TRUNC and file.now:
            self.count()
            file.change(b"")
        number = len(self._open) + 1
        self._open[number] = file
        return number

    def write(self, descriptor: int, data: bytes) -> None:
        """Write at the end; a power cut leaves any beginning of it."""
        file, begun = self._open[descriptor], self._rng.randint(0, len(data))
        try:
            self.count()
        except PowerCut:
            file.change(file.now + data[:begun])
            raise
        except OSError:
            file.change(file.now + data[: len(data) // 2])
            raise
        file.change(file.now + data)

    def sync(self, descriptor: int) -> None:
        """Make a file's bytes last."""
        self.count()
        self._open[descriptor].sync()

    def cut(self, descriptor: int, size: int) -> None:
        """Shorten a file."""
        self.count()
        file = self._open[descriptor]
        file.change(file.now[:size])

    def close(self, descriptor: int) -> None:
        """Close a file."""
        del descriptor  # numbers are not used again

    def rename(self, old: Path, new: Path) -> None:
        """Give a file another name: both changes come together or not at all."""
        self.count()
        folder = self._folder(old.parent)
        folder.versions.append(dict(folder.now))
        folder.now[new.name] = folder.now.pop(old.name)

    def remove(self, path: Path) -> None:
        """Take a name away."""
        self._file(path)
        self.count()
        self._folder(path.parent).change(path.name, None)

    def sync_folder(self, folder: Path) -> None:
        """Make names last."""
        self.count()
        self._folder(folder).sync()

    def room(self, folder: Path) -> int:
        """Return how much is free."""
        del folder
        return self.free

    # ---- what a test asks for

    def power_back(self) -> None:
        """Find one of the states that the promises allow, and be an ordinary disk again."""
        self._settle(self._root)
        self._open.clear()
        self._dead, self.cut_at, self.done = False, None, 0
        self.fail_at = {}

    def copy_to(self, folder: Path, of: Path) -> None:
        """Write what a reader sees below ``of`` into a real folder."""
        _copy(self._folder(of), folder)

    def _settle(self, folder: _Folder) -> None:
        found = dict(folder.safe)
        if folder.versions:
            # Each later change comes with those before it, or by itself.
            found = dict(self._rng.choice([folder.safe, *folder.versions, folder.now]))
            for name in {*folder.now, *folder.safe}:
                self._mix(found, name, self._rng.choice((folder.safe, folder.now)))
        folder.safe, folder.now, folder.versions = found, dict(found), []
        for what in found.values():
            if isinstance(what, _Folder):
                self._settle(what)
            elif what.versions:
                self._settle_file(what)

    def _mix(
        self, found: dict[str, _File | _Folder], name: str, out_of: dict[str, _File | _Folder]
    ) -> None:
        if self._rng.random() < 1 - _LASTING:
            return
        if name in out_of:
            found[name] = out_of[name]
        else:
            found.pop(name, None)

    def _settle_file(self, file: _File) -> None:
        states = [file.safe, *file.versions, file.now]
        shape = self._rng.choice(states)
        rubbish = self._rng.random() < _OLD_BYTES
        parts = []
        for begin in range(0, len(shape), SECTOR):
            end = min(begin + SECTOR, len(shape))
            # A sector is as it was at some sync or write, or was given to the file and never came.
            written = [state[begin:end] for state in states if len(state) > begin]
            kept = self._rng.choice(written)
            short = end - begin - len(kept)
            lost = file.safe[begin:end] != kept and self._rng.random() > _LASTING
            if lost:
                kept, short = file.safe[begin:end], end - begin - len(file.safe[begin:end])
            parts.append(kept + (self._rng.randbytes(short) if rubbish else bytes(short)))
        content = b"".join(parts)
        file.safe, file.now, file.versions = content, content, []

    # ---- inside

    def count(self) -> None:
        """Count a change: the power may go at it, or the disk refuse it."""
        if self._dead:
            raise PowerCut
        self.done += 1
        if self.done == self.cut_at:
            self._dead = True
            raise PowerCut
        number = self.fail_at.get(self.done)
        if number is not None:
            raise OSError(number, os.strerror(number))

    def _find(self, path: Path) -> _File | _Folder | None:
        here: _File | _Folder | None = self._root
        for name in path.parts[1:]:
            here = here.now.get(name) if isinstance(here, _Folder) else None
        return here

    def _folder(self, path: Path) -> _Folder:
        found = self._find(path)
        if not isinstance(found, _Folder):
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(path))
        return found

    def _file(self, path: Path) -> _File:
        found = self._find(path)
        if not isinstance(found, _File):
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(path))
        return found


def _copy(folder: _Folder, to: Path) -> None:
    to.mkdir(exist_ok=True)
    for name, what in folder.now.items():
        if isinstance(what, _Folder):
            _copy(what, to / name)
        else:
            (to / name).write_bytes(what.now)
