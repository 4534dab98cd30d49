"""Recordings are voices: they go when they have served. Which ones, and how that is told.

Imports the modules of ``record``. Choosing is pure; ``carry_out`` works on an open record. The line
that tells of it is on the disk before a file goes, so that no clip is ever missing without a word;
what a sudden end left behind goes the next time. Lines are never touched: what was said, read back
and confirmed stays, with the hash of the sound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import Enum
from pathlib import Path

from assistant.record import kinds
from assistant.record.clips import BadClip, is_name, kept_as, unpacked
from assistant.record.disk import DISK, Disk, problem_of
from assistant.record.dropped import Dropped
from assistant.record.entry import Entry
from assistant.record.journal import CLIPS_NAME, Record
from assistant.record.verify import clips_of

Cut = Callable[[bytes, int], bytes]
"""Returns less of a sound (mono, 16 bit, rate in hertz), or all of it."""

PROVEN = "pass"
"""The outcome of a test whose sound nobody asks for again; each other one may be disputed."""
_MOST_IN_A_LINE = 2000

FAILED = "of a test that failed, was corrected, taken back or not heard"
NOTED = "of a note, a mark or an event"


class Then(Enum):
    """What becomes of a clip that is old enough."""

    DROP = "drop"
    SHORTEN = "shorten"
    KEEP = "keep"


@dataclass(frozen=True, slots=True)
class Rule:
    """What somebody decided about recordings."""

    then: Then = Then.KEEP
    days: int = 90
    """A clip is old enough when the last line that names it is older than so many days."""
    failed_too: bool = False
    notes_too: bool = False
    """The sound of a note is all there is of it: nothing is transcribed."""

    @property
    def told(self) -> str:
        """The rule as the record tells it."""
        besides = [text for told, text in ((self.failed_too, FAILED), (self.notes_too, NOTED))
                   if not told]  # fmt: skip
        but = f", but those {' and those '.join(besides)}" if besides else ""
        return f"{self.then.value} clips older than {self.days} days{but}"


@dataclass(frozen=True, slots=True)
class Plan:
    """What a rule would do to a record."""

    rule: Rule
    old: tuple[str, ...]
    """Clips to drop or to shorten, in the order in which they were kept."""
    spared: dict[str, str] = field(default_factory=dict)
    """Clips that are old enough and stay, and why."""
    leftovers: tuple[str, ...] = ()
    """Clips that the record already told of: a sudden end came before they were gone."""
    named: frozenset[str] = frozenset()
    """Every clip that a line names. Of a value that was said and not confirmed, no line may tell;
    its sound is nobody's, and goes with the first tidying."""


def plan(entries: Iterable[Entry], now: datetime, rule: Rule) -> Plan:
    """Return what ``rule`` would do; ``now`` is an aware time."""
    every, dropped, last = tuple(entries), Dropped(), dict[str, datetime]()
    for entry in every:
        names = _named(entry)
        dropped.take(entry, names)
        last |= {name: max(entry.at, last.get(name, entry.at)) for name in names}
    ages = _of_today(last, dropped)
    before = now - timedelta(days=rule.days)
    worth = {dropped.stands_for(name): why for name, why in _worth_keeping(every, rule).items()}
    old = [name for name, at in ages.items() if at < before] if rule.then is not Then.KEEP else []
    if rule.then is Then.SHORTEN:
        old = [name for name in old if name not in dropped.now.values()]
    return Plan(
        rule,
        tuple(name for name in old if name not in worth),
        {name: worth[name] for name in old if name in worth},
        tuple(dropped.by),
        frozenset(last),
    )


def unnamed(folder: Path, planned: Plan, disk: Disk = DISK) -> list[str]:
    """Return the clips in ``folder`` that no line names. Raises ``OSError``."""
    if planned.rule.then is Then.KEEP:
        return []
    every = disk.names(folder / CLIPS_NAME)
    return [name for name in every if is_name(name) and name not in planned.named]


def _named(entry: Entry) -> list[str]:
    return [name for name in clips_of(entry) if is_name(name)]


def _of_today(last: dict[str, datetime], dropped: Dropped) -> dict[str, datetime]:
    """Return when each clip that is still kept was named last; a shortened one is as old as all."""
    ages: dict[str, datetime] = {}
    short = set(dropped.now.values())
    for name, at in last.items():
        stands = dropped.stands_for(name)
        if stands not in dropped.by and (name not in short or name != stands):
            ages[stands] = max(at, ages.get(stands, at))
    return ages


# ---- what may be asked for again


