from __future__ import annotations

from fractions import Fraction

import pytest
from support.sayings import meanings

from assistant.words import grammars
from assistant.words.meaning import Measure
from assistant.words.numbers import counted_to_999, digits_in_words, in_words
from assistant.words.phrase import Grammar
from assistant.words.understand import Ask, Reading, understand

COUNT = grammars.value("number")
DIGITS = grammars.value_plainly("number")


def in_pairs(count: int) -> str:
    """Return a count of three digits as "one twenty five", or as it is counted where none fits."""
    head, rest = divmod(count, 100)
    if not head or rest < 10:
        return in_words(count)
    return f"{in_words(head)} {in_words(rest)}"


def read(text, grammar=COUNT):
    """Return the count that was understood; fails on a question."""
    understood = understand(text, grammar)
    assert isinstance(understood, Reading), text
    assert understood.measure.unit == "number"
    return understood.measure.value


@pytest.mark.parametrize("said", [in_words, in_pairs, lambda count: digits_in_words(str(count))])
def test_every_count_is_read(said):
    """1 to 999 counted, in pairs, and digit by digit: each is read as itself."""
    wrong = {said(count): count for count in range(1, 1000) if read(said(count)) != count}

    assert not wrong


def test_every_count_is_read_digit_by_digit_the_second_way():
    """The second way in takes the digits of every count."""
    wrong = [n for n in range(1, 1000) if read(digits_in_words(str(n)), DIGITS) != n]

    assert not wrong


def test_no_count_reads_two_ways():
    """Not one of all the phrases for a count has two meanings, and none leaves 1 to 999."""
    found = meanings(counted_to_999(), 6)
    longest = max(len(words) for words in found)

    assert longest < 6  # so these are all of them
    assert not {words: what for words, what in found.items() if len(what) > 1}
    assert {what[0] for what in found.values()} == set(range(1, 1000))


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("fifteen", 15),
        ("fifty", 50),
        ("one twenty five", 125),
        ("one four seven", 147),
        ("a hundred and five", 105),
        ("one hundred and twenty five", 125),
        ("one oh five", 105),
        ("one zero", 10),
        ("one ten", 110),
        ("nine nine nine", 999),
        ("seam fourteen", 14),
        ("seam number one hundred twelve", 112),
        ("number seven", 7),
    ],
)
def test_a_count_is_read(said, count):
    """Counts as they are said on a roof, some of which number libraries misread."""
    assert understand(said, COUNT) == Reading(Measure(Fraction(count), "number"), said)


@pytest.mark.parametrize(
    "said",
    [
        "twelve hundred",
        "one four seven two",
        "ten five",
        "hundred",
        "twenty eleven",
        "zero",
        "oh five",
        "one and a quarter",
        "seam",
        "minus four",
        "one hundred [unk] five",
        "one to five",
        "fifteen fifty",
    ],
)
def test_what_is_no_count_is_asked(said):
    """Too long, half said or mixed up: asked, never cut to a number."""
    assert isinstance(understand(said, COUNT), Ask)


def test_the_words_of_a_count_are_only_its_own():
    """No word for an inch or a fraction can be heard where a count is asked for."""
    words = Grammar("count", counted_to_999()).automaton.vocabulary()

    assert not words & {"inch", "half", "quarter", "eighth", "point", "millimeters"}


@pytest.mark.parametrize("count", [-1, 1_000_000])
def test_beyond_words(count):
    """A number that nobody says here raises instead of being said wrongly."""
    with pytest.raises(ValueError, match="no words"):
        in_words(count)


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (0, "zero"),
        (21, "twenty one"),
        (100, "one hundred"),
        (999, "nine hundred ninety nine"),
        (1000, "one thousand"),
        (20_305, "twenty thousand three hundred five"),
        (999_999, "nine hundred ninety nine thousand nine hundred ninety nine"),
    ],
)
def test_a_number_in_words(count, said):
    """Numbers are written out in words, without hyphens and without and."""
    assert in_words(count) == said
