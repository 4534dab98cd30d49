"""Lengths and times are read exactly, or not at all."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.measures import amount, in_inches, inches, seconds

LENGTHS = [
    ("1 in", Fraction(1)),
    ("1 1/2 in", Fraction(3, 2)),
    ("1 3/16 in", Fraction(19, 16)),
    ("1/4 in", Fraction(1, 4)),
    ("24/16 in", Fraction(3, 2)),
    ("1.5 in", Fraction(3, 2)),
    ("1.50 in", Fraction(3, 2)),
    ("0.1 in", Fraction(1, 10)),
    # 1 in = 25.4 mm exactly (international inch).
    ("25.4 mm", Fraction(1)),
    ("38.1 mm", Fraction(3, 2)),
    ("20 mm", Fraction(100, 127)),
]
TIMES = [
    ("10 min", Fraction(600)),
    ("90 s", Fraction(90)),
    ("1 h", Fraction(3600)),
    ("1.5 h", Fraction(5400)),
    ("1/2 h", Fraction(1800)),
    ("1.2 s", Fraction(6, 5)),
]


@pytest.mark.parametrize(("text", "value"), LENGTHS)
def test_a_length_is_read_exactly(text, value):
    """Fractions, decimals and millimetres lose nothing."""
    assert inches(text) == value


@pytest.mark.parametrize(("text", "value"), TIMES)
def test_a_time_is_read_exactly(text, value):
    """Seconds, minutes and hours are read in seconds."""
    assert seconds(text) == value


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("-20 F", "F", Fraction(-20)),
        ("0 C", "C", Fraction(0)),
        ("12.5 mph", "mph", Fraction(25, 2)),
        ("6 1/2 marks", "mark", Fraction(13, 2)),
        ("1 mark", "mark", Fraction(1)),
        ("40 km/h", "km/h", Fraction(40)),
    ],
)
def test_an_amount_is_read_in_its_own_unit(text, unit, value):
    """An amount stays in the unit it is written in, below zero as well."""
    assert amount(text, unit) == value


@pytest.mark.parametrize("text", ["20", "20 F", "20C", "- 20 C", "--2 C", "", "C", "20 CC"])
def test_an_amount_in_another_unit_is_refused(text):
    """Nothing is converted, and nothing is guessed."""
    with pytest.raises(ValueError, match=r"unit|number|space"):
        amount(text, "C")


@pytest.mark.parametrize(
    "text",
    ["", "in", "1", "1 1/2", "1-1/2 in", "1 1 1/2 in", "1 16/16 in", "1/0 in", "1. in", ".5 in",
     "1,5 in", "1 foot", "1 in in", "1  in", "+1 in", "-1 in", "1e1 in", "1 1.5 in", "½ in",
     "\u0661 in", "1 in\n", "1in"],
)  # fmt: skip
def test_a_length_that_can_be_taken_two_ways_is_refused(text):
    """Anything but one plain number and a unit is refused."""
    with pytest.raises(ValueError, match=r"unit|number|nought|less than one|space"):
        inches(text)


@given(st.integers(1, 5000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_an_inch_fraction_comes_back_as_it_was_written(over, under):
    """Every mark of a rule survives being written and read."""
    value = Fraction(over, under)

    assert inches(in_inches(value)) == value


@given(st.integers(0, 99), st.integers(1, 15))
def test_sixteenths_are_written_as_a_rule_shows_them(whole, sixteenths):
    """One and three sixteenths is written 1 3/16 in."""
    value = whole + Fraction(sixteenths, 16)
    part = Fraction(sixteenths, 16)
    text = f"{whole} {part} in" if whole else f"{part} in"

    assert in_inches(value) == text


@given(st.decimals(min_value="0.001", max_value="999", places=3))
def test_millimetres_and_inches_agree(millimetres):
    """A length in millimetres is that many times 5/127 of an inch."""
    assert inches(f"{millimetres} mm") * Fraction(127, 5) == Fraction(millimetres)


@given(st.text())
def test_no_text_breaks_the_reader(text):
    """Any text is read or refused with a ValueError."""
    for read in (inches, seconds):
        try:
            value = read(text)
        except ValueError:
            continue

        assert value >= 0
