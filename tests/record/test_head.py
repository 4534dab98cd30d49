"""The head of a record, noted elsewhere, tells of cut ends and of records written anew."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.records import scribe

from assistant.record.head import can_be, fits, letters
from assistant.record.verify import verify
from assistant.words.spelling import letters_of, spelled


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (0, "AAAAAA"),
        (1, "AAAAAB"),
        (26, "AAAABA"),
        (26**6 - 1, "ZZZZZZ"),
        (26**6, "AAAAAA"),
    ],
)
def test_letters_are_a_number_of_base_26(number: int, told: str) -> None:
    """The letters are the rest of the hash by 26 to the 6th, the highest digit first."""
    assert letters(f"{number:064x}") == told


@settings(deadline=None)
@given(st.binary())
def test_letters_come_back_from_their_words(content: bytes) -> None:
    """What is said is what is noted: spelled and written down again, the letters are the same."""
    head = hashlib.sha256(content).hexdigest()

    assert letters_of(spelled(letters(head))) == letters(head)
    assert fits(letters(head).lower(), head)
    assert fits(head[-6:], head)
    assert fits(head.upper(), head)


@pytest.mark.parametrize("text", ["alfa bravo seven", "", "hello", "alfabravo"])
def test_other_words_spell_nothing(text: str) -> None:
    """A word that is not of the alphabet is not guessed."""
    assert letters_of(text) is None


@pytest.mark.parametrize("known", ["", "abc", "ABCDE", "ABCDEFG", "g" * 64, "äöüabc", "0" * 65])
def test_what_cannot_be_a_head(known: str) -> None:
    """Too short, too long or of other signs: no head."""
    assert not can_be(known)


def closed(folder: Path, lines: int = 5) -> None:
    """Make a record of so many lines, the last of which closes the shift."""
    with scribe(folder) as writer:
        writer.begin()
        for number in range(lines - 2):
            writer.yes_no(f"step-{number}")
        writer.record.append("closed", {"lines": lines - 1, "said": "stop"})


def test_closed_record_is_known_by_its_head(tmp_path: Path) -> None:
    """A record that ends in what was noted is as it was closed."""
    closed(tmp_path)
    noted = verify(tmp_path)
    for known in (noted.letters, noted.head, noted.digest):
        found = verify(tmp_path, known)

        assert (found.problems, found.closed) == ((), True)
        assert found.notes == (f"The record ends in {known}, as was noted.",)


@pytest.mark.parametrize("cut", [1, 2, 4])
def test_cut_tail_is_told_against_a_known_head(tmp_path: Path, cut: int) -> None:
    """Whole lines cut from the end leave a sound chain that no longer closes and lacks the head."""
    closed(tmp_path)
    noted = verify(tmp_path).letters
    path = tmp_path / "record.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-cut]))
    found = verify(tmp_path, noted)

    assert verify(tmp_path).problems == ()
    assert not found.closed
    assert found.problems == (
        f"No line ends in {noted}: lines were cut from the end, the record was written anew, or "
        "the head belongs to another.",
    )


def test_record_written_anew_is_told_against_a_known_head(tmp_path: Path) -> None:
    """Another record in the place of the first is sound, and known by its head to be another."""
    closed(tmp_path / "first")
    closed(tmp_path / "second", lines=6)
    noted = verify(tmp_path / "first").digest

    assert verify(tmp_path / "second").problems == ()
    assert verify(tmp_path / "second", noted).problems


def test_lines_written_after_the_head(tmp_path: Path) -> None:
    """A shift that went on later holds the noted head inside."""
    closed(tmp_path)
    noted = verify(tmp_path).letters
    with scribe(tmp_path) as writer:
        writer.begin()
    found = verify(tmp_path, noted)

    assert found.problems == ()
    assert f"Line 5 ends in {noted}, as was noted. 1 line was written after it." in found.notes


def test_first_broken_link_is_named(tmp_path: Path) -> None:
    """Of several changes the first is named, and all are told."""
    closed(tmp_path, lines=8)
    path = tmp_path / "record.jsonl"
    rows = path.read_bytes().splitlines(keepends=True)
    for place in (6, 2):
        rows[place] = rows[place].replace(b"yes", b"yea", 1)
    path.write_bytes(b"".join(rows))
    found = verify(tmp_path)

    assert found.first_broken == 3
    assert {"Line 3 is not as it was written.", "Line 7 is not as it was written."} <= {
        *found.problems
    }
