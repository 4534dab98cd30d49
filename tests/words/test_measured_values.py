"""Measured values beside widths: one reading, in the unit that was asked for, or a question."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.checklists import SHIPPED
from support.measured_by_hand import measured_by_hand
from support.sayings import meanings, phrases

from assistant.ear.lexicon import read_lexicon
from assistant.mouth.wording import speakable
from assistant.words import grammars
from assistant.words.meaning import Corrected, Measure
from assistant.words.measured import GAUGES, QUANTITIES, UNHEARD, UNITS
from assistant.words.measured_phrases import measured, quantity_of
from assistant.words.measured_words import number_alone
from assistant.words.phrase import Grammar
from assistant.words.readback import read_back, spoken, two_forms, value_in_words
from assistant.words.understand import Ask, Reading, tidy, understand

ASKED = [(name, unit) for name, one in QUANTITIES.items() for unit in one.plausible]
FORMS = [grammars.value, grammars.value_plainly, grammars.confirm]
MODEL = SHIPPED.parent / "models" / "ear"
STRANGE = ["to", "for", "inch", "roof", "thousand", "[unk]", "quarter", "celsius", "amps", "gauge"]
ONE_UNIT = [(name, next(iter(one.plausible))) for name, one in QUANTITIES.items()]
asked = pytest.mark.parametrize(("name", "unit"), ASKED)
asked_once = pytest.mark.parametrize(("name", "unit"), ONE_UNIT)


@cache
def clear(name: str, unit: str) -> Grammar:
    """Return the grammar of a quantity without the commands."""
    return Grammar(name, measured(name, unit))


@cache
def own_words(name: str, unit: str) -> list[str]:
    """Return every word that can be heard where a quantity is asked for."""
    return sorted(grammars.value(unit, name).automaton.vocabulary())


def sizes(name: str, unit: str) -> list[Fraction]:
    """Return values all over a window, at its ends, and with whatever part occurs."""
    low, high = QUANTITIES[name].plausible[unit]
    if unit == "AWG":
        return [Fraction(gauge) for gauge in GAUGES]
    step = max(Fraction(1), (high - low) // 20)
    whole = [low + step * count for count in range(int((high - low) / step) + 1)]
    parts = [Fraction(1, 2)] if unit == "mark" else [Fraction(1, 2), Fraction(3, 10)]
    if QUANTITIES[name].with_inches and unit == "ft":
        parts = [Fraction(1, 2), Fraction(1, 12), Fraction(11, 12)]
    found = [*whole, high, *(size + part for size in whole for part in parts)]
    return [size for size in found if low <= size <= high]


@asked
@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.__name__)
def test_the_ear_knows_every_word(form, name, unit):
    """Whatever may be said for a measured value is in the lexicon of the model that ships."""
    words = form(unit, name).automaton.vocabulary()

    assert not read_lexicon(MODEL).missing(words)
    assert not words & UNHEARD


@asked
def test_no_value_reads_two_ways(name, unit):
    """No short phrase has two meanings, asked for first or into a read-back."""
    for form, most in ((grammars.value, 3), (grammars.value_plainly, 3), (grammars.confirm, 2)):
        found = meanings(form(unit, name).phrase, most)

        assert not {" ".join(words): what for words, what in found.items() if len(what) > 1}


@asked
def test_every_short_phrase_as_read_by_hand(name, unit):
    """A plain reader, written apart, makes the same value and hedge of every phrase."""
    wrong = {}
    for words, (what,) in meanings(measured(name, unit), 3).items():
        measure = what.measure if isinstance(what, Corrected) else what
        if not isinstance(measure, Measure):
            continue
        text = " ".join(words)
        assert measure.unit == unit
        assert measure.lean is None
        if (measure.value, measure.hedge) != measured_by_hand(text, unit):
            wrong[text] = measure

    assert not wrong


@asked
def test_there_and_back(name, unit):
    """A value said as Lapcall reads it back is the same value; the second way in, too."""
    for size in sizes(name, unit):
        measure = Measure(size, unit)
        counted, singly = number_alone(size, unit)
        whole_words = tidy(value_in_words(measure))
        said = counted if UNHEARD & set(whole_words.split()) else whole_words

        assert understand(said, grammars.value(unit, name)) == Reading(measure, said)
        if size.denominator in (1, 2, 5, 10):
            counted_inches = unit == "ft" and "inch" in singly
            way = grammars.value if counted_inches else grammars.value_plainly
            heard = understand(singly, way(unit, name))
            assert isinstance(heard, Reading), singly
            assert heard.measure == measure


@asked
def test_what_is_read_back_can_be_spoken_and_tells_its_unit(name, unit):
    """No figure in any read-back; whatever has a unit is read back with it, in both forms."""
    for size in sizes(name, unit):
        measure = Measure(size, unit)
        back = read_back(measure, grammars.value(unit, name))

        assert speakable(spoken(two_forms(measure)))
        assert speakable(spoken(back))
        names = (UNITS[unit].one, UNITS[unit].many)
        assert all(
            any(name in sentence.lower() for name in names)
            for sentence in two_forms(measure).split(". ")
        )


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        ("72", "F", "seventy two degrees fahrenheit. Seven two degrees fahrenheit"),
        ("-5", "F", "minus five degrees fahrenheit. Minus five degrees fahrenheit"),
        ("1", "C", "one degree celsius. One degree celsius"),
        ("43/2", "C", "twenty one point five degrees celsius. Two one point five degrees celsius"),
        ("65", "percent", "sixty five percent. Six five percent"),
        ("15", "mph", "fifteen miles an hour. One five miles an hour"),
        ("50", "km/h", "fifty kilometers an hour. Five zero kilometers an hour"),
        ("118", "V", "one hundred eighteen volts. One one eight volts"),
        ("50", "ft", "fifty feet. Five zero feet"),
        ("21/2", "ft", "ten and a half feet. One zero point five feet"),
        ("41/4", "ft", "ten feet three inches. One zero feet three inches"),
        ("13/12", "ft", "one foot one inch. One foot one inch"),
        ("12", "AWG", "twelve gauge. One two gauge"),
        ("13/2", "mark", "six and a half. Six point five"),
        ("1/2", "mark", "zero point five. Zero point five"),
        ("10", "mark", "ten. One zero"),
    ],
)
def test_a_value_is_said_with_its_unit(value, unit, said):
    """Counted, then digit by digit."""
    assert two_forms(Measure(Fraction(value), unit)) == said


def test_an_estimate_is_read_back_as_one():
    """The word that makes it an estimate is kept, and heard again before it counts."""
    about = Measure(Fraction(10), "mph", "about")

    assert value_in_words(about) == "about ten miles an hour"


@pytest.mark.parametrize(
    ("one", "other", "unit"),
    [
        (15, 50, "F"),
        (15, 50, "C"),
        (13, 30, "mph"),
        (60, 16, "percent"),
        (115, 150, "V"),
        (18, 80, "ft"),
        (17, 70, "ft"),
    ],
)
def test_teens_and_tens_are_told_apart(one, other, unit):
    """Values that sound alike are read back digit by digit, where they differ."""
    backs = [
        read_back(Measure(Fraction(value), unit), grammars.value(unit)) for value in (one, other)
    ]

    # Counted alone, each would be as easily heard for the other.
    assert value_in_words(Measure(Fraction(one), unit)) not in backs
    assert value_in_words(Measure(Fraction(other), unit)) not in backs


def test_a_unit_without_a_quantity_is_read_all_the_same():
    """Every unit has a grammar of its own; an unknown one has none."""
    for unit in UNITS:
        assert unit in QUANTITIES[quantity_of(unit)].plausible
        if unit != "AWG":
            assert isinstance(understand("ten", grammars.value(unit)), Reading)
    with pytest.raises(KeyError):
        quantity_of("inch")


@asked_once
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_salad_gives_a_number_only_with_every_word(name, unit, data):
    """Random words of any grammar give a value only where every word of it says so."""
    own = own_words(name, unit)
    words = data.draw(st.lists(st.sampled_from(own + STRANGE), max_size=7))
    _same_or_asked(" ".join(words), name, unit)


@asked_once
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_a_changed_phrase_gives_a_number_only_with_every_word(name, unit, data):
    """A value with a word put in, left out or changed is read by all its words, or asked about."""
    words = data.draw(phrases(clear(name, unit))).split()
    own = own_words(name, unit)
    at = data.draw(st.integers(0, len(words)))
    change = data.draw(st.sampled_from(["put in", "leave out", "change", "none"]))
    other = [data.draw(st.sampled_from(own + STRANGE))] if change in ("put in", "change") else []
    if change != "none":
        words[at : at if change == "put in" else at + 1] = other
    _same_or_asked(" ".join(words), name, unit)


def _same_or_asked(text: str, name: str, unit: str) -> None:
    understood = understand(text, grammars.value(unit, name))
    found = grammars.value(unit, name).readings(tidy(text))

    assert len(found) <= 1
    if isinstance(understood, Reading):
        measure = understood.measure
        assert measure.unit == unit
        assert (measure.value, measure.hedge) == measured_by_hand(tidy(text), unit)
        assert measure.hedge is None or QUANTITIES[name].estimates


@asked_once
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_another_quantity_is_never_a_value(name, unit, data):
    """What is said for another quantity with its unit is no value in this one's unit."""
    other, others_unit = data.draw(st.sampled_from(ASKED))
    said = data.draw(phrases(clear(other, others_unit)))
    understood = understand(said, grammars.value(unit, name))

    if isinstance(understood, Reading):
        assert understood.measure.unit == unit
        assert (understood.measure.value, understood.measure.hedge) == measured_by_hand(said, unit)
    else:
        assert isinstance(understood, Ask)
