from __future__ import annotations

from fractions import Fraction

import pytest

from assistant.words import grammars
from assistant.words.meaning import Lean, Measure
from assistant.words.understand import Ask, Reading, understand

WIDTH = grammars.value("in")

# Common practice, no source, unless another is named beside the row.
IN_SIXTEENTHS = [
    ("inch", 16),
    ("one inch", 16),
    ("an inch even", 16),
    ("inch on the nose", 16),
    ("inch exactly", 16),
    ("full inch", 16),
    ("inch and a quarter", 20),
    ("one and a quarter", 20),
    ("inch and one quarter", 20),
    ("one and one fourth", 20),
    ("an inch and a quarter", 20),
    ("inch and quarter", 20),
    ("one inch and a quarter inch", 20),
    ("inch and an eighth", 18),
    ("one and one eighth", 18),
    ("inch and three eighths", 22),
    ("one and three eighths", 22),
    ("inch three eighths", 22),
    ("one three eighths", 22),
    ("one three eighth inch", 22),
    ("inch and a half", 24),
    ("one and a half", 24),
    ("three halves", 24),
    ("inch and a sixteenth", 17),
    ("inch and three sixteenths", 19),
    ("inch and five sixteenths", 21),
    ("inch and seven sixteenths", 23),
    ("three quarters", 12),
    ("three quarter inch", 12),
    ("half inch", 8),
    ("half an inch", 8),
    ("a half an inch", 8),
    ("seven eighths", 14),
    ("fifteen sixteenths", 15),
    ("inch and five eighths", 26),
    ("five quarters", 20),
    ("five quarter", 20),
    ("two inch", 32),
    # Unreduced fractions are really said: lemmy.yachts/post/18906/26854
    ("ten sixteenths", 10),
    ("twenty sixteenths", 20),
    ("one point two five", 20),
    ("one decimal two five", 20),
    ("one and twenty five hundredths", 20),
    ("one point three seven five", 22),
    ("one point one two five", 18),
    ("point seven five", 12),
    ("zero point seven five", 12),
    ("nought point five", 8),
    ("one point oh six two five", 17),
    ("Inch-and-a-quarter.", 20),
]

HEDGED = [
    ("inch strong", 16, "strong", Lean.OVER),
    ("full inch", 16, "full", Lean.OVER),
    ("a full inch", 16, "full", Lean.OVER),
    ("inch shy", 16, "shy", Lean.UNDER),
    ("a shy inch", 16, "shy", Lean.UNDER),
    ("inch and a half heavy", 24, "heavy", Lean.OVER),
    ("inch and a half light", 24, "light", Lean.UNDER),
    ("inch and a quarter fat", 20, "fat", Lean.OVER),
    ("inch plus", 16, "plus", Lean.OVER),
    ("inch long", 16, "long", Lean.OVER),
    ("inch weak", 16, "weak", Lean.UNDER),
    ("scant inch and an eighth", 18, "scant", Lean.UNDER),
    ("inch minus", 16, "minus", Lean.UNDER),
    ("inch short", 16, "short", Lean.UNDER),
    ("just over an inch", 16, "just over", Lean.OVER),
    ("just under an inch", 16, "just under", Lean.UNDER),
    # A window trade's way of saying it; and lemmy.yachts/post/18906/26854
    ("half inch light", 8, "light", Lean.UNDER),
    ("a strong nine sixteenths", 9, "strong", Lean.OVER),
]

MILLIMETERS = [
    ("thirty two millimeters", Fraction(32)),
    ("thirty-two millimetres", Fraction(32)),
    ("thirty eight millimeters", Fraction(38)),
    ("twenty five point four millimeters", Fraction(254, 10)),
    ("one millimeter", Fraction(1)),
    ("one millimetre", Fraction(1)),
]

