"""Records in a zip file, of which nothing is believed: not its names, nor its sizes.

Imports ``record``, ``errors`` and ``limits``. Nothing is unpacked to a name of the zip's choosing.
Files are read one at a time into memory, as far as a limit and no further, and only those that
belong to a record; a zip inside it stays shut.
"""

from __future__ import annotations

import stat
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath

from assistant.errors import UsageProblem
from assistant.gather.limits import (
    MEGABYTE,
    MOST_MEMBERS,
    MOST_RATIO,
    MOST_SIDE_FILES,
    RecordFiles,
    Refused,
    shown,
)
from assistant.record.journal import CLIPS_NAME, FILE_NAME

_CHUNK = MEGABYTE
_FREE = 1024 * MEGABYTE
"""So much may come out of any zip, however small it is."""
_PER_BYTE = 100
"""And for each byte of the file so many more; silence packs well, death packs better."""
_BOUNDED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
"""Other ways of packing give out a whole burst at once, and no limit can be set to it."""


def records(path: Path, refused: list[str]) -> Iterator[RecordFiles]:
    """Yield the records in a zip file; ``refused`` gets sentences about what was left out.

    Raises:
        UsageProblem: it is no zip file that can be read.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            yield from _records(archive, path, refused)
    except (zipfile.BadZipFile, OSError, NotImplementedError, ValueError) as problem:
        raise UsageProblem(
            f"The zip file {shown(str(path))} is damaged or is none ({shown(str(problem))}). Pack "
            "the record's folder again."
        ) from problem


def _records(archive: zipfile.ZipFile, path: Path, refused: list[str]) -> Iterator[RecordFiles]:
    members = archive.infolist()
    if len(members) > MOST_MEMBERS:
        refused.append(f"{shown(str(path))} holds too many files. Nothing of it was taken.")
        return
    places = _places(members, path, refused)
    budget = _Budget(archive, _FREE + _PER_BYTE * path.stat().st_size)
    for folder, names in sorted(places.items()):
        if FILE_NAME not in names:
            continue
        beside = sorted(name for name in names if "/" not in name and name != FILE_NAME)
        sides = [name for name in beside if name.startswith(f"{FILE_NAME[:6]}.")]
        clips = places.get(f"{folder}/{CLIPS_NAME}" if folder else CLIPS_NAME, {})
        yield RecordFiles(
            label=shown(f"{path}/{folder}" if folder else str(path)),
            read=budget.reader(names, clips),
            clips=frozenset(clips),
            sides=tuple(sides[:MOST_SIDE_FILES]),
        )


def _places(
    members: list[zipfile.ZipInfo], path: Path, refused: list[str]
) -> dict[str, dict[str, zipfile.ZipInfo]]:
    """Return the members by folder and name; of two with one name neither is believed."""
    found: dict[str, dict[str, zipfile.ZipInfo]] = {}
    twice: set[tuple[str, str]] = set()
    for member in members:
        if member.is_dir():
            continue
        why = _why_not(member)
        if why:
            refused.append(
                f"{shown(member.filename)} in {shown(str(path))} {why}. It was left out."
            )
            continue
        where = PurePosixPath(member.filename)
        folder = "" if str(where.parent) == "." else str(where.parent)
        names = found.setdefault(folder, {})
        if where.name in names or (folder, where.name) in twice:
            twice.add((folder, where.name))
            names.pop(where.name, None)
            refused.append(
                f"{shown(member.filename)} is more than once in {shown(str(path))}: left out."
            )
        else:
            names[where.name] = member
    return found


def _why_not(member: zipfile.ZipInfo) -> str:
    name = member.filename
    parts = name.split("/")
    if name.startswith("/") or ".." in parts or "\\" in name or ":" in name or "\0" in name:
        return "points out of its folder"
    if member.flag_bits & 1:
        return "is locked with a password"
    if stat.S_ISLNK(member.external_attr >> 16):
        return "is a link"
    if member.compress_type not in _BOUNDED:
        return "is packed in a way that Lapcall does not open (plain zip only)"
    if name.lower().endswith(".zip"):
        return "is a zip file inside a zip file"
    return ""


class _Budget:
    """Counts what came out of one zip file, whatever its headers say."""

    def __init__(self, archive: zipfile.ZipFile, left: int) -> None:
        self._archive, self._left = archive, left

    def reader(
        self, names: dict[str, zipfile.ZipInfo], clips: dict[str, zipfile.ZipInfo]
    ) -> Callable[[str, int], bytes]:
        """Return what reads the files of one record."""

        def read(name: str, most: int) -> bytes:
            folder, _, last = name.rpartition("/")
            member = (clips if folder == CLIPS_NAME else names).get(last)
            if member is None:
                raise Refused("is missing")
            if name == FILE_NAME and member.file_size > MOST_RATIO * (member.compress_size + 1024):
                raise Refused("is packed smaller than a record can be")
            return self._read(member, most)

        return read

    def _read(self, member: zipfile.ZipInfo, most: int) -> bytes:
        ceiling = min(most, self._left)
        parts: list[bytes] = []
        size = 0
        try:
            with self._archive.open(member) as file:
                while part := file.read(_CHUNK):
                    parts.append(part)
                    size += len(part)
                    if size > ceiling:
                        raise Refused("is too large to be one")
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError) as problem:
            raise Refused("is damaged in the zip file") from problem
        except (NotImplementedError, RuntimeError) as problem:
            raise Refused("is packed in a way that cannot be read") from problem
        finally:
            self._left -= size
        return b"".join(parts)
