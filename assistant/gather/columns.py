"""What a test is as a row: its columns, in order, and what each holds. Imports nothing of ours.

This is the schema of every export: the header of the CSV file, the keys of the JSON lines, and the
columns of the table ``test``. docs for a stranger are printed by ``lapcall export --columns``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

Value: TypeAlias = str | int | float | bool | None
Row: TypeAlias = Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Column:
    """One column."""

    name: str
    kind: Literal["text", "integer", "real", "yes-no"]
    holds: str


def _text(name: str, holds: str) -> Column:
    return Column(name, "text", holds)


def _yes_no(name: str, holds: str) -> Column:
    return Column(name, "yes-no", holds)


TEST = (
    _text("test", "names the verdict: from the fingerprint of its line"),
    _yes_no("counts", "whether it is the verdict that counts for this strip"),
    _text("not_because", "why it does not: corrected, taken back, not as written"),
    _text("replaces", "the verdict that it takes the place of"),
    _text("strip", "names the strip: the first verdict on it"),
    _text("shift", "names the record: from the fingerprint of its first line"),
    Column("line", "integer", "number of its line in the record, the first being 1"),
    _yes_no("sound", "whether its line, and those it rests on, are as they were written"),
    _yes_no("forked", "whether the record was continued in two ways"),
    _text("tested_at", "when the strip was first judged, local time and zone (ISO 8601)"),
    _text("judged_utc", "when this verdict was given, UTC (ISO 8601)"),
    _text("job", "name of the job"),
    _text("area", "area of the roof"),
    _text("sheet", "sheet, as the job file names it"),
    _text("lot", "lot or roll of the sheet"),
    _text("welder", "who welded"),
    _text("gun", "with which gun"),
    _text("procedure", "the checklist"),
    _text("seam", "number of the seam"),
    _text("outcome", "the verdict"),
    _text("finding", "what decided it"),
    _text("reasons", "why, in sentences"),
    _text("mode", "how the strip failed"),
    _text("said", "the width in the words that were heard"),
    _text("width", "the width as it was understood, for reading"),
    Column("width_in", "real", "the same in inches, rounded to six places"),
    _text("width_exact_in", "the same in inches, an exact fraction"),
    _text("hedge", "a word such as strong or about beside it"),
    _text("read_back", "what Lapcall read back"),
    _text("confirmed_by", "the words of the yes"),
    Column("solid_in", "real", "width of the solid part beside a void, inches"),
    _text("heat", "marks of heat"),
    _text("pull", "how it was pulled"),
    Column("least_in", "real", "least width allowed, inches"),
    Column("most_in", "real", "most width allowed, inches"),
    _text("rule", "name and version of the rule that judged"),
    _text("clip", "file name of the recording of the width"),
    _yes_no("rehearsal", "whether it was typed or played in, not said at a roof"),
    _text("software", "version of Lapcall"),
)

LINE = (
    _text("digest", "SHA-256 of the line, hex"),
    _text("shift", "names the record"),
    Column("seq", "integer", "its number; the first has 0"),
    _text("at", "when it was written, UTC (ISO 8601)"),
    _text("zone", "offset of local time there and then"),
    _text("kind", "kind of line; FORMAT.md lists them"),
    Column("run", "integer", "seq of the line with which its checklist began"),
    _text("step", "step of the checklist"),
    _text("fields", "everything else that it holds, JSON"),
    _text("prev", "SHA-256 of the line before it"),
    _yes_no("sound", "whether it is as it was written"),
)

SHIFT = (
    _text("shift", "names the record: from the fingerprint of its first line"),
    _text("began", "time of its first line, UTC (ISO 8601)"),
    _text("ended", "time of its last line, UTC (ISO 8601)"),
    _text("zone", "offset of local time at its beginning"),
    Column("lines", "integer", "how many lines its longest branch has"),
    _text("head", "SHA-256 of that branch's last line: what verify names"),
    Column("branches", "integer", "more than 1: the record was forked"),
    _yes_no("sound", "whether every line is as it was written"),
)

TABLES: Mapping[str, tuple[Column, ...]] = {"shift": SHIFT, "line": LINE, "test": TEST}
"""The first column of each is its key."""


FOR_GOOD = ("corrected", "taken back")
"""Why a test no longer counts, where no later line can make it count again."""
_YES = (True, "yes")


def kept_up(old: Row, new: Row) -> Row:
    """Return the row of a test that was given out before, brought up to date.

    What is at hand may be an older or a spoiled copy of what was given out then: it cannot make a
    test count again, nor make unsound what a sound copy told.
    """
    if old["sound"] in _YES and new["sound"] not in _YES:
        return old
    row = dict(new)
    if old["not_because"] in FOR_GOOD and new["counts"] in _YES:
        row["counts"], row["not_because"] = old["counts"], old["not_because"]
    if old["forked"] in _YES:
        row["forked"] = old["forked"]
    return row


def described() -> str:
    """Return all tables and columns as lines of text."""
    wide = max(len(column.name) for columns in TABLES.values() for column in columns)
    return "\n".join(
        f"{table}.{column.name.ljust(wide)}  {column.kind.ljust(7)}  {column.holds}"
        for table, columns in TABLES.items()
        for column in columns
    )
