from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.checklists import SHIPPED
from support.nearness import LEXICON, distance, read_ways
from support.sayings import meanings

from assistant.dialogue.marks import CONFIRM, TOLD, WHERE
from assistant.dialogue.notes import GRAMMAR
from assistant.procedure.loader import load_procedures
from assistant.procedure.model import AskChoice
from assistant.weld.due import Kind
from assistant.weld.strip import Defect
from assistant.words import grammars, last_test, marks
from assistant.words.commands import COMMANDS, DONE, YES_NO, command_phrases
from assistant.words.marks import DEFECTS, HAPPENED, feet_by_digits, feet_in_words
from assistant.words.meaning import Command, Marked, Measure, Position
from assistant.words.numbers import counted_to_999
from assistant.words.phrase import Phrase, any_of, table
from assistant.words.understand import Ask, understand
from assistant.words.widths import one_value, unclear

FAR_ENOUGH = 4
"""Phones: no shorter slip makes one of these of an answer, or an answer of one of these."""
NEW = [
    *HAPPENED,
    *(f"mark a {what}" for what in DEFECTS),
    *(f"mark {what} at ten feet" for what in DEFECTS),
    "make a note",
    "how many today",
    "read the last test",
    "change the last test",
]
with_lexicon = pytest.mark.skipif(not LEXICON.is_file(), reason="the model is not there")


def shipped_choices() -> set[str]:
    """Return every answer that a shipped checklist offers."""
    steps = [step for each in load_procedures(SHIPPED).values() for step in each.steps]
    choices = [choice for step in steps if isinstance(step, AskChoice) for choice in step.choices]
    return {phrase for choice in choices for phrase in choice.said}


def answers(*left_out: str) -> Phrase:
    """Return whatever is an answer or another command, but for those left out."""
    plain = {*COMMANDS, *YES_NO, *DONE, *HAPPENED, *shipped_choices(), marks.END_OF_NOTE}
    listed = table({phrase: phrase for phrase in plain - set(left_out)})
    return any_of(listed, counted_to_999(), one_value(), unclear())


@with_lexicon
@pytest.mark.parametrize("said", NEW)
def test_no_mark_sounds_like_an_answer(said):
    """Four phones or more lie between it and every answer, command, number and width."""
    assert distance(said, answers(said), read_ways(), FAR_ENOUGH) >= FAR_ENOUGH


@with_lexicon
@pytest.mark.parametrize(("short", "near"), [("note", "no"), ("rain", "ten"), ("break", "one")])
def test_shorter_words_would_sound_like_answers(short, near):
    """Why it is "make a note", "it is raining" and "taking a break"."""
    assert distance(short, answers(), read_ways(), FAR_ENOUGH) < FAR_ENOUGH
    assert distance(short, table({near: None}), read_ways()) <= FAR_ENOUGH


@with_lexicon
@pytest.mark.parametrize("part", last_test.PARTS.values())
def test_the_names_of_values_do_not_sound_like_each_other(part):
    """Three phones or more, and a read-back shows which one was understood."""
    others = table({each: each for each in last_test.PARTS.values() if each != part})

    assert distance(part, any_of(others, table({**COMMANDS})), read_ways(), 3) >= 3


@with_lexicon
def test_the_model_knows_every_word():
    """Nothing has to be said that the recogniser has no sound for."""
    known = read_ways()
    said = [WHERE, CONFIRM, GRAMMAR, last_test.which(tuple(last_test.PARTS))]

    assert not {word for each in said for word in each.automaton.vocabulary()} - set(known)


def test_marks_are_called_as_on_a_strip():
    """A defect has one name, on a strip as on a seam; so has an event, there as here."""
    assert set(DEFECTS.values()) <= {defect.value for defect in Defect}
    assert {each.what for each in HAPPENED.values()} <= {kind.value for kind in Kind}
    assert {each.what for each in HAPPENED.values()} == set(TOLD)


def test_no_choice_may_be_called_like_an_event():
    """What has happened is heard at any time, so no answer may be called so."""
    assert set(HAPPENED) <= command_phrases()
    assert not shipped_choices() & command_phrases()


EVERYWHERE = [
    grammars.yes_no(),
    grammars.done(),
    grammars.waiting(),
    grammars.value("in"),
    grammars.value("number"),
    grammars.value_plainly("in"),
    grammars.confirm("in"),
    grammars.numbered(3),
    grammars.choice({"one": ("clean peel",)}),
    WHERE,
    CONFIRM,
]
NOWHERE = [grammars.on_hold(), grammars.stop_only(), GRAMMAR]


