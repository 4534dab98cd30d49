"""Records that somebody made to do harm get a sentence, and nothing happens."""

from __future__ import annotations

import json
import os
import random
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.records import MORNING, scribe

from assistant.errors import RecordBroken
from assistant.record import chain
from assistant.record.entry import GENESIS, digest, to_line
from assistant.record.journal import Record
from assistant.record.verify import verify


def stored(folder: Path, *rows: bytes) -> Path:
    """Write lines as a record; return the folder."""
    folder.mkdir(exist_ok=True)
    (folder / "record.jsonl").write_bytes(b"".join(row + b"\n" for row in rows))
    return folder


def naming(*clips: str) -> list[bytes]:
    """Return sound lines, each with a clip of that name."""
    rows, prev = [], GENESIS
    for number, clip in enumerate(clips):
        rows.append(to_line(number, MORNING, "answered", {"step": "x", "clip": clip}, prev))
        prev = digest(rows[-1])
    return rows


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=3000))
def test_any_bytes_are_read(data: bytes) -> None:
    """Whatever the bytes are, each whole line is told and nothing is raised."""
    found = chain.read(data)

    assert all(line.problem for line in found.lines)
    assert data.endswith(found.torn)


@pytest.mark.parametrize("length", [chain.MOST_BYTES - 1, chain.MOST_BYTES, 5 * chain.MOST_BYTES])
@pytest.mark.parametrize("end", [b"", b"\n"])
def test_huge_line(length: int, end: bytes) -> None:
    """A line that no writing of ours made is passed over by its length, and the next is read."""
    found = chain.read(b"[" * length + end)
    told = [line.problem for line in found.lines]

    assert told == ([] if length < chain.MOST_BYTES and not end else [told[0]])
    assert bool(found.torn) != bool(told)
    if length >= chain.MOST_BYTES:
        assert told == ["is longer than a line can be"]


def test_lines_behind_a_huge_one_are_numbered(tmp_path: Path) -> None:
    """The line behind a huge one is told by its own number."""
    rows = naming("a")
    found = verify(stored(tmp_path, b"x" * (2 * chain.MOST_BYTES), *rows))

    assert found.problems[0] == "Line 1 is longer than a line can be."
    assert found.problems[1] == "Line 2 does not follow from the line before it."
    assert found.first_broken == 1


def test_too_much_for_a_line_is_not_written(tmp_path: Path) -> None:
    """What could not be read again is refused before it is written."""
    with scribe(tmp_path) as writer:
        writer.begin()
        with pytest.raises(ValueError, match="bytes at most"):
            writer.line("stopped", said="x" * chain.MOST_BYTES)

    assert verify(tmp_path).problems == ()


@pytest.mark.parametrize(
    "row",
    [
        b"\xff\xfe\xfa",
        b'{"seq":0',
        b"null",
        b"[" * 100_000,
        b'{"a":' * 100_000,
        b"1" * 100_000,
        b'{"seq":0,"at":"9999-12-31T23:59:59.999Z","zone":"+01:00","kind":"x","prev":"x"}',
        b'{"seq":0,"at":1,"zone":[],"kind":{},"prev":null}',
        b'{"seq":NaN,"at":"2026-01-01T00:00:00.000Z","zone":"+00:00","kind":"x","prev":"x"}',
    ],
)
def test_strange_line(tmp_path: Path, row: bytes) -> None:
    """No line is too strange to be told as one that was not written so."""
    whole = row + b',"sum":"' + b"0" * 64 + b'"}'
    for each in (row, whole):
        found = verify(stored(tmp_path, each, *naming("a")))

        assert found.first_broken == 1
        assert found.problems[0].startswith("Line 1 is not as it was written")


@pytest.mark.parametrize(
    "name",
    [
        "../record.jsonl",
        "..\\record.jsonl",
        "/etc/passwd",
        "C:clip.wav",
        "clip.wav:stream",
        "CON",
        "a\0b",
        ".",
        "\ud800" * 3,
        "x" * 5000,
        "\x1b]0;title\x07",
        "0" * 64 + ".flac\n",
        "0" * 64 + ".flac/../../record.jsonl",
    ],
)
def test_clip_name_that_leads_elsewhere(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A clip's name is a hash or it is told, opened nowhere and shown in no terminal."""
    (tmp_path / "clips").mkdir()
    found = verify(stored(tmp_path, *naming(name)))
    print(*found.problems)  # noqa: T201 - what the command prints must be printable

    assert len(found.problems) == 1
    assert "has a name that no clip has" in found.problems[0]
    assert "\x1b" not in capsys.readouterr().out


@pytest.mark.skipif(sys.platform == "win32", reason="Windows keeps pipes elsewhere")
@pytest.mark.parametrize("place", ["clip", "record"])
def test_pipe_is_not_waited_for(tmp_path: Path, place: str) -> None:
    """A pipe in the place of a file is told, and nobody waits for somebody to write to it."""
    name = "0" * 64 + ".flac"
    stored(tmp_path, *naming(name))
    (tmp_path / "clips").mkdir()
    path = tmp_path / "clips" / name if place == "clip" else tmp_path / "record.jsonl"
    path.unlink(missing_ok=True)
    os.mkfifo(path)

    assert "It is no plain file" in verify(tmp_path).problems[0]


def test_kind_does_nothing_to_a_terminal(tmp_path: Path) -> None:
    """A kind from elsewhere is shown only where it is a plain word."""
    row = to_line(0, MORNING, "\x1b[2J", {}, GENESIS)

    assert verify(stored(tmp_path, row)).problems == ("Line 1 is of a kind that is not known.",)


def test_many_bad_lines_are_told_in_bounds(tmp_path: Path) -> None:
    """A hundred thousand bad lines are counted, not told one by one."""
    found = verify(stored(tmp_path, *([b"{}"] * 100_000)))

    assert len(found.problems) == 21
    assert found.lines == 100_000


def test_hostile_record_is_not_written_to(tmp_path: Path) -> None:
    """What is no record of ours is refused and left as it is."""
    stored(tmp_path, b"x" * (2 * chain.MOST_BYTES))
    before = (tmp_path / "record.jsonl").read_bytes()
    with pytest.raises(RecordBroken, match="Line 1"):
        Record.open(tmp_path, lambda: MORNING)

    assert (tmp_path / "record.jsonl").read_bytes() == before


def test_every_byte_of_some_lines_matters(tmp_path: Path) -> None:
    """Each changed byte of a record is told by the line it is in; all of a long one by hand."""
    with scribe(tmp_path) as writer:
        writer.begin()
        for number in range(30):
            writer.yes_no(f"step-{number}")
    data = (tmp_path / "record.jsonl").read_bytes()
    draw = random.Random(3)  # noqa: S311 - no secret
    for at in sorted(draw.sample(range(len(data) - 1), 500)):
        changed = data[:at] + bytes([data[at] ^ draw.randint(1, 255)]) + data[at + 1 :]
        found = chain.read(changed)
        line = data.count(b"\n", 0, at) + 1

        assert (found.broken and found.broken[0].number == line) or (line == 31 and found.torn)


def test_json_of_another_is_not_taken_for_ours(tmp_path: Path) -> None:
    """A file with another's JSON lines is no record."""
    found = verify(stored(tmp_path, json.dumps({"hello": "world"}).encode()))

    assert found.problems == ("Line 1 is not as it was written.",)
