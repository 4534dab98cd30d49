"""Whether a record is as it was written. Imports the modules of ``record``.

The chain makes changes evident, not impossible: whoever owns the folder can write all of it anew,
and lines cut from its end leave no trace. So ``head`` should be noted somewhere else as well, and
given to ``verify`` later. A record of any length is read in one pass, however hostile its bytes.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

from assistant.record import chain, kinds
from assistant.record.clips import is_name, kept_as
from assistant.record.clock import jump
from assistant.record.dropped import Dropped, shortened, tidied_told
from assistant.record.entry import GENESIS, Entry
from assistant.record.head import fits, letters
from assistant.record.journal import CLIPS_NAME, FILE_NAME, TORN_NAME
from assistant.record.older import FORMAT

MOST_PROBLEMS = 20
"""More are counted and not told one by one: one changed line end can spoil every line."""

NO_HEAD = "none"

_MOST_CLIP_BYTES = 256 * 1024 * 1024
"""No clip of ours comes near; a longer file is not read."""
_MISSING = "is missing"
_SHOWN = re.compile(r"[0-9A-Za-z._-]{1,40}")
_TORN = re.compile(TORN_NAME.format(number="[0-9]+").replace(".", r"\."))


@dataclass(frozen=True, slots=True)
class Verified:
    """What was found."""

    lines: int
    head: str
    """Last six characters of the last line's SHA-256, or ``none`` when there is no line."""
    problems: tuple[str, ...]
    """Whole sentences; none of them means that nothing was found wrong."""
    notes: tuple[str, ...] = ()
    """Sentences about what is no fault of the chain but worth knowing."""
    changed: frozenset[str] = frozenset()
    """File names of clips that are missing or not as they were kept."""
    dropped: Dropped = field(default_factory=Dropped)
    """Clips that were dropped or shortened, as the record tells."""
    digest: str = ""
    """SHA-256 of the last line, in hex: the head in whole."""
    letters: str = ""
    """The head as six letters, for saying aloud."""
    closed: bool = False
    """Whether the last line says that the shift was closed: nothing was cut from its end since."""
    first_broken: int | None = None
    """The first line with a problem, the first being 1."""


def verify(folder: Path, known: str = "") -> Verified:
    """Read a record without opening it for writing, and check lines, numbers and clips.

    ``known`` is a head that somebody noted: six letters, or the end of the hash, or all of it.
    """
    return _checked(folder, known, [])


def read_and_verify(folder: Path) -> tuple[chain.Chain, Verified]:
    """Return the lines of a record, sound or not, and what was found of these very lines."""
    kept: list[chain.Line] = []
    check = _checked(folder, "", [kept])
    return chain.Chain(tuple(kept), b"", check.digest or GENESIS), check


def _checked(folder: Path, known: str, keep: list[list[chain.Line]]) -> Verified:
    check = _Check(known)
    try:
        with _opened(folder / FILE_NAME) as stream:
            walk = chain.Walk(stream)
            for line in walk:
                check.take(line)
                for lines in keep:
                    lines.append(line)
    except OSError as error:
        why = "There is none" if isinstance(error, FileNotFoundError) else error.strerror
        return Verified(0, NO_HEAD, (f"The file {FILE_NAME} cannot be read: {why}.",))
    if walk.torn:
        check.problem("The last line was cut short while it was written.")
    return check.found(folder)


def _opened(path: Path) -> BinaryIO:
    """Open a plain file: a pipe in its place would be waited for without end."""
    if path.exists() and not stat.S_ISREG(path.stat().st_mode):
        raise OSError(0, "It is no plain file")
    return path.open("rb")