@pytest.mark.parametrize("said", NEW)
def test_it_is_heard_at_any_time_awake(said):
    """Every grammar but those of a hold, of a note and of Lapcall's own speech knows it."""
    meant = {str(understand(said, grammar)) for grammar in EVERYWHERE}

    assert len(meant) == 1
    assert not isinstance(understand(said, EVERYWHERE[0]), Ask)
    assert all(isinstance(understand(said, grammar), Ask) for grammar in NOWHERE)


@pytest.mark.parametrize(
    ("said", "feet"),
    [
        ("zero feet", Fraction(0)),
        ("half a foot", Fraction(1, 2)),
        ("a half foot", Fraction(1, 2)),
        ("one foot", Fraction(1)),
        ("one and a half feet", Fraction(3, 2)),
        ("twelve feet", Fraction(12)),
        ("twelve and a half feet", Fraction(25, 2)),
        ("fifteen feet", Fraction(15)),
        ("fifty feet", Fraction(50)),
        ("one twenty five feet", Fraction(125)),
        ("one hundred and five feet", Fraction(105)),
        ("a hundred and a half feet", Fraction(201, 2)),
        ("three nine nine and a half feet", Fraction(799, 2)),
    ],
)
def test_positions_as_said(said, feet):
    """Whole feet and halves, counted or digit by digit, in a mark, alone, and as a correction."""
    assert understand(f"mark a void at {said}", grammars.done()) == Marked("void", feet)
    assert understand(said, WHERE) == understand(f"at {said}", WHERE) == Position(feet)
    assert understand(f"no {said}", CONFIRM) == Position(feet)


@pytest.mark.parametrize(
    "said",
    [
        "mark a void at twelve",
        "mark a void twelve feet",
        "mark a void at",
        "mark at twelve feet",
        "mark a clean peel at twelve feet",
        "mark a void at twelve inches",
        "mark a void at twelve and a quarter feet",
        "mark a void at twelve feet twelve feet",
        "void at twelve feet",
        "mark",
    ],
)
def test_half_a_mark_is_no_mark(said):
    """A number without its unit, a place without a defect and the like are refused."""
    assert isinstance(understand(said, grammars.done()), Ask)


def test_a_bare_number_is_only_an_answer():
    """Asked for feet, a number is feet; after a read-back it needs its unit, as widths do."""
    assert understand("twelve", WHERE) == Position(Fraction(12))
    assert isinstance(understand("twelve", CONFIRM), Ask)


def test_no_mark_reads_two_ways():
    """Every mark of up to seven words, every position and every correction means one thing."""
    phrases = [marks.position(), marks.corrected_position()]
    found = [meanings(phrase, 5) for phrase in phrases] + [meanings(marks.marks(), 7)]

    assert all(found)
    assert not [words for each in found for words, what in each.items() if len(what) > 1]


@given(st.integers(0, 1998).map(lambda halves: Fraction(halves, 2)))
def test_a_position_there_and_back(position_ft):
    """What Lapcall says for a position is understood as that position, and as no other."""
    said = feet_in_words(position_ft).replace("one half of a foot", "half a foot")
    said = said.replace(" and one half", " and a half")

    assert understand(said, WHERE) == Position(position_ft)
    digits = feet_by_digits(position_ft).removesuffix(" point five")
    assert digits == " ".join(digits.split())


def test_fifteen_and_fifty_are_told_apart():
    """By their digits, which sound different."""
    assert feet_by_digits(Fraction(15)) == "one five"
    assert feet_by_digits(Fraction(50)) == "five zero"
    assert feet_by_digits(Fraction(31, 2)) == "one five point five"


def test_a_width_is_never_a_mark():
    """No width or count can be read as a place on the seam, nor the other way round."""
    for said in ("twelve feet", "at twelve feet"):
        assert isinstance(understand(said, grammars.value("in")), Ask)
    assert isinstance(understand("twelve inches", WHERE), Ask)
    assert not isinstance(understand("twelve", grammars.done()), Measure | Position)


def test_the_lexicon_of_this_test_is_the_model_that_ships():
    """The distances are measured on the words of the recogniser in use."""
    assert Path("models/ear/lexicon.txt") == LEXICON.relative_to(LEXICON.parents[2])
    assert understand("make a note", grammars.done()) is Command.MAKE_A_NOTE