def _worth_keeping(entries: tuple[Entry, ...], rule: Rule) -> dict[str, str]:
    noted = {} if rule.notes_too else dict.fromkeys(_noted(entries), NOTED)
    return noted if rule.failed_too else {**noted, **dict.fromkeys(_disputed(entries), FAILED)}


def _noted(entries: Iterable[Entry]) -> Iterator[str]:
    for entry in entries:
        if entry.kind in {*kinds.BESIDE, kinds.MARK_NOT_HEARD}:
            yield from _named(entry)


def _disputed(entries: tuple[Entry, ...]) -> Iterator[str]:
    """Yield the sound of tests that did not plainly pass, and of all that was given anew."""
    by_seq = {entry.seq: entry for entry in entries}
    for entry in entries:
        if entry.kind in (kinds.NOT_HEARD, kinds.CORRECTED):
            yield from _named(entry)
        for number in _rests_on(entry):
            if number in by_seq:
                yield from _named(by_seq[number])


def _rests_on(entry: Entry) -> list[int]:
    """Return the numbers of the lines whose sound belongs to a dispute that this line tells of."""
    fields = entry.fields
    found: list[object] = []
    if entry.kind == kinds.TAKEN_BACK:
        found = [fields.get("entry")]
    elif entry.kind == kinds.CORRECTED:
        found = [fields.get("entry"), fields.get("judged")]
    elif entry.kind == kinds.JUDGED and (
        fields.get("outcome") != PROVEN or fields.get("corrects") is not None
    ):
        basis = fields.get("from")
        found = [entry.seq, fields.get("corrects"), *(basis if isinstance(basis, list) else [])]
    return [number for number in found if type(number) is int]


# ---- doing it


@dataclass(frozen=True, slots=True)
class Done:
    """What became of it."""

    dropped: int = 0
    shortened: int = 0
    unnamed: int = 0
    freed_bytes: int = 0
    left: tuple[str, ...] = ()
    """Clips that were left alone because they are missing, or not as they were kept."""


def carry_out(record: Record, folder: Path, planned: Plan, cut: Cut, *, disk: Disk = DISK) -> Done:
    """Do what was planned to the open ``record`` in ``folder``.

    Raises:
        RecordFull: there is no room.
        RecordProblem: the disk refuses.
    """
    clips = folder / CLIPS_NAME
    try:
        sound = {name: _size(disk, clips / name) for name in planned.old}
        whole = [name for name, size in sound.items() if size is not None]
        short = _shorter(record, disk, clips, whole, cut) if _shortens(planned) else {}
        gone = list(short) if _shortens(planned) else whole
        nobodys = [name for name in unnamed(folder, planned, disk) if name not in short.values()]
        for first in range(0, len(gone), _MOST_IN_A_LINE):
            _tell(record, planned.rule, gone[first : first + _MOST_IN_A_LINE], short)
        freed = sum(sound[name] or 0 for name in gone)
        freed -= sum(len(disk.read(clips / name)) for name in set(short.values()))
        for name in (*planned.leftovers, *gone, *nobodys):
            if disk.has(clips / name):
                disk.remove(clips / name)
        if disk.has(clips):
            disk.sync_folder(clips)
    except OSError as error:
        raise problem_of(error, clips) from error
    left = tuple(name for name, size in sound.items() if size is None)
    return Done(len(gone) - len(short), len(short), len(nobodys), freed, left)


def _shortens(planned: Plan) -> bool:
    return planned.rule.then is Then.SHORTEN


def _size(disk: Disk, path: Path) -> int | None:
    """Return the size of a clip that is as it was kept; a changed one is evidence, and stays."""
    content = disk.read(path) if disk.has(path) else b""
    return len(content) if kept_as(path.name, content) else None


def _shorter(record: Record, disk: Disk, clips: Path, names: list[str], cut: Cut) -> dict[str, str]:
    """Keep less of each clip beside it; return the names of those of which there is less."""
    found = {}
    for name in names:
        try:
            pcm, rate_hz = unpacked(name, disk.read(clips / name))
        except BadClip:
            continue
        less = cut(pcm, rate_hz)
        if 0 < len(less) < len(pcm):
            found[name] = record.keep_clip(less, rate_hz)
    return found


def _tell(record: Record, rule: Rule, gone: list[str], short: dict[str, str]) -> None:
    record.append(
        kinds.TIDIED,
        {
            "rule": rule.told,
            "dropped": [name for name in gone if name not in short],
            "shortened": [{"clip": name, "now": short[name]} for name in gone if name in short],
        },
    )
