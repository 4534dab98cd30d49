"""A whole record read line by line: what each says, what is wrong with it, and a torn tail.

Imports ``entry`` only. Reads any bytes, also hostile ones, and holds no more than it is asked to:
a line longer than ``MOST_BYTES`` is passed over and told, never kept.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from assistant.record.entry import GENESIS, BadLine, Entry, digest, parsed, to_entry

MOST_BYTES = 1 << 20
"""A line has some hundred bytes; one longer than this was not written by us."""

_MOST_SCRAPS = 64
"""So many unreadable lines at the end may be one write that was cut short."""
_CONTROL = bytes(each for each in range(0x20) if each not in b"\t\n\r")
"""JSON holds none of these; what an editor does to line ends is no power loss."""


@dataclass(frozen=True, slots=True)
class Line:
    """One stored line."""

    number: int
    """Its place in the file; the first is 1, as an editor counts."""
    entry: Entry | None
    """What it says, or None when that cannot be read."""
    problem: str
    """What is wrong with it, as a clause ("is not as it was written"), or empty."""
    digest: str = ""
    """SHA-256 of its bytes, in hex."""


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


class Walk:
    """The lines of a stream, once, in order; ``torn`` and ``head`` are known at its end."""

    def __init__(self, stream: BinaryIO, number: int = 1, prev: str = GENESIS) -> None:
        """Begin at line ``number``, which should name ``prev`` as the line before it."""
        self._stream, self._number = stream, number
        self.head = prev
        """SHA-256 of the last whole line so far, in hex."""
        self.torn = b""
        """What follows the last whole line: a write that was cut short."""

    def __iter__(self) -> Iterator[Line]:
        """Yield every whole line."""
        scraps: list[tuple[bytes, Line]] = []
        before = self.head
        while raw := self._stream.readline(MOST_BYTES):
            if not raw.endswith(b"\n") and len(raw) < MOST_BYTES:
                self.torn = raw
                break
            line = self._next(raw)
            if line.entry is None and len(scraps) < _MOST_SCRAPS and len(raw) < MOST_BYTES:
                scraps.append((raw, line))
                continue
            yield from (scrap for _, scrap in scraps)
            scraps.clear()
            yield line
            before = self.head
        unread = b"".join(raw for raw, _ in scraps) + self.torn
        if _no_text(unread):
            # Lost power may leave the end of a line with zeros or old bytes for its beginning.
            self.torn, self.head = unread, before
        else:
            yield from (scrap for _, scrap in scraps)

    def _next(self, raw: bytes) -> Line:
        if raw.endswith(b"\n"):
            line = _line(self._number, raw[:-1], self.head)
        else:
            line = Line(self._number, None, "is longer than a line can be", self._passed_over(raw))
        self._number, self.head = self._number + 1, line.digest
        return line

    def _passed_over(self, raw: bytes) -> str:
        whole = hashlib.sha256(raw)
        while (raw := self._stream.readline(MOST_BYTES)) and not raw.endswith(b"\n"):
            whole.update(raw)
        whole.update(raw[:-1])
        return whole.hexdigest()


def read(data: bytes) -> Chain:
    """Return the lines of a record file and what is wrong with them."""
    walk = Walk(io.BytesIO(data))
    lines = tuple(walk)
    return Chain(lines, walk.torn, walk.head)


def _no_text(unread: bytes) -> bool:
    """Tell whether bytes are no text at all: our lines hold no other control character."""
    try:
        unread.decode()
    except UnicodeDecodeError:
        return True
    return unread.translate(None, _CONTROL) != unread


def _line(number: int, raw: bytes, prev: str) -> Line:
    try:
        entry = to_entry(raw)
    except BadLine as problem:
        return Line(number, _readable(raw), str(problem), digest(raw))
    if entry.prev != prev:
        problem_told = "does not follow from the line before it"
    elif entry.seq != number - 1:
        problem_told = f"has the number {entry.seq} and should have {number - 1}"
    else:
        problem_told = ""
    return Line(number, entry, problem_told, entry.digest)


def _readable(raw: bytes) -> Entry | None:
    try:
        return parsed(raw)
    except BadLine:
        return None
