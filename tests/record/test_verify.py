"""Checking a record from outside: every change is told in a sentence."""

from __future__ import annotations

import hashlib
import tempfile
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from support.records import TickingClock, scribe

from assistant.record import chain
from assistant.record.verify import verify


def made(folder: Path) -> bytes:
    """Make a record with a clip; return the bytes of its lines."""
    with scribe(folder) as writer:
        writer.begin()
        clip = writer.record.keep_clip(b"\1\0" * 100, 16_000)
        writer.value("width", "inch and a quarter", "5/4", clip=clip, confirmed_clip=clip)
        writer.line("not-heard", step="failure", act="choice", said=["hm"], clips=[clip])
        writer.line("ended")
    return (folder / "record.jsonl").read_bytes()


with tempfile.TemporaryDirectory() as _folder:
    GOOD = made(Path(_folder))


def test_good_record(tmp_path):
    """A record as it was written has no problem, and its head is the last line's."""
    stored = made(tmp_path)
    found = verify(tmp_path)

    assert (found.lines, found.problems, found.notes, found.changed) == (4, (), (), frozenset())
    assert found.head == hashlib.sha256(stored.splitlines()[-1]).hexdigest()[-6:]


@settings(max_examples=300)
@given(st.integers(0, len(GOOD) - 1), st.integers(0, 255))
def test_any_changed_byte_is_found(place, byte):
    """A single changed byte anywhere in the file is a problem or a torn end."""
    assume(GOOD[place] != byte)
    found = chain.read(GOOD[:place] + bytes([byte]) + GOOD[place + 1 :])

    assert found.broken or found.torn


@given(st.integers(0, len(GOOD) - 1), st.integers(1, 200))
def test_any_cut_but_of_whole_last_lines_is_found(place, length):
    """Bytes taken out anywhere are found, unless whole lines went from the very end."""
    left = GOOD[:place] + GOOD[place + length :]
    found = chain.read(left)

    assert found.broken or found.torn or (GOOD.startswith(left) and left[-1:] in (b"\n", b""))


def test_cut_tail_changes_the_head(tmp_path):
    """Whole lines cut from the end leave a sound chain: only a head noted elsewhere tells."""
    made(tmp_path)
    noted = verify(tmp_path).head
    path = tmp_path / "record.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
    found = verify(tmp_path)

    assert found.problems == ()
    assert found.head != noted


def test_torn_tail(tmp_path):
    """A torn last line is told, and nothing is changed by looking."""
    made(tmp_path)
    path = tmp_path / "record.jsonl"
    path.write_bytes(path.read_bytes() + b'{"seq":4,')
    before = path.read_bytes()

    assert verify(tmp_path).problems == ("The last line was cut short while it was written.",)
    assert path.read_bytes() == before


def test_missing_clip_is_told_once(tmp_path):
    """A clip that several lines name is told once, with the first of them."""
    made(tmp_path)
    clip = next((tmp_path / "clips").iterdir())
    clip.unlink()
    found = verify(tmp_path)

    assert found.problems == (f"The clip {clip.name[:12]} of line 2 is missing.",)
    assert found.changed == {clip.name}


def test_changed_clip_is_told(tmp_path):
    """A clip whose sound was changed is told."""
    made(tmp_path)
    clip = next((tmp_path / "clips").iterdir())
    clip.write_bytes(clip.read_bytes()[:-1] + b"\7")

    assert "is not as it was kept" in verify(tmp_path).problems[0]


@pytest.mark.parametrize("name", ["../record.jsonl", "..", "/etc/hostname"])
def test_clip_outside_the_folder_is_told(tmp_path, name):
    """A line cannot make the check read outside ``clips``."""
    with scribe(tmp_path) as writer:
        writer.begin()
        writer.choice("failure", "film-tearing", clip=name)
    (tmp_path / "clips").mkdir()

    assert verify(tmp_path).changed == {name}


def test_unknown_kind_is_told(tmp_path, monkeypatch):
    """A sound line of a kind from elsewhere is told and not passed over."""
    with scribe(tmp_path) as writer:
        writer.begin()
        monkeypatch.setattr("assistant.record.kinds.ALL", frozenset({"guessed"}))
        writer.line("guessed")
        monkeypatch.undo()

    assert verify(tmp_path).problems == ("Line 2 is of a kind that is not known: guessed.",)


@pytest.mark.parametrize("missing", ["folder", "file"])
def test_no_record(tmp_path, missing):
    """Where there is no record, that is the problem."""
    found = verify(tmp_path / "nowhere" if missing == "folder" else tmp_path)

    assert found.problems == ("The file record.jsonl cannot be read: There is none.",)
    assert (found.lines, found.head) == (0, "none")


def test_empty_record(tmp_path):
    """A record without lines is sound."""
    with scribe(tmp_path):
        pass
    found = verify(tmp_path)

    assert (found.lines, found.head, found.problems) == (0, "none", ())


def test_many_problems_are_counted(tmp_path):
    """A file that an editor rewrote throughout is not told line by line."""
    with scribe(tmp_path) as writer:
        writer.begin()
        for number in range(40):
            writer.yes_no(f"step-{number}")
    path = tmp_path / "record.jsonl"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    found = verify(tmp_path)

    assert len(found.problems) == 21
    assert found.problems[-1] == "There are 21 more problems like these."


def test_clock_set_back_is_noted(tmp_path):
    """A computer without a clock battery may jump: noted, and no fault of the chain."""
    with scribe(tmp_path) as writer:
        writer.begin()
        writer.record._now = TickingClock(TickingClock().moment - timedelta(hours=3))
        writer.line("ended")

    assert verify(tmp_path).notes == ("The clock was set back by about 3 h before line 2.",)
    assert verify(tmp_path).problems == ()
