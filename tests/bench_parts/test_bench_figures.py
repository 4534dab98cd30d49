"""How the bench reads what a general recogniser writes in figures."""

from __future__ import annotations

import pytest
from bench.ear.figures import fraction_in_words, in_our_words

from assistant.words import grammars
from assistant.words.understand import Reading, understand


@pytest.mark.parametrize(
    ("written", "words"),
    [
        (" 1 3/8 inches.", "one and three eighths inches"),
        ("1-3/8 in.", "one and three eighths inches"),
        ("1⅜ inches", "one and three eighths inches"),
        ("1½", "one and one half"),
        ('3/4"', "three quarters inches"),
        ("15/16ths of an inch", "fifteen sixteenths of an inch"),
        ("7/30", "seven over thirty"),
        ("7/32", "seven thirty seconds"),
        ("1.25 inches", "one and one quarter inches"),
        ("0.5", "one half"),
        ("1.27", "one point two seven"),
        ("35mm", "thirty five millimeters"),
        ("35 millimetres", "thirty five millimeters"),
        ("Seem number 127.", "seam number one hundred twenty seven"),
        ("Seam 007", "seam zero zero seven"),
        ("three 8ths", "three eighths"),
        ("Five eights", "five eighths"),
        ("8", "eight"),
        ("Ate.", "eight"),
        ("we ate", "we ate"),
        ("That's right!", "that is right"),
        ("Where are we?", "where are we"),
        ("45%", "forty five percent"),
        ("1,250", "one thousand two hundred fifty"),
        ("99999999", "nine nine nine nine nine nine nine nine"),
        ("", ""),
        ("...", ""),
    ],
)
def test_figures_become_the_words_that_were_said(written, words):
    """Whatever names the same value comes out in words of ours."""
    assert in_our_words(written) == words


@pytest.mark.parametrize(
    ("written", "value"), [("1 3/8 inches", "11/8"), ("1.25", "5/4"), ("5/8 inch", "5/8")]
)
def test_a_width_in_figures_is_read_exactly(written, value):
    """What a general recogniser writes is understood by the same grammar as what ours hears."""
    understood = understand(in_our_words(written), grammars.value("in"))

    assert isinstance(understood, Reading)
    assert str(understood.measure.value) == value


@pytest.mark.parametrize(
    ("over", "under", "words"),
    [(1, 2, "one half"), (3, 2, "three halves"), (1, 8, "one eighth"), (5, 7, "five over seven")],
)
def test_a_fraction_is_counted_in_parts_of_a_rule(over, under, words):
    """Parts of a rule have names; others are left as two numbers, which no grammar takes."""
    assert fraction_in_words(over, under) == words
