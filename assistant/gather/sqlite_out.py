"""A SQLite file as ``Tables``. Imports ``columns``, ``database`` and ``errors``."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Mapping
from contextlib import closing
from pathlib import Path

from assistant.errors import UsageProblem
from assistant.gather.columns import TABLES, Row, Value
from assistant.gather.database import VERSION, Added, export
from assistant.gather.rows import Shift

_TYPES = {"text": "TEXT", "integer": "INTEGER", "real": "REAL", "yes-no": "INTEGER"}


def write_sqlite(path: Path, shifts: Iterable[Shift]) -> Added:
    """Bring a SQLite file up to date.

    Raises:
        UsageProblem: the file is something else, is in use, or cannot be written.
    """
    try:
        with closing(sqlite3.connect(path)) as connection:
            _prepare(connection, path)
            return export(_Tables(connection), shifts)
    except sqlite3.Error as problem:
        raise UsageProblem(
            f"The database {path} cannot be written ({problem}). Name another file."
        ) from problem


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
    if there and "lapcall_schema" not in there:
        raise UsageProblem(f"{path} is a database of something else. Name another file.")
    connection.execute("CREATE TABLE IF NOT EXISTS lapcall_schema (version INTEGER NOT NULL)")
    versions = [version for (version,) in connection.execute("SELECT version FROM lapcall_schema")]
    if versions not in ([], [VERSION]):
        raise UsageProblem(f"{path} was made by another version of Lapcall. Name another file.")
    if not versions:
        connection.execute("INSERT INTO lapcall_schema VALUES (?)", (VERSION,))
    for table, columns in TABLES.items():
        told = ", ".join(f'"{column.name}" {_TYPES[column.kind]}' for column in columns)
        connection.execute(
            f'CREATE TABLE IF NOT EXISTS "{table}" ({told}, PRIMARY KEY ("{columns[0].name}"))'
        )
        connection.execute(f'CREATE INDEX IF NOT EXISTS "{table}_shift" ON "{table}" ("shift")')
    connection.commit()


class _Tables:
    """Names of tables and columns are ours alone; whatever was said goes in as a parameter."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def rows(self, table: str, shift: str) -> Mapping[str, Mapping[str, Value]]:
        """Return the rows of a shift by their keys."""
        names = [column.name for column in TABLES[table]]
        told = ", ".join(f'"{name}"' for name in names)
        found = self._connection.execute(
            f'SELECT {told} FROM "{table}" WHERE "shift" = ?',  # noqa: S608 - our own names
            (shift,),
        )
        return {row[0]: dict(zip(names, row, strict=True)) for row in found}

    def keys(self, table: str, shift: str) -> Collection[str]:
        """Return the keys of the rows of a shift."""
        key = TABLES[table][0].name
        found = self._connection.execute(
            f'SELECT "{key}" FROM "{table}" WHERE "shift" = ?',  # noqa: S608 - our own names
            (shift,),
        )
        return {row[0] for row in found}

    def add(self, table: str, rows: Collection[Row]) -> None:
        """Add rows that are not there yet."""
        names = [column.name for column in TABLES[table]]
        marks = ", ".join("?" * len(names))
        self._connection.executemany(
            f'INSERT INTO "{table}" VALUES ({marks})',  # noqa: S608 - our own names
            [[row[name] for name in names] for row in rows],
        )

    def change(self, table: str, row: Row) -> None:
        """Write a row that is there anew."""
        key, *others = [column.name for column in TABLES[table]]
        told = ", ".join(f'"{name}" = ?' for name in others)
        self._connection.execute(
            f'UPDATE "{table}" SET {told} WHERE "{key}" = ?',  # noqa: S608 - our own names
            [*(row[name] for name in others), row[key]],
        )

    def commit(self) -> None:
        """Make everything since the last commit last."""
        self._connection.commit()
