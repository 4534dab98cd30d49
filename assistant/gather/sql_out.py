"""Any SQL database by its URL as ``Tables``, by way of SQLAlchemy (the extra ``sql``), loaded here.

Imports ``columns``, ``database`` and ``errors``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from assistant.errors import UsageProblem
from assistant.gather.columns import TABLES, Column, Row, Value
from assistant.gather.database import VERSION, Added, export
from assistant.gather.rows import Shift

if TYPE_CHECKING:
    import sqlalchemy

_KEY_LETTERS = 64
"""Some databases want to know how long a key can be."""


def write_sql(url: str, shifts: Iterable[Shift]) -> Added:
    """Bring the tables of a database up to date, making them where they are missing.

    They are called ``lapcall_shift``, ``lapcall_line`` and ``lapcall_test``, as a contractor's
    database holds other things too.

    Raises:
        UsageProblem: the library or the driver is missing, or the database refuses.
    """
    try:
        import sqlalchemy as sql  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise UsageProblem(
            "Writing to a database by its URL needs the package SQLAlchemy. Install it with "
            "pip install 'lapcall[sql]', or use --sqlite FILE."
        ) from error
    try:
        engine = sql.create_engine(url)
    except (sql.exc.ArgumentError, ImportError) as problem:
        # The URL may hold a password, so neither it nor what quotes it is shown.
        what = f"lacks its driver ({problem})" if isinstance(problem, ImportError) else "is none"
        raise UsageProblem(
            f"The database's URL {what}. It looks like postgresql+psycopg://USER@HOST/NAME."
        ) from problem
    try:
        with engine.connect() as connection:
            tables = _prepare(sql, connection)
            return export(_Tables(connection, tables), shifts)
    except sql.exc.SQLAlchemyError as problem:
        raise UsageProblem(f"The database refuses: {_reason(problem)}") from problem
    finally:
        engine.dispose()


def _reason(problem: Exception) -> str:
    cause = getattr(problem, "orig", None) or problem
    return next(iter(str(cause).strip().splitlines()), type(cause).__name__)


def _prepare(sql: Any, connection: sqlalchemy.Connection) -> Mapping[str, sqlalchemy.Table]:  # noqa: ANN401 - the module, loaded late
    meta = sql.MetaData()
    version = sql.Table("lapcall_schema", meta, sql.Column("version", sql.Integer))
    tables = {
        name: sql.Table(f"lapcall_{name}", meta, *_columns(sql, columns))
        for name, columns in TABLES.items()
    }
    meta.create_all(connection)
    versions = [row[0] for row in connection.execute(sql.select(version))]
    if versions not in ([], [VERSION]):
        raise UsageProblem("The tables there were made by another version of Lapcall.")
    if not versions:
        connection.execute(sql.insert(version), {"version": VERSION})
    connection.commit()
    return tables


def _columns(sql: Any, columns: Iterable[Column]) -> list[sqlalchemy.Column[Any]]:  # noqa: ANN401 - likewise
    kinds = {
        "text": sql.Text,
        "integer": sql.BigInteger,
        # An ordinary REAL holds seven digits elsewhere than in SQLite.
        "real": sql.Double,
        "yes-no": sql.Boolean,
    }
    made = []
    for place, column in enumerate(columns):
        short = place == 0 or column.name == "shift"
        kind = sql.String(_KEY_LETTERS) if short else kinds[column.kind]
        made.append(
            sql.Column(
                column.name,
                kind,
                primary_key=place == 0,
                index=place > 0 and short,
                comment=column.holds,
            )
        )
    return made


class _Tables:
    """The tables in one connection."""

    def __init__(
        self, connection: sqlalchemy.Connection, tables: Mapping[str, sqlalchemy.Table]
    ) -> None:
        self._connection, self._tables = connection, tables

    def rows(self, table: str, shift: str) -> Mapping[str, Mapping[str, Value]]:
        """Return the rows of a shift by their keys."""
        here = self._tables[table]
        found = self._connection.execute(here.select().where(here.c.shift == shift))
        return {row[0]: dict(row._mapping) for row in found}

    def keys(self, table: str, shift: str) -> Collection[str]:
        """Return the keys of the rows of a shift."""
        here = self._tables[table]
        key = here.c[TABLES[table][0].name]
        found = self._connection.execute(
            here.select().with_only_columns(key).where(here.c.shift == shift)
        )
        return {row[0] for row in found}

    def add(self, table: str, rows: Collection[Row]) -> None:
        """Add rows that are not there yet."""
        if rows:
            self._connection.execute(self._tables[table].insert(), [dict(row) for row in rows])

    def change(self, table: str, row: Row) -> None:
        """Write a row that is there anew."""
        here = self._tables[table]
        key = TABLES[table][0].name
        self._connection.execute(here.update().where(here.c[key] == row[key]).values(**row))

    def commit(self) -> None:
        """Make everything since the last commit last."""
        self._connection.commit()
