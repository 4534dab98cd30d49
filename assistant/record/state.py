"""What the lines of a record add up to. Imports ``entry`` and the names of lines; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.record import kinds
from assistant.record.entry import Entry

_CLOSED_BY = {kinds.ENDED: "ended", kinds.STOPPED: "stopped"}


@dataclass(frozen=True, slots=True)
class Run:
    """One walk through a procedure."""

    seq: int
    """``seq`` of its ``began`` line, by which its other lines name it."""
    began: Entry | None
    """None when that line cannot be read."""
    entries: tuple[Entry, ...]
    """All of its lines, ``began`` included."""
    closed: str
    """``"ended"`` (walked to its end), ``"stopped"`` (may go on later), or ``"open"``."""


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return the lines that still count: neither taken back nor, if verdicts, given anew since.

    A verdict that was given anew stands and falls with the one whose place it took.
    """
    every = tuple(entries)
    gone = [entry.fields.get("entry") for entry in every if entry.kind == kinds.TAKEN_BACK]
    taken = {seq for seq in gone if isinstance(seq, int)}
    corrected: set[int] = set()
    for entry in every:
        old = entry.fields.get("corrects") if entry.kind == kinds.JUDGED else None
        if not isinstance(old, int):
            continue
        if old in taken:
            taken.add(entry.seq)
        else:
            corrected.add(old)
    return tuple(entry for entry in every if entry.seq not in taken | corrected)


def runs(entries: Iterable[Entry]) -> tuple[Run, ...]:
    """Return the runs in the order in which they began."""
    grouped: dict[int, list[Entry]] = {}
    for entry in entries:
        run = entry.seq if entry.kind == kinds.BEGAN else entry.fields.get("run")
        if isinstance(run, int):
            grouped.setdefault(run, []).append(entry)
    return tuple(_run(seq, tuple(lines)) for seq, lines in grouped.items())


def open_run(entries: Iterable[Entry]) -> Run | None:
    """Return the last run if it can go on: it did not come to its end."""
    every = runs(entries)
    return every[-1] if every and every[-1].closed != "ended" else None


def _run(seq: int, lines: tuple[Entry, ...]) -> Run:
    began = next((entry for entry in lines if entry.kind == kinds.BEGAN), None)
    return Run(seq, began, lines, _CLOSED_BY.get(lines[-1].kind, "open"))
