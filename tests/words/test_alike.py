from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest
from bench.conversation import alike as made

from assistant.words import grammars
from assistant.words.alike import mistakable
from assistant.words.meaning import Lean, Measure
from assistant.words.numbers import UNITS
from assistant.words.readback import Window, alike, hangs, read_back, two_forms, value_in_words
from assistant.words.sounds_alike import BY_PHONES

ROOT = Path(__file__).parents[2]

WIDTH, COUNT = grammars.value("in"), grammars.value("number")
LIMITS = Window(Fraction(1), Fraction(3, 2), Fraction(1, 16))


def inches(value):
    """Return a width."""
    return Measure(Fraction(value), "in")


def number(value):
    """Return a count."""
    return Measure(Fraction(value), "number")


@pytest.mark.parametrize(
    ("one", "other", "grammar"),
    [
        # The traps that the trade and medicine know; here they follow from the tables.
        (number(15), number(50), COUNT),
        (number(13), number(30), COUNT),
        (number(14), number(40), COUNT),
        (number(7), number(11), COUNT),
        (number(8), number(80), COUNT),
        (inches("1/4"), inches("5/4"), WIDTH),
        (inches("1/2"), inches("3/2"), WIDTH),
        (inches("3/8"), inches("11/8"), WIDTH),
        (inches("13/16"), inches("15/16"), WIDTH),
    ],
)
def test_known_traps_are_found_from_the_tables(one, other, grammar):
    """What is known to be confused is confusable here, whichever of the two was heard."""
    assert other in alike(one, grammar)
    assert one in alike(other, grammar)


def test_digits_do_not_sound_alike():
    """Said digit by digit a count is told apart: no digit sounds like another."""
    assert not [pair for pair in combinations(UNITS, 2) if mistakable(*pair)]


@pytest.mark.parametrize(
    ("measure", "grammar", "window", "said"),
    [
        (number(15), COUNT, None, "one five"),
        (number(50), COUNT, None, "five zero"),
        (number(9), COUNT, None, "nine"),
        (number(21), COUNT, None, "twenty one"),
        (number(170), COUNT, None, "one seven zero"),
        (inches("5/4"), WIDTH, None, "one and one quarter inches"),
        (inches("5/4"), WIDTH, LIMITS, "one and one quarter inches. One point two five"),
        (inches("15/16"), WIDTH, None, "one five over one six"),
        (inches("2"), WIDTH, LIMITS, "two inches"),
        (inches("25/16"), WIDTH, LIMITS, two_forms(inches("25/16"))),
        # Only the first form holds the hedge, so it is never left out.
        (
            Measure(Fraction(15, 16), "in", "strong", Lean.OVER),
            WIDTH,
            None,
            "strong fifteen sixteenths of an inch. One five over one six. Less than one inch",
        ),
    ],
)
def test_a_value_is_read_back_in_the_form_that_tells_it_apart(measure, grammar, window, said):
    """One form where nothing is like it, the clearer of two, or both where the verdict hangs."""
    assert read_back(measure, grammar, window) == said


def test_no_two_counts_are_read_back_mistakably():
    """In the form that is chosen for each, no count sounds like one that sounds like it."""
    for count in range(1, 300):
        mine = read_back(number(count), COUNT)
        for other in alike(number(count), COUNT):
            theirs = read_back(other, COUNT)

            assert not mistakable(mine.replace(".", ""), theirs.replace(".", "")), (mine, theirs)


def test_every_width_that_can_pass_is_said_in_two_forms():
    """Limits of one inch to one and a half: whatever passes hangs, and so does what just fails."""
    for marks in range(14, 27):
        assert hangs(inches(Fraction(marks, 16)), WIDTH, LIMITS)
        assert ". " in read_back(inches(Fraction(marks, 16)), WIDTH, LIMITS)


def test_the_second_form_is_never_lost_where_the_verdict_turns():
    """Any two marks on different sides of a limit that sound alike are both said in two forms."""
    for marks in range(4, 41):
        one = inches(Fraction(marks, 16))
        for other in alike(one, WIDTH):
            if LIMITS.side(one.value_in) != LIMITS.side(other.value_in):
                assert read_back(one, WIDTH, LIMITS) == two_forms(one)


def test_the_phone_table_is_the_lexicons():
    """The table is what the model's lexicon gives: nobody changed it by hand."""
    lexicon = ROOT / "models" / "ear" / "lexicon.txt"
    if not lexicon.is_file():
        pytest.skip("no model lies here")

    assert made.by_phones(made.lexicon(lexicon)) == BY_PHONES


def test_what_is_said_first_is_the_value_as_said():
    """One form alone is either the value in words or its digits, never a rounded one."""
    for count in range(1, 100):
        said = read_back(number(count), COUNT)

        assert COUNT.readings(said) == [number(count)] or said == value_in_words(number(count))