@dataclass(slots=True)
class _Check:
    """What was found so far, line by line."""

    known: str
    lines: int = 0
    digest: str = ""
    first_broken: int | None = None
    last: Entry | None = None
    """What the last line of the work itself says, where that can be read."""
    before: Entry | None = None
    known_at: int | None = None
    clips: dict[str, int] = field(default_factory=dict)
    """File name -> the first line that names it."""
    dropped: Dropped = field(default_factory=Dropped)
    newer: bool = False
    problems: list[str] = field(default_factory=list)
    more: int = 0
    jumps: list[str] = field(default_factory=list)

    def problem(self, sentence: str) -> None:
        """Keep a problem, or count it where there are too many."""
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(sentence)
        else:
            self.more += 1

    def take(self, line: chain.Line) -> None:
        """Take the next line."""
        self.lines, self.digest = line.number, line.digest
        if line.entry is None or line.entry.kind not in kinds.AFTERWARDS:
            self.last = line.entry
        if self.known and fits(self.known, line.digest):
            self.known_at = line.number
        if line.problem:
            self.first_broken = self.first_broken or line.number
            self.problem(f"Line {line.number} {line.problem}.")
        entry = line.entry
        if entry is None:
            return
        if not line.problem and entry.kind not in kinds.ALL:
            self.problem(f"Line {line.number} is of a kind that is not known{_named(entry.kind)}.")
        if entry.version > FORMAT and not self.newer:
            self.newer = True
            self.problem(_newer(line.number, entry.version))
        named = clips_of(entry)
        self.dropped.take(entry, named)
        for name in named:
            self.clips.setdefault(name, line.number)
        told = jump(self.before, entry) if self.before else ""
        if told and len(self.jumps) < MOST_PROBLEMS:
            self.jumps.append(told)
        self.before = entry

    def found(self, folder: Path) -> Verified:
        """Look at the clips and the known head, and return all of it."""
        changed = self._clips(folder)
        heads = self._known_head()
        if self.more:
            self.problems.append(f"There are {self.more} more problems like these.")
        return Verified(
            self.lines,
            self.digest[-6:] if self.lines else NO_HEAD,
            tuple(self.problems),
            (*_asides(folder), *self._gone(folder), *self.jumps, *heads),
            frozenset(changed),
            self.dropped,
            self.digest,
            letters(self.digest) if self.lines else "",
            self.last is not None and self.last.kind == kinds.CLOSED,
            self.first_broken,
        )

    def _clips(self, folder: Path) -> set[str]:
        changed = set()
        for name, number in self.clips.items():
            told = _clip_problem(folder, name)
            if told == _MISSING and name in self.dropped.by:
                continue
            if told:
                changed.add(name)
                shown = name[:12] if _SHOWN.fullmatch(name[:12]) else "(not shown)"
                self.problem(f"The clip {shown} of line {number} {told}.")
        return changed

    def _gone(self, folder: Path) -> Iterator[str]:
        """Tell of clips that went as the record says, line by line that tells of it."""
        by_line: dict[int, list[str]] = {}
        for name, entry in self.dropped.by.items():
            if is_name(name) and not (folder / CLIPS_NAME / name).exists():
                by_line.setdefault(entry.seq, []).append(name)
        told = {entry.seq: entry for entry in self.dropped.by.values()}
        for seq, names in sorted(by_line.items()):
            short = sum(name in self.dropped.now for name in names)
            yield tidied_told(told[seq], len(names) - short, short)

    def _known_head(self) -> list[str]:
        """Return what to note of the known head; one that no line has is the first problem."""
        if not self.known:
            return []
        if self.known_at is None:
            self.problems.insert(
                0,
                f"No line ends in {self.known}: lines were cut from the end, the record was "
                "written anew, or the head belongs to another.",
            )
            return []
        if self.known_at == self.lines:
            return [f"The record ends in {self.known}, as was noted."]
        later = self.lines - self.known_at
        return [
            f"Line {self.known_at} ends in {self.known}, as was noted. "
            f"{later} {'line was' if later == 1 else 'lines were'} written after it."
        ]


def _named(kind: str) -> str:
    """Return a name for showing, unless it could do something to a terminal."""
    return f": {kind}" if _SHOWN.fullmatch(kind) else ""


def _newer(number: int, version: int) -> str:
    return (
        f"Line {number} is of format {version}, and this Lapcall reads up to {FORMAT}. "
        "Read this record with a newer one."
    )


def clips_of(entry: Entry) -> tuple[str, ...]:
    """Return the file names of all clips that a line names."""
    named: list[object] = [entry.fields.get("clip"), entry.fields.get("confirmed_clip")]
    several = entry.fields.get("clips")
    if isinstance(several, list):
        named += several
    if entry.kind == kinds.TIDIED:
        named += [new for _, new in shortened(entry)]
    return tuple(name for name in named if isinstance(name, str) and name)


def _clip_problem(folder: Path, name: str) -> str:
    if not is_name(name):
        return "has a name that no clip has"
    try:
        with _opened(folder / CLIPS_NAME / name) as stream:
            content = stream.read(_MOST_CLIP_BYTES)
    except FileNotFoundError:
        return _MISSING
    except OSError as error:
        return f"cannot be read: {error.strerror}"
    if not kept_as(name, content):
        return "is not as it was kept"
    return ""


def _asides(folder: Path) -> Iterator[str]:
    for aside in sorted(folder.glob(TORN_NAME.format(number="*"))):
        if _TORN.fullmatch(aside.name):
            yield f"A line that was cut short by a sudden end is kept in {aside.name}."