# What number libraries read wrongly in silence: each row was tried with seven of them.
MISREAD_ELSEWHERE = [
    ("one and three eighths inches", Fraction(11, 8)),
    ("three eighths of an inch", Fraction(3, 8)),
    ("three sixteenths", Fraction(3, 16)),
    ("seven thirty seconds of an inch", Fraction(7, 32)),
    ("one eighth", Fraction(1, 8)),
    ("an eighth of an inch", Fraction(1, 8)),
    ("half an inch", Fraction(1, 2)),
    ("two and a half inches", Fraction(5, 2)),
    ("a quarter inch", Fraction(1, 4)),
    ("three quarters of an inch", Fraction(3, 4)),
    ("two and three quarter inches", Fraction(11, 4)),
    ("zero point five", Fraction(1, 2)),
    ("point oh five", Fraction(1, 20)),
    ("nought point eight", Fraction(4, 5)),
]

# Pairs that are lost in noise: each says what it says and nothing else.
TRAPS_READ = [
    ("a quarter", Fraction(1, 4), "in"),
    ("one and a quarter", Fraction(5, 4), "in"),
    ("one quarter", Fraction(1, 4), "in"),
    ("half inch", Fraction(1, 2), "in"),
    ("one half", Fraction(1, 2), "in"),
    ("inch and a half", Fraction(3, 2), "in"),
    ("three eighths", Fraction(3, 8), "in"),
    ("thirty eight millimeters", Fraction(38), "mm"),
    ("inch three eighths", Fraction(11, 8), "in"),
    ("seven eighths", Fraction(7, 8), "in"),
    ("sixteenth", Fraction(1, 16), "in"),
    ("eighth", Fraction(1, 8), "in"),
    ("an inch", Fraction(1), "in"),
    ("fifteen millimeters", Fraction(15), "mm"),
    ("fifty millimeters", Fraction(50), "mm"),
    ("thirteen millimeters", Fraction(13), "mm"),
    ("thirty millimeters", Fraction(30), "mm"),
]

ASKED = [
    # Digits, units and thicknesses: 5.1 of the trade's table has them as ambiguous.
    ("one two five", "digits-without-point"),
    ("one twenty five", "digits-without-point"),
    ("one four seven", "digits-without-point"),
    ("one thirty two", "digits-without-point"),
    ("thirty two mil", "mil"),
    ("thirty two mils", "mil"),
    # Ticks of an unknown size: lemmy.yachts/post/18906/26854
    ("four ticks", "ticks"),
    ("three lines over", "ticks"),
    ("inch and three lines over", "ticks"),
    ("one inch two ticks", "ticks"),
    # Traps: bare numbers where a lost ending would make a fraction or a ten of them.
    ("thirty eight", "number-without-unit"),
    ("seventy", "number-without-unit"),
    ("fifteen", "number-without-unit"),
    ("fifty", "number-without-unit"),
    ("thirteen", "number-without-unit"),
    ("thirty", "number-without-unit"),
    ("sixteen", "number-without-unit"),
    ("sixty", "number-without-unit"),
    ("eight", "number-without-unit"),
    ("four", "number-without-unit"),
    ("one two", "digits-without-point"),
    ("one to", "not-our-words"),
    ("one too", "not-our-words"),
    ("ate", "not-our-words"),
    ("for", "not-our-words"),
    ("inch in a quarter", "not-our-words"),
    ("in inch", "not-our-words"),
    ("quarter point", "not-our-words"),
    ("thirty second", "not-our-words"),
    # Hedges that are no reading.
    ("about an inch", "about"),
    ("roughly inch and a quarter", "about"),
    ("call it an inch and a half", "about"),
    ("about thirty two millimeters", "about"),
    ("strong", "not-our-words"),
    ("minus one inch", "not-our-words"),
    # Taken back in the same breath, but from where?
    ("inch and a quarter - no, eighth", "half-corrected"),
    ("inch and a quarter, no, an eighth", "half-corrected"),
    # Two numbers in one breath.
    ("inch inch and a quarter", "two-values"),
    ("inch and a quarter inch and an eighth", "two-values"),
    # Feet are never expected; nor sixty-fourths, ranges and figures.
    ("four foot six", "not-our-words"),
    ("four feet six and a half inches", "not-our-words"),
    ("eleven sixty fourths", "not-our-words"),
    ("forty to fifty millimetres", "not-our-words"),
    ("minus three point five", "not-our-words"),
    ("one hundred and twenty five", "not-our-words"),
    ("1 1/4", "figures"),
    ("1.25", "figures"),
    ("inch and a [unk]", "not-our-words"),
    ("[unk]", "not-our-words"),
    ("", "no-words"),
    (" - , ", "no-words"),
]

