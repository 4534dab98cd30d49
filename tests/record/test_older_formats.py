"""Records of older formats are read as if they were of this one, and never written anew.

``version-1`` was written by hand, line for line as the first format had it: without ``v``, without
the width in inches, with WAV clips.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from datetime import datetime, timezone
from pathlib import Path

import pytest
from support.records import MORNING, TickingClock

from assistant.errors import RecordProblem
from assistant.record import older
from assistant.record.chain import read
from assistant.record.entry import GENESIS, to_entry
from assistant.record.journal import Record
from assistant.record.verify import read_and_verify, verify
from assistant.review.page import write_page
from assistant.review.reading import read as read_for_review

FIRST = Path(__file__).parent / "version-1"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the record of format 1."""
    return Path(shutil.copytree(FIRST, tmp_path / "shift"))


def line_of(version: object) -> bytes:
    """Return a line that says it is of ``version``, sound in itself."""
    whole = {"v": version, "seq": 0, "at": "2026-05-04T12:00:00.000Z", "zone": "+00:00"}
    body = json.dumps({**whole, "kind": "ended", "prev": GENESIS}, separators=(",", ":")).encode()
    return body[:-1] + f',"sum":"{hashlib.sha256(body).hexdigest()}"}}'.encode()


def test_first_format_verifies(folder):
    """Lines and WAV clips of format 1 are as they were written."""
    found = verify(folder)

    assert found.problems == ()
    assert found.lines == 19


def test_first_format_is_read_as_this_one():
    """What format 1 left out is told: by what it said where that leaves no choice, else as null."""
    entries = read((FIRST / "record.jsonl").read_bytes()).entries
    by_seq = {entry.seq: entry.fields for entry in entries}

    assert {entry.version for entry in entries} == {1}
    assert by_seq[0]["rules"] is None
    assert (by_seq[1]["width_in"], by_seq[1]["confirmed_clip"]) == (None, None)
    assert by_seq[8]["width_in"] == "15/16"
    assert [by_seq[seq]["reason"] for seq in (7, 11)] == ["hedge-decides", "asked"]
    assert by_seq[10]["limits"]["edges"] == 1
    assert (by_seq[10]["finding"], by_seq[10]["pull"]) == (None, None)


def test_reading_writes_nothing(folder):
    """Reading, verifying and reviewing an old record leave each byte of it, and its hashes."""
    before = (folder / "record.jsonl").read_bytes()
    found, _ = read_and_verify(folder)
    write_page(folder, folder / "page.html", datetime(2026, 5, 5, tzinfo=timezone.utc))

    assert (folder / "record.jsonl").read_bytes() == before
    assert found.head == found.entries[-1].digest
    assert found.entries[3].prev == found.entries[2].digest


def test_old_record_is_gone_on_with(folder):
    """New lines follow old ones in one chain, each of its own format."""
    record = Record.open(folder, TickingClock())
    record.append("held", {"step": "verdict", "because": "quiet", "run": 0})
    record.close()

    assert verify(folder).problems == ()
    assert [entry.version for entry in read_and_verify(folder)[0].entries][-2:] == [1, 2]


def test_old_record_is_reviewed(folder):
    """The foreman sees an old shift, its verdict taken back and its sound as any other."""
    found = read_for_review(folder)

    assert found.review.began is not None
    assert found.review.guns == ("gun three",)
    assert found.verified.changed == frozenset()


def test_this_format_needs_no_change():
    """A line of this format stays as it is, whatever it lacks."""
    fields = {"limits": {"least_in": "1"}}

    assert older.upgraded(older.FORMAT, "judged", fields) is fields


def test_newer_line_is_told(tmp_path):
    """A record of a newer Lapcall is told as such, and never written to."""
    (tmp_path / "record.jsonl").write_bytes(line_of(3) + b"\n")

    assert verify(tmp_path).problems == (
        "Line 1 is of format 3, and this Lapcall reads up to 2. Read this record with a newer one.",
    )
    with pytest.raises(RecordProblem, match="newer Lapcall"):
        Record.open(tmp_path, lambda: MORNING)


@pytest.mark.parametrize("version", [0, -1, True, "2", 1.5, None, [1]])
def test_a_format_is_a_number(version):
    """What is no format makes the line none of a record."""
    with pytest.raises(Exception, match="is not a line of a record"):
        to_entry(line_of(version))
