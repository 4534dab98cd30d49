from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from support.sayings import meanings

from assistant.mouth.wording import speakable
from assistant.words.meaning import Lean, Measure
from assistant.words.readback import (
    decimal_in_words,
    inches_in_words,
    spoken,
    two_forms,
    value_in_words,
)
from assistant.words.widths import HEDGES, LEADING_HEDGES, TRAILING_HEDGES, one_value

SIXTEENTHS = [Fraction(count, 16) for count in range(1, 41)]


def inches(text):
    """Return a plain width in inches."""
    return Measure(Fraction(text), "in")


def number(count):
    """Return a count."""
    return Measure(Fraction(count), "number")


def mm(text):
    """Return a plain width in millimeters."""
    return Measure(Fraction(text), "mm")


def words_changed(one: str, other: str) -> int:
    """Return how many words must be put in, left out or changed to make one of the other."""
    first, second = one.lower().split(), other.lower().split()
    row = list(range(len(second) + 1))
    for at, word in enumerate(first, 1):
        before, row = row, [at]
        for place, against in enumerate(second, 1):
            change = before[place - 1] + (word != against)
            row.append(min(change, before[place] + 1, row[-1] + 1))
    return row[-1]


@pytest.mark.parametrize(
    ("measure", "said"),
    [
        # How a wrong value is caught by ear: in two forms, as numbers are repeated in medicine
        # ("fifteen, one five"; 15 mg was heard as 50 mg with harm:
        # patientsafety.pa.gov/ADVISORIES/Pages/200606_01b.aspx).
        (inches("5/4"), "one and one quarter inches. One point two five"),
        (
            inches("15/16"),
            "fifteen sixteenths of an inch. One five over one six. Less than one inch",
        ),
        (inches("11/8"), "one and three eighths inches. One point three seven five"),
        (inches("1"), "one inch. One point zero"),
        (inches("2"), "two inches. Two point zero"),
        (inches("1/2"), "one half of an inch. Zero point five. Less than one inch"),
        (inches("33/32"), "one and one thirty second inches. One point zero three one two five"),
        (inches("13/10"), "one point three inches. Decimal one point three"),
        (
            inches("33/100"),
            ("zero point three three inches. Decimal zero point three three. Less than one inch"),
        ),
        (mm("32"), "thirty two millimeters. Three two millimeters"),
        (mm("51/2"), "twenty five point five millimeters. Two five point five millimeters"),
        (number(15), "fifteen. One five"),
        (number(50), "fifty. Five zero"),
        (number(105), "one hundred five. One zero five"),
        (Measure(Fraction(1), "in", "shy", Lean.UNDER), "shy one inch. One point zero"),
        (Measure(Fraction(1), "in", "minus", Lean.UNDER), "one inch minus. One point zero"),
        (
            Measure(Fraction(32), "mm", "plus", Lean.OVER),
            ("thirty two millimeters plus. Three two millimeters"),
        ),
    ],
)
def test_a_value_is_said_in_two_forms(measure, said):
    """A read-back gives the value as it was said, then another way, and warns below an inch."""
    assert two_forms(measure) == said


CONFUSABLE = [
    # Traps of the trade; common practice, no source, unless named.
    (number(15), number(50)),
    (number(13), number(30)),
    (number(14), number(40)),
    (number(16), number(60)),
    (number(17), number(70)),
    (number(18), number(80)),
    (number(19), number(90)),
    (number(1), number(9)),
    (number(5), number(9)),
    (number(530), number(30)),
    (inches("1/4"), inches("5/4")),
    (inches("1/8"), inches("8")),
    (inches("1/8"), number(8)),
    (inches("3/8"), mm("38")),
    (inches("3/8"), inches("11/8")),
    (inches("1/2"), inches("3/2")),
    (inches("7/8"), mm("70")),
    (inches("7/8"), number(70)),
    (inches("1/16"), number(16)),
    (inches("1/16"), number(60)),
    (inches("15/16"), inches("31/16")),
    (inches("3/4"), inches("7/4")),
    (inches("5/8"), inches("13/8")),
    (inches("5/16"), inches("15/16")),
    (mm("15"), mm("50")),
    (mm("13"), mm("30")),
    (mm("32"), inches("5/4")),
]


@pytest.mark.parametrize(("one", "other"), CONFUSABLE)
def test_what_sounds_alike_is_told_apart(one, other):
    """The read-backs of two values that sound alike differ in at least two words."""
    assert words_changed(two_forms(one), two_forms(other)) >= 2


def test_any_two_widths_are_told_apart():
    """The read-backs of any two marks of the rule differ in at least two words."""
    alike = [
        (two_forms(one), two_forms(other))
        for one, other in combinations([Measure(value, "in") for value in SIXTEENTHS], 2)
        if words_changed(two_forms(one), two_forms(other)) < 2
    ]

    assert not alike


def test_any_two_counts_differ_in_both_forms():
    """Any two counts differ in each of the two sentences, so in two words at least."""
    both = [two_forms(number(count)).split(". ") for count in range(1, 1000)]

    assert all(len(sentences) == 2 for sentences in both)
    assert len({first for first, _ in both}) == len({second for _, second in both}) == 999


def test_a_width_below_an_inch_always_says_so():
    """The worst mishearing is a lost "one and": below an inch the read-back says it."""
    for value in SIXTEENTHS:
        warned = "Less than one inch" in two_forms(Measure(value, "in"))

        assert warned == (value < 1)


def test_no_read_back_holds_a_figure():
    """Whatever can be understood can be said by a voice that must never see a figure."""
    measures = {found[0] for found in meanings(one_value(), 4).values()}
    measures |= {number(count) for count in range(1, 1000)}

    assert len(measures) > 5000
    for measure in measures:
        assert speakable(spoken(two_forms(measure)))
        assert speakable(value_in_words(measure))


def test_every_hedge_is_heard_in_the_read_back():
    """The word that leans is said back, in front or behind as people say it."""
    for hedge, lean in {**HEDGES, **LEADING_HEDGES}.items():
        said = value_in_words(Measure(Fraction(5, 4), "in", hedge, lean))
        bare = "one and one quarter inches"

        assert said == (f"{bare} {hedge}" if hedge in TRAILING_HEDGES else f"{hedge} {bare}")


def test_a_width_off_the_rule_is_refused_as_a_fraction():
    """A third of an inch is on no rule: it is never rounded in silence."""
    with pytest.raises(ValueError, match="rule"):
        inches_in_words(Fraction(4, 3))


def test_an_endless_decimal_is_refused():
    """A value without a short decimal form is never cut short in silence."""
    with pytest.raises(ValueError, match="decimal"):
        decimal_in_words(Fraction(1, 3))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [("one inch", "One inch."), ("Is it?", "Is it?"), ("stop!", "Stop!"), (" one. ", "One.")],
)
def test_a_sentence_begins_and_ends(text, sentence):
    """A sentence gets a capital and an end, and never a second end."""
    assert spoken(text) == sentence
