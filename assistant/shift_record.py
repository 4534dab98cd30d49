"""The record of a shift as the welder hears of it: on opening, when it fails, and its last line.

Imports ``record``, the port of ``mouth``, ``dialogue.lines`` and ``words``. Nobody looks at a
screen on a roof, so whatever the disk does is said.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from assistant.dialogue import lines
from assistant.errors import (
    RecordBroken,
    RecordFull,
    RecordInUse,
    RecordProblem,
    RecordReadOnly,
)
from assistant.mouth.ports import Mouth
from assistant.record import kinds
from assistant.record.disk import DISK, Disk
from assistant.record.entry import Entry
from assistant.record.head import letters
from assistant.record.journal import Noticed, Record
from assistant.words.spelling import spelled

_BEFORE_WORK = (
    (RecordInUse, lines.RECORD_IN_USE),
    (RecordBroken, lines.RECORD_BROKEN),
    (RecordFull, lines.RECORD_FULL),
    (RecordReadOnly, lines.RECORD_READ_ONLY),
    (RecordProblem, lines.RECORD_REFUSED),
)
_NOTICED = {
    Noticed.MADE_WHOLE: lines.RECORD_MADE_WHOLE,
    Noticed.CUT_SHORT: lines.RECORD_CUT_SHORT,
    Noticed.LITTLE_ROOM: lines.RECORD_LITTLE_ROOM,
}


def open_record(
    folder: Path, now: Callable[[], datetime], mouth: Mouth, disk: Disk = DISK
) -> Record:
    """Open the record, and say what was found on opening, or why it cannot be written.

    Raises ``RecordProblem`` once that was said.
    """
    try:
        record = Record.open(folder, now, disk=disk)
    except RecordProblem as problem:
        mouth.say(f"{before_work(problem)} {lines.CANNOT_START}")
        raise
    for noticed in record.noticed:
        mouth.say(_NOTICED[noticed])
    return record


def before_work(problem: RecordProblem) -> str:
    """Return the sentence that says why the record cannot be written."""
    return next(text for kind, text in _BEFORE_WORK if isinstance(problem, kind))


def at_work(problem: RecordProblem) -> str:
    """Return the sentences for a record that fails while somebody works."""
    why = before_work(problem)
    return f"{why} {lines.KEPT_AND_STOPPING}"


def close_shift(record: Record, mouth: Mouth) -> Entry:
    """Write the line that ends a shift, and say the six letters by which it is known.

    Raises ``RecordProblem`` once that was said.
    """
    last = record.entries[-1] if record.entries else None
    said = last.fields.get("said") if last is not None and last.kind == kinds.STOPPED else None
    try:
        entry = record.append(kinds.CLOSED, {"lines": len(record.entries), "said": said})
    except RecordProblem as problem:
        mouth.say(at_work(problem))
        raise
    mouth.say(f"{lines.RECORD_CLOSED} {spelled(letters(entry.digest))}.")
    return entry
