"""Tests as a CSV file or as JSON lines. Imports ``columns``, ``record`` and ``errors``.

A file that is there keeps its rows: those of other records stay, those of these are brought up to
date, new ones come in. The order is always the same, so the same tests make the same file.

A spreadsheet runs what looks like a formula, and what was said or named at a roof comes from
anybody. So no cell begins with what begins a formula, nor does any part of one behind a mark that
some country's spreadsheet takes for the end of a cell. Nothing in it looks like a date that is
none: five quarters are "1 1/4 in".
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from assistant.errors import UsageProblem
from assistant.gather.columns import TEST, Column, Row, Value, kept_up
from assistant.record import disk

_HEADER = [column.name for column in TEST]
_FORMULA = re.compile(
    r"(^|[,;|\t\"'\u2028\u2029])"  # where some spreadsheet lets a cell begin
    r"([\s\u200b-\u200f\u2060\ufeff]*)"  # what it passes over there
    r"([=+\-@\uff1d\uff0b\uff0d\uff20\u2212\ufe63\ufe62])"  # what begins a formula, wide forms too
)
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")


def safe_cell(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula, nor for more than one cell."""
    return _FORMULA.sub(r"\1\2'\3", _CONTROL.sub(" ", text))


def write_csv(path: Path, tests: Iterable[Row]) -> tuple[int, int]:
    """Bring a CSV file up to date; return how many rows are new and how many changed.

    Raises:
        UsageProblem: the file is there and is no such export, or cannot be written.
    """
    old = _csv_rows(path)
    rows = _up_to_date(
        old, ({column.name: _cell(column, row[column.name]) for column in TEST} for row in tests)
    )
    buffer = io.StringIO()
    writer = csv.writer(buffer, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(_HEADER)
    writer.writerows(row.values() for row in _in_order({**old, **rows}))
    _write(path, b"\xef\xbb\xbf" + buffer.getvalue().encode())  # else umlauts go wrong
    return _counts(old, rows)


def write_json_lines(path: Path, tests: Iterable[Row]) -> tuple[int, int]:
    """Bring a file of JSON lines up to date; as ``write_csv``."""
    old = _json_rows(path)
    rows = _up_to_date(old, ({name: row[name] for name in _HEADER} for row in tests))
    whole = _in_order({**old, **rows})
    lines = [json.dumps(row, ensure_ascii=False, separators=(",", ":")) + "\n" for row in whole]
    _write(path, "".join(lines).encode())
    return _counts(old, rows)


def _cell(column: Column, value: Value) -> str:
    if value is None:
        return ""
    if column.kind == "yes-no":
        return "yes" if value else "no"
    if column.kind == "text":
        # A bare fraction would become a day of the year.
        return safe_cell(f"{value} in" if column.name == "width_exact_in" else str(value))
    return str(value)


def _up_to_date(old: Mapping[str, Row], rows: Iterable[Row]) -> dict[str, Row]:
    named = {str(row["test"]): row for row in rows}
    return {key: kept_up(old[key], row) if key in old else row for key, row in named.items()}


def _in_order(rows: Mapping[str, Row]) -> list[Row]:
    return sorted(rows.values(), key=lambda row: (str(row["judged_utc"]), str(row["test"])))


def _csv_rows(path: Path) -> Mapping[str, Row]:
    text = _there(path)
    if not text:
        return {}
    try:
        header, *rows = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    except csv.Error as problem:
        raise _no_export(path) from problem
    if header != _HEADER or any(len(row) != len(_HEADER) for row in rows):
        raise _no_export(path)
    return {row[0]: dict(zip(_HEADER, row, strict=True)) for row in rows}


def _json_rows(path: Path) -> Mapping[str, Row]:
    try:
        rows = [json.loads(line) for line in _there(path).split("\n") if line]
    except (ValueError, RecursionError) as problem:
        raise _no_export(path) from problem
    if not all(isinstance(row, dict) and list(row) == _HEADER for row in rows):
        raise _no_export(path)
    return {str(row["test"]): row for row in rows}


def _there(path: Path) -> str:
    try:
        return path.read_bytes().decode()
    except FileNotFoundError:
        return ""
    except UnicodeDecodeError as problem:
        raise _no_export(path) from problem
    except OSError as error:
        raise UsageProblem(
            f"{path} cannot be read ({error.strerror}). Name another file."
        ) from error


def _no_export(path: Path) -> UsageProblem:
    return UsageProblem(
        f"{path} is there and is no export of this version. It stays as it is. Name another file."
    )


def _counts(old: Mapping[str, object], rows: Mapping[str, object]) -> tuple[int, int]:
    changed = sum(1 for key, row in rows.items() if key in old and old[key] != row)
    return len(rows.keys() - old.keys()), changed


def _write(path: Path, content: bytes) -> None:
    try:
        disk.write_whole(disk.DISK, path, content)
    except OSError as error:
        raise UsageProblem(
            f"{path} cannot be written ({error.strerror}). Name another file."
        ) from error
