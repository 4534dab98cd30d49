"""Widths as a foreman reads them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.review.bar import WIDE, bar
from assistant.review.widths import allowed, decimal, fraction, inches, width
from assistant.weld.limits import WidthLimits

F = Fraction
LIMITS = WidthLimits()


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (F(0), "0 in"),
        (F(7, 8), "7/8 in"),
        (F(15, 16), "15/16 in"),
        (F(1), "1 in"),
        (F(20, 16), "1 1/4 in"),
        (F(22, 16), "1 3/8 in"),
        (F(5, 2), "2 1/2 in"),
        (F(13, 10), "1.3 in"),
        (F(160, 127), "1.26 in"),
    ],
)
def test_inches(value, shown):
    """Marks of a rule are shown as they stand there, in lowest terms; the rest as decimals."""
    assert inches(value) == shown


# 25.4 mm to the inch, exactly (NIST SP 811, App. B).
@pytest.mark.parametrize(
    ("value", "exact_mm", "whole_mm"),
    [
        (F(15, 16), "23.8125", "24"),
        (F(1), "25.4", "25"),
        (F(17, 16), "26.9875", "27"),
        (F(9, 8), "28.575", "29"),
        (F(5, 4), "31.75", "32"),
        (F(11, 8), "34.925", "35"),
        (F(3, 2), "38.1", "38"),
        (F(13, 8), "41.275", "41"),
    ],
)
def test_millimetres_beside_inches(value, exact_mm, whole_mm):
    """The exact millimetres are rounded to whole ones: a sixteenth is no finer."""
    assert decimal(value * F(127, 5), 4) == exact_mm
    assert width(value).endswith(f"(about {whole_mm} mm)")


@pytest.mark.parametrize(
    ("value", "unit", "hedge", "shown"),
    [
        (F(5, 4), "in", None, "1 1/4 in (about 32 mm)"),
        (F(1), "in", "strong", "1 in, strong (about 25 mm)"),
        (F(160, 127), "mm", None, "32 mm (about 1.26 in)"),
        (F(325 * 5, 10 * 127), "mm", "shy", "32.5 mm, shy (about 1.28 in)"),
        (F(25 * 5, 127), "mm", None, "25 mm (about 0.98 in)"),
    ],
)
def test_width(value, unit, hedge, shown):
    """A width is shown in the unit it was said in, with its hedge, and in the other beside it."""
    assert width(value, unit, hedge) == shown


def test_allowed():
    """Limits are exact, so their millimetres have a decimal."""
    assert allowed(LIMITS) == "1 to 1 1/2 in (25.4 to 38.1 mm)"


@pytest.mark.parametrize(
    ("value", "places", "shown"),
    [
        (F(1, 2), 0, "1"),
        (F(3, 2), 0, "2"),
        (F(1, 8), 2, "0.13"),
        (F(999, 1000), 2, "1"),
        (F(1, 100), 2, "0.01"),
    ],
)
def test_rounding(value, places, shown):
    """Halves are rounded up, and zeros at the end are left out."""
    assert decimal(value, places) == shown


@pytest.mark.parametrize(
    ("stored", "read"),
    [
        ("5/4", F(5, 4)),
        ("1", F(1)),
        ("160/127", F(160, 127)),
        ("1/0", None),
        ("", None),
        (None, None),
        (1.25, None),
        ("-1", None),
        ("1e999999999", None),
        ("nan", None),
    ],
)
def test_stored_fraction(stored, read):
    """What a record holds is read, and a spoiled one neither misleads nor stalls."""
    assert fraction(stored) == read


WIDTHS = st.one_of(st.none(), st.fractions(0, 4, max_denominator=64))


@given(WIDTHS, WIDTHS)
def test_bar_stays_in_its_drawing(width_in, solid_in):
    """Whatever the width, everything stands inside the drawing and in the right order."""
    drawn = bar(width_in, solid_in, LIMITS)
    marks = [drawn.least, drawn.most, *drawn.ticks, drawn.width, drawn.solid]

    assert all(drawn.left <= mark.x <= drawn.right <= WIDE for mark in marks if mark)
    assert drawn.least.x < drawn.most.x
    if width_in is not None and abs(width_in - 1) >= F(1, 16):
        assert (drawn.width.x < drawn.least.x) is (width_in < 1)


@pytest.mark.parametrize(
    ("width_in", "solid_in", "told"),
    [
        (F(5, 4), None, "Width 1 1/4 in; allowed is 1 in to 1 1/2 in"),
        (F(5, 4), F(7, 8), "Width 1 1/4 in, solid part 7/8 in; allowed is 1 in to 1 1/2 in"),
        (None, None, "No width was heard; allowed is 1 in to 1 1/2 in"),
    ],
)
def test_bar_in_words(width_in, solid_in, told):
    """Who does not see the drawing is told the same."""
    assert bar(width_in, solid_in, LIMITS).told == told
