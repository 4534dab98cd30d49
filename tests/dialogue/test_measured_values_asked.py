"""Measured values beside widths, asked for by a checklist and taken in a conversation."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.sayings import phrases
from support.talk import Talk

from assistant.dialogue.prompts import grammar_for
from assistant.dialogue.state import Phase
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import AskValue, Procedure
from assistant.record import kinds
from assistant.words import grammars
from assistant.words.measured import QUANTITIES
from assistant.words.understand import Reading, understand, within

CHECKLIST = """\
procedure: measured
title: Measured
version: "1"
steps:
  - id: value
    ask: "How much?"
    answer: value
    of: {name}
    unit: {unit}
"""
ASKED = [(name, next(iter(one.plausible))) for name, one in QUANTITIES.items()]


@cache
def _read(name: str, unit: str, more: str, folder: Path) -> Procedure:
    path = folder / f"{name}.yaml"
    path.write_text(CHECKLIST.format(name=name, unit=unit) + more, encoding="utf-8")
    return load_procedure(path)


@pytest.fixture(scope="module")
def asking(tmp_path_factory):
    """Return what makes a checklist with one question of a quantity."""
    folder = tmp_path_factory.mktemp("checklists")
    return lambda name, unit, more="": _read(name, unit, more, folder)


@pytest.mark.parametrize(
    ("asked", "said", "back", "answer"),
    [
        (("air-temperature", "F"), "seventy two", "degrees fahrenheit", "72"),
        (("air-temperature", "C"), "minus four", "minus four degrees celsius", "-4"),
        (("sheet-temperature", "F"), "one forty five", "one four five degrees fahrenheit", "145"),
        (("humidity", "percent"), "sixty five", "percent", "65"),
        (("wind", "mph"), "about ten", "about ten miles an hour", "10"),
        (("volts", "V"), "one eighteen", "volts", "118"),
        (("cord-length", "ft"), "hundred foot cord", "one hundred feet", "100"),
        (("cord-gauge", "AWG"), "twelve three", "twelve gauge", "12"),
        (("seam-length", "ft"), "forty two feet of seam", "feet", "42"),
        (("seam-place", "ft"), "at ten foot three", "feet three inches", "41/4"),
        (("dial", "mark"), "six and a half", "six and a half", "13/2"),
    ],
)
def test_a_measured_value_is_read_back_with_its_unit_and_written(asking, asked, said, back, answer):
    """A bare number gets the unit of the question, aloud and in the record; it is no width."""
    name, unit = asked
    talk = Talk(asking(name, unit)).hear(said)
    read_back = talk.said[-1]
    talk.hear("yes")
    written = next(line for line in talk.lines if line.kind == kinds.ANSWERED)

    assert back in read_back.lower()
    assert QUANTITIES[name].called in read_back.lower()
    assert (written.fields["answer"], written.fields["unit"]) == (answer, unit)
    assert written.fields["width_in"] is None
    assert written.fields["said"] == said


@pytest.mark.parametrize(
    ("name", "unit", "said"),
    [
        ("air-temperature", "F", "one hundred fifty degrees"),
        ("air-temperature", "C", "seventy"),
        ("humidity", "percent", "one hundred and five percent"),
        ("humidity", "percent", "zero percent"),
        ("wind", "mph", "ninety miles an hour"),
        ("volts", "V", "twelve volts"),
        ("cord-length", "ft", "six hundred feet"),
        ("dial", "mark", "twelve"),
    ],
)
def test_outside_the_window_is_asked(asking, name, unit, said):
    """What cannot be is told as it was heard, and asked again; nothing is read back to be right."""
    talk = Talk(asking(name, unit)).hear(said)

    assert talk.state.pending is None
    assert talk.phase is Phase.ANSWER
    assert "outside" in " ".join(talk.said[-2:])


def test_a_step_may_have_a_window_of_its_own(asking):
    """The checklist's window stands in place of the usual one, wider or narrower."""
    narrow = asking("dial", "mark", "    plausible: {from: 4 marks, to: 12 marks}\n")

    assert Talk(narrow).hear("twelve").state.pending
    assert Talk(narrow).hear("three").state.pending is None


@pytest.mark.parametrize(
    ("name", "unit", "said", "question"),
    [
        ("wind", "mph", "twenty kilometer an hour", "I need it in miles an hour"),
        ("cord-length", "ft", "fifteen meters", "I need it in feet"),
        ("air-temperature", "C", "seventy fahrenheit", "I need it in degrees celsius"),
        ("cord-gauge", "AWG", "eleven gauge", "Cords have these gauges"),
        ("dial", "mark", "between six and seven", "nearest half mark"),
    ],
)
def test_no_unit_and_no_size_is_guessed(asking, name, unit, said, question):
    """Another unit, or a size between those there are, gets a question."""
    talk = Talk(asking(name, unit)).hear(said)

    assert talk.state.pending is None
    assert question in talk.said[-1]


def test_after_two_failures_digits_are_asked_for(asking):
    """The second way into a measured value is digit by digit."""
    talk = Talk(asking("volts", "V")).hear("twelve volts", "twelve volts")

    assert talk.phase is Phase.SECOND_WAY
    assert talk.hear("one one eight").state.pending.reading.measure.value == Fraction(118)


@pytest.mark.parametrize(("name", "unit"), ASKED)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_words_make_a_value_outside_its_window_or_in_another_unit(asking, name, unit, data):
    """Whatever is said, at random too: what is read back is plausible and in its unit."""
    procedure = asking(name, unit)
    step = procedure.steps[0]
    assert isinstance(step, AskValue)
    talk = Talk(procedure)
    for _ in range(data.draw(st.integers(1, 4))):
        talk.hear(data.draw(_texts(name, unit)))
        if talk.finished or talk.phase not in (Phase.ANSWER, Phase.SECOND_WAY, Phase.CONFIRM):
            return
        pending = talk.state.pending
        if pending is not None:
            assert pending.reading.measure.unit == unit
            assert within(pending.reading.measure, step.plausible_from, step.plausible_to)
            assert talk.phase is Phase.CONFIRM


def _texts(name: str, unit: str) -> st.SearchStrategy[str]:
    own = grammars.value(unit, name)
    words = sorted(own.automaton.vocabulary())
    other_name, other_unit = ASKED[(len(name) + len(unit)) % len(ASKED)]
    return st.one_of(
        phrases(own),
        phrases(grammars.value(other_unit, other_name)),
        st.lists(st.sampled_from(words), max_size=6).map(" ".join),
    )


@pytest.mark.parametrize(("name", "unit"), ASKED)
def test_the_grammar_of_the_step_is_that_of_its_quantity(asking, name, unit):
    """In each phase the ear listens for this quantity."""
    talk = Talk(asking(name, unit))
    assert grammar_for(talk.state).key == grammars.value(unit, name).key
    middle = {"AWG": "twelve", "mark": "nine", "mph": "sixty"}.get(unit, "ninety")
    assert isinstance(understand(middle, grammar_for(talk.state)), Reading)
    talk.hear(middle)

    assert grammar_for(talk.state).key == grammars.confirm(unit, name).key
