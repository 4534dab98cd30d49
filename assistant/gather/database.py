"""Shifts, lines and tests in a database. Imports ``columns`` and ``rows``.

The same few steps for every database behind the port ``Tables``: a shift whose head, branches and
state are there already is passed over; else its lines that are missing go in, its tests go in or
are brought up to date, and last the shift itself, all in one transaction. So an export that was
cut short is made whole by the next, and doing it twice does nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from assistant.gather.columns import TABLES, Row, Value, kept_up
from assistant.gather.rows import Shift

VERSION = 1
"""Of the tables; kept in the table ``lapcall_schema``."""


class Tables(Protocol):
    """The tables of one database, inside one transaction at a time."""

    def rows(self, table: str, shift: str) -> Mapping[str, Mapping[str, Value]]:
        """Return the rows of a shift by their keys."""

    def keys(self, table: str, shift: str) -> Collection[str]:
        """Return the keys of the rows of a shift."""

    def add(self, table: str, rows: Collection[Row]) -> None:
        """Add rows that are not there yet."""

    def change(self, table: str, row: Row) -> None:
        """Write a row that is there anew."""

    def commit(self) -> None:
        """Make everything since the last commit last."""


@dataclass(slots=True)
class Added:
    """What an export did."""

    shifts: int = 0
    lines: int = 0
    tests: int = 0
    changed: int = 0
    """Tests that were there and are told otherwise now, such as one that was corrected."""


def export(tables: Tables, shifts: Iterable[Shift]) -> Added:
    """Bring a database up to date."""
    done = Added()
    for shift in shifts:
        _shift(tables, shift, done)
    return done


def _shift(tables: Tables, shift: Shift, done: Added) -> None:
    name = str(shift.row["shift"])
    old = tables.rows("shift", name).get(name)
    if old is not None and _same("shift", old, shift.row):
        return
    lines = tables.keys("line", name)
    new_lines = [row for key, row in shift.lines.items() if key not in lines]
    tables.add("line", new_lines)
    tests = tables.rows("test", name)
    new_tests = [row for key, row in shift.tests.items() if key not in tests]
    known = {key: kept_up(tests[key], row) for key, row in shift.tests.items() if key in tests}
    changed = [row for key, row in known.items() if not _same("test", tests[key], row)]
    tables.add("test", new_tests)
    for row in changed:
        tables.change("test", row)
    if old is None:
        tables.add("shift", [shift.row])
        done.shifts += 1
    elif not _older(old, shift.row):
        tables.change("shift", shift.row)
    tables.commit()
    done.lines += len(new_lines)
    done.tests += len(new_tests)
    done.changed += len(changed)


def _older(old: Mapping[str, Value], new: Row) -> bool:
    """Tell whether the database knows more of this shift than what is at hand."""
    less = [int(old[name] or 0) > int(new[name] or 0) for name in ("lines", "branches", "sound")]
    return any(less)


def _same(table: str, one: Mapping[str, Value], other: Row) -> bool:
    return all(one[column.name] == other[column.name] for column in TABLES[table])