CORRECTED = [
    ("inch and a half no one and an eighth", Fraction(9, 8), "in"),
    ("inch, no, inch and a quarter", Fraction(5, 4), "in"),
    ("three quarters no seven eighths", Fraction(7, 8), "in"),
    ("seven eighths correction one inch", Fraction(1), "in"),
    ("thirty millimeters no thirty two millimeters", Fraction(32), "mm"),
]


@pytest.mark.parametrize(("said", "sixteenths"), IN_SIXTEENTHS)
def test_a_width_is_read(said, sixteenths):
    """What a welder says for a width is read as so many sixteenths."""
    understood = understand(said, WIDTH)

    assert isinstance(understood, Reading)
    assert understood.measure.unit == "in"
    assert understood.measure.value * 16 == sixteenths


@pytest.mark.parametrize(("said", "sixteenths", "hedge", "lean"), HEDGED)
def test_a_hedge_is_kept_and_is_no_number(said, sixteenths, hedge, lean):
    """A hedge stays the word it was, with its lean; the value is the bare one."""
    understood = understand(said, WIDTH)

    assert isinstance(understood, Reading)
    assert understood.measure == Measure(Fraction(sixteenths, 16), "in", hedge, lean)


@pytest.mark.parametrize(("said", "millimeters"), MILLIMETERS)
def test_millimeters_stay_millimeters(said, millimeters):
    """Either spelling is millimeters, kept exact and in the unit that was said."""
    understood = understand(said, WIDTH)

    assert isinstance(understood, Reading)
    assert understood.measure == Measure(millimeters, "mm")
    assert understood.measure.value_in == millimeters / Fraction(254, 10)


@pytest.mark.parametrize(("said", "value"), MISREAD_ELSEWHERE)
def test_phrases_that_number_libraries_misread(said, value):
    """What libraries bend into a plausible number is read right."""
    understood = understand(said, WIDTH)

    assert isinstance(understood, Reading)
    assert understood.measure == Measure(value, "in")


@pytest.mark.parametrize(("said", "value", "unit"), TRAPS_READ)
def test_each_of_a_pair_is_itself(said, value, unit):
    """One of two that sound alike is never taken for the other."""
    understood = understand(said, WIDTH)

    assert isinstance(understood, Reading)
    assert understood.measure == Measure(value, unit)


@pytest.mark.parametrize(("said", "reason"), ASKED)
def test_what_names_no_single_width_is_asked(said, reason):
    """Whatever has no single meaning becomes a question, for the right reason."""
    understood = understand(said, WIDTH)

    assert isinstance(understood, Ask)
    assert understood.reason == reason
    assert understood.question


@pytest.mark.parametrize(("said", "value", "unit"), CORRECTED)
def test_the_last_of_a_correction_counts(said, value, unit):
    """A whole value that takes back another in one breath is read, and marked as replacing it."""
    understood = understand(said, WIDTH)

    assert isinstance(understood, Reading)
    assert understood.replaces
    assert understood.measure == Measure(value, unit)


def test_not_all_of_a_long_millimeter_is_dropped():
    """Hundredths of a millimeter are more than a rule shows: asked, not cut to tenths."""
    understood = understand("six point two five millimetres", WIDTH)

    assert isinstance(understood, Ask)
