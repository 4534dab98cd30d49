"""Copies of one record, and what they add up to. Imports ``record``; pure.

All copies of a record begin with the same line, whose SHA-256 names the record. A copy that was
taken earlier is the beginning of one taken later, byte for byte, as every line is only ever added.
Where two copies go on differently from one line, the device was copied and both copies were used:
a fork. Both are kept, each in its own folder, and neither is called the right one.

What comes out is the same for the same copies, in whatever order and however often they come.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import takewhile

from assistant.record import chain
from assistant.record.entry import BadLine, Entry, to_entry

_NAME_DIGITS = 16


@dataclass(frozen=True, slots=True)
class Whole:
    """A record whose every line is as it was written."""

    data: bytes
    """Its whole lines, newlines and all; never empty."""
    entries: tuple[Entry, ...]
    cut: int
    """Bytes of a line that was cut short behind them, which are not in ``data``."""

    @property
    def origin(self) -> str:
        """SHA-256 of its first line, in hex: what all its copies share."""
        return self.entries[0].digest


@dataclass(frozen=True, slots=True)
class Broken:
    """A record that was changed, or is none; kept as it is, apart from the others."""

    data: bytes
    why: str
    """What is wrong, as a sentence."""
    entries: tuple[Entry, ...]
    """What can be read of it, sound or not."""

    @property
    def name(self) -> str:
        """What its folder is called."""
        return hashlib.sha256(self.data).hexdigest()[:_NAME_DIGITS]


def read(data: bytes) -> Whole | Broken | None:
    """Return what the bytes of a record file are; None when they hold no line at all."""
    found = chain.read(data)
    if found.broken:
        worst = found.broken[0]
        return Broken(data, f"Line {worst.number} {worst.problem}.", found.entries)
    lasting, torn = data[: len(data) - len(found.torn)], found.torn
    entries = found.entries
    last = _lacks_its_end(found)
    if last is not None:
        lasting, torn, entries = data + b"\n", b"", (*entries, last)
    if entries:
        return Whole(lasting, entries, len(torn))
    return Broken(data, "It holds no whole line.", ()) if torn.strip(b"\0 \r\n") else None


def _lacks_its_end(found: chain.Chain) -> Entry | None:
    """Return the line behind the last, if only the end of it was not written."""
    with contextlib.suppress(BadLine):
        entry = to_entry(found.torn)
        if (entry.seq, entry.prev) == (len(found.lines), found.head):
            return entry
    return None


def base_name(first: Entry) -> str:
    """Return what the folder of a record is called, from its first line: day and fingerprint."""
    return f"shift-{first.local:%Y-%m-%d}-{first.digest[:_NAME_DIGITS]}"


def longest(copies: Iterable[bytes]) -> tuple[bytes, ...]:
    """Return the copies that are not the beginning of another, in a fixed order."""
    every = sorted(set(copies))
    # In this order whatever a text begins stands right behind it.
    return tuple(
        one
        for place, one in enumerate(every)
        if place + 1 == len(every) or not every[place + 1].startswith(one)
    )


def named(base: str, copies: Iterable[bytes]) -> Mapping[str, bytes]:
    """Return the records that copies of one record add up to, by the names of their folders.

    One that nothing forks from has the plain name. Each branch of a fork is named for its first
    line behind the last place where another branch left it, which no other branch has.
    """
    branches = longest(copies)
    if len(branches) == 1:
        return {base: branches[0]}
    return {f"{base}-fork-{_own_line(one, branches)[:_NAME_DIGITS]}": one for one in branches}


def shared_lines(one: bytes, other: bytes) -> int:
    """Return how many lines two copies have in common from the first on."""
    pairs = zip(one.split(b"\n"), other.split(b"\n"), strict=False)
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))


def _own_line(branch: bytes, branches: Iterable[bytes]) -> str:
    shared = max(shared_lines(branch, other) for other in branches if other != branch)
    line = branch.split(b"\n", shared + 1)[shared]
    return hashlib.sha256(line).hexdigest()
