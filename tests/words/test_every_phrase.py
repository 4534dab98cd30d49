from __future__ import annotations

from fractions import Fraction

import pytest
from support.by_hand import OVER, OVER_BEFORE, width_by_hand
from support.sayings import count_by_length, meanings

from assistant.words import grammars
from assistant.words.meaning import Corrected, Lean, Measure, Unclear
from assistant.words.phrase import automaton
from assistant.words.readback import value_in_words
from assistant.words.understand import Reading, understand
from assistant.words.widths import one_value

MOST_WORDS = 5
SIXTEENTHS = [Fraction(count, 16) for count in range(8, 41)]
"""From half an inch to two and a half, by the marks of a rule."""


@pytest.fixture(scope="module")
def widths():
    """Every clear width of up to five words, with all that it can mean."""
    return meanings(one_value(), MOST_WORDS)


def test_no_width_reads_two_ways(widths):
    """No phrase that names one width can be read as another."""
    two_ways = {" ".join(words): found for words, found in widths.items() if len(found) > 1}

    assert not two_ways


def test_a_second_reading_agrees(widths):
    """A plain reader, written apart, makes the same value, unit and hedge of every width."""
    wrong = {}
    for words, (measure,) in widths.items():
        text = " ".join(words)
        if (measure.value, measure.unit, measure.hedge) != width_by_hand(text):
            wrong[text] = measure

    assert not wrong


def test_the_lean_is_that_of_the_hedge(widths):
    """A lean stands only beside a hedge, and points where the word points."""
    leans = {(found[0].hedge, found[0].lean) for found in widths.values()}

    over = {*OVER, *OVER_BEFORE}
    assert all(
        lean is None if hedge is None else lean is (Lean.OVER if hedge in over else Lean.UNDER)
        for hedge, lean in leans
    )


def test_every_sixteenth_there_and_back(widths):
    """Each width on the rule is understood in every phrasing; its read-back means the same.

    Up to four words here; longer phrases are walked at random in ``test_phrase_walks``.
    """
    width = grammars.value("in")
    said = dict.fromkeys(SIXTEENTHS, 0)
    read_back = {}
    for words, (measure,) in widths.items():
        if measure.unit != "in" or measure.value not in said or measure.hedge is not None:
            continue
        if len(words) == MOST_WORDS:
            continue
        said[measure.value] += 1
        text = " ".join(words)
        understood = understand(text, width)
        assert isinstance(understood, Reading), text
        assert understood.measure == measure, text
        read_back[measure] = value_in_words(measure)

    assert min(said.values()) >= 5, said
    for measure, text in read_back.items():
        again = understand(text, width)
        assert isinstance(again, Reading), text
        assert again.measure == measure


@pytest.mark.parametrize("unit", ["in", "number"])
def test_no_phrase_of_a_read_back_reads_two_ways(unit):
    """After a read-back, too, no short phrase has two meanings, clear or unclear."""
    found = meanings(grammars.confirm(unit).phrase, 4)

    assert not {" ".join(words): what for words, what in found.items() if len(what) > 1}


@pytest.mark.parametrize(
    "grammar",
    [
        grammars.value("in"),
        grammars.value("number"),
        grammars.value_plainly("in"),
        grammars.value_plainly("number"),
        grammars.yes_no(),
        grammars.done(),
        grammars.waiting(),
        grammars.on_hold(),
        grammars.numbered(9),
    ],
    ids=lambda grammar: grammar.name,
)
def test_what_can_be_heard_is_what_can_be_parsed(grammar):
    """The acceptor lets through the phrases of the tree and no other: same phrases, same number."""
    listed = meanings(grammar.phrase, 4)
    machine = grammar.automaton

    assert all(machine.accepts(words) for words in listed)
    assert sum(count_by_length(machine, 4).values()) == len(listed)


def test_an_acceptor_keeps_its_key():
    """The key depends on the phrases alone, and differs where they differ."""
    assert automaton(one_value()) == automaton(one_value())
    assert grammars.value("in").key != grammars.confirm("in").key
    assert len(grammars.value("in").key) == 16


@pytest.mark.parametrize("unit", ["in", "number"])
def test_a_correction_is_marked(unit):
    """Behind "no" a value replaces the one that was read back; alone it is simply read."""
    found = meanings(grammars.confirm(unit).phrase, 3)
    behind_no = [
        what[0] for words, what in found.items() if words[0] in ("no", "wrong") and len(words) > 1
    ]

    assert behind_no
    assert all(isinstance(what, Corrected | Unclear) for what in behind_no)
    assert not any(isinstance(what[0], Measure) for what in found.values())
