"""A whole record read at once: its lines, what is wrong with each, and a torn tail.

Imports ``entry`` only. Pure: bytes in, plain data out.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.record.entry import GENESIS, BadLine, Entry, digest, parsed, to_entry


@dataclass(frozen=True, slots=True)
class Line:
    """One stored line."""

    number: int
    """Its place in the file; the first is 1, as an editor counts."""
    entry: Entry | None
    """What it says, or None when that cannot be read."""
    problem: str
    """What is wrong with it, as a clause ("is not as it was written"), or empty."""


@dataclass(frozen=True, slots=True)
class Chain:
    """All lines, in the order in which they are stored."""

    lines: tuple[Line, ...]
    torn: bytes
    """What follows the last whole line: a write that was cut short."""
    head: str
    """SHA-256 of the last whole line, in hex."""

    @property
    def entries(self) -> tuple[Entry, ...]:
        """What can be read, sound or not."""
        return tuple(line.entry for line in self.lines if line.entry is not None)

    @property
    def broken(self) -> tuple[Line, ...]:
        """The lines with a problem."""
        return tuple(line for line in self.lines if line.problem)


def read(data: bytes) -> Chain:
    """Return the lines of a record file and what is wrong with them."""
    *stored, torn = data.split(b"\n")
    if stored and b"\0" in stored[-1]:
        # A disk that lost power may keep the end of a line and zeros for its beginning.
        torn = stored.pop() + b"\n" + torn
    lines: list[Line] = []
    prev = GENESIS
    for number, raw in enumerate(stored, start=1):
        lines.append(_line(number, raw, prev))
        prev = digest(raw)
    return Chain(tuple(lines), torn, prev)


def _line(number: int, raw: bytes, prev: str) -> Line:
    try:
        entry = to_entry(raw)
    except BadLine as problem:
        return Line(number, _readable(raw), str(problem))
    if entry.prev != prev:
        return Line(number, entry, "does not follow from the line before it")
    if entry.seq != number - 1:
        return Line(number, entry, f"has the number {entry.seq} and should have {number - 1}")
    return Line(number, entry, "")


def _readable(raw: bytes) -> Entry | None:
    try:
        return parsed(raw)
    except BadLine:
        return None
