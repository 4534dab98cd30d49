"""Hundreds of phrases, each with the reading or the question that it must give."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import pytest
import yaml

from assistant.words import grammars
from assistant.words.measured import QUANTITIES
from assistant.words.phrase import Grammar
from assistant.words.understand import Ask, Reading, Understood, understand

FILE = Path(__file__).with_name("phrases.yaml")
TEXT = FILE.read_text(encoding="utf-8")
GROUPS: Mapping[str, Mapping[str, str]] = yaml.safe_load(TEXT)
ROWS = [(group, said, must) for group, rows in GROUPS.items() for said, must in rows.items()]


def grammar_of(group: str, form=grammars.value) -> Grammar:
    """Return the grammar that a group of the table is heard under."""
    # A unit may hold a slash itself, as km/h does; a quantity never does.
    unit, slash, quantity = group.rpartition("/")
    return form(unit, quantity) if slash else form(group)


def as_written(understood: Understood) -> str:
    """Return a reading or a question as the table writes it."""
    if isinstance(understood, Ask):
        assert understood.question
        return f"ask {understood.reason}"
    assert isinstance(understood, Reading)
    measure = understood.measure
    parts = [f"{'now ' if understood.replaces else ''}{measure.value} {measure.unit}"]
    parts += [measure.hedge] if measure.hedge else []
    parts += [measure.lean.value] if measure.lean else []
    return ", ".join(parts)


@pytest.mark.parametrize(("group", "said", "must"), ROWS)
def test_a_phrase_means_what_the_table_says(group, said, must):
    """Each phrase gives its one reading, exactly, or its question."""
    assert as_written(understand(said, grammar_of(group))) == must


@pytest.mark.parametrize(
    ("group", "said", "must"), [row for row in ROWS if not row[2].startswith("ask ")]
)
def test_said_into_a_read_back_it_replaces_what_was_read(group, said, must):
    """The same phrase after a read-back, with or without "no", means the same."""
    confirm = grammar_of(group, grammars.confirm)
    value = must.removeprefix("now ")

    assert as_written(understand(said, confirm)) == f"now {value}"
    assert as_written(understand(f"no {said}", confirm)) == f"now {value}"


def test_the_table_is_large_and_says_nothing_twice():
    """At least four hundred phrases; YAML would hide that one stands there twice."""
    keys = re.findall(r"^  (\S.*?): ", TEXT, re.MULTILINE)
    written = [key for key in keys if not key.startswith("#")]

    assert len(ROWS) >= 400
    assert len(written) == len(ROWS)


def test_every_kind_of_value_is_in_the_table():
    """Each unit of each quantity that a checklist may ask for has rows, but for odd units."""
    groups = {group.rpartition("/")[2] for group in GROUPS}

    assert {"in", "number", *QUANTITIES} <= groups
