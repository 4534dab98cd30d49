"""Whether a record is as it was written. Imports the modules of ``record``.

The chain makes changes evident, not impossible: whoever owns the folder can write all of it anew,
and lines cut from its end leave no trace. So ``head`` should be noted somewhere else as well.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from assistant.record import chain, kinds
from assistant.record.entry import Entry
from assistant.record.journal import CLIPS_NAME, FILE_NAME, TORN_NAME

MOST_PROBLEMS = 20
"""More are counted and not told one by one: one changed line end can spoil every line."""

NO_HEAD = "none"


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


def verify(folder: Path) -> Verified:
    """Read a record without opening it for writing, and check lines, numbers and clips."""
    return read_and_verify(folder)[1]


def read_and_verify(folder: Path) -> tuple[chain.Chain, Verified]:
    """Return the lines of a record, sound or not, and what was found of these very lines."""
    try:
        data = (folder / FILE_NAME).read_bytes()
    except OSError as error:
        why = "There is none" if isinstance(error, FileNotFoundError) else error.strerror
        problem = f"The file {FILE_NAME} cannot be read: {why}."
        return chain.read(b""), Verified(0, NO_HEAD, (problem,))
    found = chain.read(data)
    return found, _verified(found, folder)


def _verified(found: chain.Chain, folder: Path) -> Verified:
    clips = dict(_clip_problems(folder, found.entries))
    problems = [*_line_problems(found), *clips.values()]
    if len(problems) > MOST_PROBLEMS:
        more = len(problems) - MOST_PROBLEMS
        problems = [*problems[:MOST_PROBLEMS], f"There are {more} more problems like these."]
    return Verified(
        len(found.lines),
        found.head[-6:] if found.lines else NO_HEAD,
        tuple(problems),
        tuple(_notes(folder, found.entries)),
        frozenset(clips),
    )


def clips_of(entry: Entry) -> tuple[str, ...]:
    """Return the file names of all clips that a line names."""
    named: list[object] = [entry.fields.get("clip"), entry.fields.get("confirmed_clip")]
    several = entry.fields.get("clips")
    if isinstance(several, list):
        named += several
    return tuple(name for name in named if isinstance(name, str) and name)


def _line_problems(found: chain.Chain) -> Iterator[str]:
    for line in found.lines:
        if line.problem:
            yield f"Line {line.number} {line.problem}."
        elif line.entry is not None and line.entry.kind not in kinds.ALL:
            yield f"Line {line.number} is of a kind that is not known: {line.entry.kind}."
    if found.torn:
        yield "The last line was cut short while it was written."


def _clip_problems(folder: Path, entries: Iterable[Entry]) -> Iterator[tuple[str, str]]:
    seen: set[str] = set()
    for entry in entries:
        for name in clips_of(entry):
            if name in seen:
                continue
            seen.add(name)
            problem = _clip_problem(folder, name)
            if problem:
                yield name, f"The clip {name[:12]} of line {entry.seq + 1} {problem}."


def _clip_problem(folder: Path, name: str) -> str:
    if Path(name).name != name:
        return "is not a file name"
    try:
        content = (folder / CLIPS_NAME / name).read_bytes()
    except FileNotFoundError:
        return "is missing"
    except OSError as error:
        return f"cannot be read: {error.strerror}"
    if f"{hashlib.sha256(content).hexdigest()}.wav" != name:
        return "is not as it was kept"
    return ""


def _notes(folder: Path, entries: tuple[Entry, ...]) -> Iterator[str]:
    for aside in sorted(folder.glob(TORN_NAME.format(number="*"))):
        yield f"A line that was cut short by a sudden end is kept in {aside.name}."
    for before, after in pairwise(entries):
        if after.at < before.at:
            yield f"The clock was set back before line {after.seq + 1}."
