"""``lapcall export``: tests as a table, lines and shifts as a database."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.gather.job import records_of

if TYPE_CHECKING:
    from assistant.commands.options import Commands


def add_to(commands: Commands) -> None:
    """Add the command."""
    export = commands.add_parser("export", help="give the tests out as a table or a database")
    export.add_argument(
        "--record",
        nargs="+",
        type=Path,
        metavar="FOLDER",
        help="folders of records or job folders (usually the newest record alone)",
    )
    ways = export.add_mutually_exclusive_group(required=True)
    ways.add_argument("--csv", type=Path, metavar="FILE", help="one row a test, for a spreadsheet")
    ways.add_argument("--jsonl", type=Path, metavar="FILE", help="one JSON object a test")
    ways.add_argument("--sqlite", type=Path, metavar="FILE", help="shifts, lines and tests")
    ways.add_argument("--sql", metavar="URL", help="the same in any database SQLAlchemy knows")
    ways.add_argument("--columns", action="store_true", help="print what each column holds")
    export.set_defaults(run=run_export)


def run_export(options: argparse.Namespace) -> int:
    """Bring the file or database up to date, and say what was added."""
    from assistant.gather import columns  # noqa: PLC0415 - no other command needs these

    if options.columns:
        print(columns.described())
        return 0
    folders = records_of(options.record or [places.latest_shift()])
    if options.sqlite or options.sql:
        return _to_database(options, folders)
    # Loaded here: no other command needs these.
    from assistant.gather.files_out import write_csv, write_json_lines  # noqa: PLC0415
    from assistant.gather.rows import shifts  # noqa: PLC0415

    tests = [row for shift in shifts(folders) for row in shift.tests.values()]
    write = write_csv if options.csv else write_json_lines
    new, changed = write(options.csv or options.jsonl, tests)
    print(f"Tests: {new} new, {changed} changed, {len(tests)} in these records.")
    return 0


def _to_database(options: argparse.Namespace, folders: tuple[Path, ...]) -> int:
    from assistant.gather.rows import shifts  # noqa: PLC0415 - no other command needs these
    from assistant.gather.sql_out import write_sql  # noqa: PLC0415
    from assistant.gather.sqlite_out import write_sqlite  # noqa: PLC0415

    found = shifts(folders)
    done = write_sqlite(options.sqlite, found) if options.sqlite else write_sql(options.sql, found)
    print(
        f"New: {done.shifts} shifts, {done.lines} lines, {done.tests} tests. "
        f"Changed: {done.changed} tests."
    )
    return 0
