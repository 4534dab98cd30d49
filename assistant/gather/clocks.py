"""Clocks of several devices held against each other. Imports ``record``; pure.

Devices without a network do not know the time, only what they were set to. Nothing is put right:
the times of a record stay as they were written, and a sentence says which do not fit.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from assistant.record import kinds
from assistant.record.clock import jump
from assistant.record.entry import Entry

_AHEAD = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Span:
    """From when to when a record goes, and who is named in it."""

    name: str
    """Of its folder."""
    origin: str
    """What all copies of it share."""
    began: datetime
    ended: datetime
    zone: str
    people: tuple[str, ...]
    """Welder and gun, as sentences name them."""


def span_of(name: str, entries: Sequence[Entry]) -> Span:
    """Return the span of a record; its first and its last line are enough."""
    times = [entry.at for entry in entries]
    people: list[str] = []
    for entry in entries:
        job = entry.fields.get("job") if entry.kind == kinds.BEGAN else None
        if isinstance(job, dict):
            people += [
                f"{what} “{job[key]}”"
                for key, what in (("welder", "the welder"), ("gun", "the gun"))
                if isinstance(job.get(key), str)
            ]
    first = entries[0]
    return Span(
        name, first.digest, min(times), max(times), first.zone, tuple(dict.fromkeys(people))
    )


def jumps(label: str, entries: Sequence[Entry]) -> Iterator[str]:
    """Yield a sentence for each place where a clock was set while a record was written."""
    for before, after in pairwise(entries):
        told = jump(before, after)
        if told:
            yield f"In the record of {label}: {told}"


def unlikely(spans: Iterable[Span], about: Set[str], now: datetime) -> Iterator[str]:
    """Yield sentences about the records named in ``about`` whose times do not fit the others'."""
    every = sorted(spans, key=lambda span: (span.began, span.name))
    for span in every:
        if span.name in about and span.ended > now + _AHEAD:
            yield (
                f"{span.name} holds times that are still to come here: the clock of its device is "
                "ahead, or this one's is behind."
            )
    yield from _zones(every, about)
    yield from _at_once(every, about)


def _zones(every: Sequence[Span], about: Set[str]) -> Iterator[str]:
    days: dict[object, Counter[str]] = {}
    for span in every:
        days.setdefault(span.began.date(), Counter())[span.zone] += 1
    for span in every:
        usual, count = max(days[span.began.date()].items(), key=lambda item: (item[1], item[0]))
        if span.name in about and span.zone != usual and count > 1:
            yield (
                f"{span.name} has its times in the zone {span.zone}, most others of that day in "
                f"{usual}."
            )


def _at_once(every: Sequence[Span], about: Set[str]) -> Iterator[str]:
    """Yield pairs that overlap and name the same welder or gun; ``every`` is in order of time."""
    last: dict[str, Span] = {}
    for span in every:
        for who in span.people:
            other = last.get(who)
            if other is None or span.ended > other.ended:
                last[who] = span
            if other is None or span.origin == other.origin or span.began >= other.ended:
                continue
            if {span.name, other.name} & about:
                yield (
                    f"{other.name} and {span.name} were written at the same time and both name "
                    f"{who}: one clock is wrong, or somebody else had the device."
                )
