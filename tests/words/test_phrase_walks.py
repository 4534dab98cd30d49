from __future__ import annotations

import random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from support.by_hand import width_by_hand
from support.sayings import phrases

from assistant.words import grammars
from assistant.words.meaning import Command, Meaning, Unclear
from assistant.words.phrase import Grammar
from assistant.words.readback import value_in_words
from assistant.words.understand import NOT_OURS, Ask, Reading, understand
from assistant.words.widths import one_value

WIDTH = grammars.value("in")
CONFIRM = grammars.confirm("in")
ONE_WIDTH = Grammar("one width", one_value())
FILMS = {"film-tearing": ("film tearing", "tore the sheet"), "clean-peel": ("clean peel",)}
EVERY = [
    WIDTH,
    CONFIRM,
    grammars.value("number"),
    grammars.confirm("number"),
    grammars.value_plainly("in"),
    grammars.value_plainly("number"),
    grammars.value("F", "air-temperature"),
    grammars.confirm("mph", "wind"),
    grammars.value_plainly("ft", "seam-place"),
    grammars.value("AWG", "cord-gauge"),
    grammars.yes_no(),
    grammars.done(),
    grammars.waiting(),
    grammars.on_hold(),
    grammars.stop_only(),
    grammars.numbered(4),
    grammars.choice(FILMS),
]
WORDS = sorted(WIDTH.automaton.vocabulary())
STRANGE = ["to", "for", "ate", "won", "too", "in", "roof", "feet", "negative", "hundred", "[unk]"]
by_name = pytest.mark.parametrize("grammar", EVERY, ids=lambda grammar: grammar.name)


@by_name
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_what_is_heard_is_understood(grammar, data):
    """Whatever the acceptor lets through has a meaning, and only one of the known kinds."""
    said = data.draw(phrases(grammar))

    found = grammar.readings(said)
    assert len(found) == 1
    assert isinstance(found[0], Meaning)
    assert isinstance(understand(said, grammar), Ask) == isinstance(found[0], Unclear)


@by_name
@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32))
def test_what_a_tree_picks_can_be_heard(grammar, seed):
    """Phrases picked from the tree, as the voices of the recipe say them, are accepted."""
    words = grammar.phrase.pick(random.Random(seed))  # noqa: S311 - nothing secret

    assert grammar.automaton.accepts(words)
    assert grammar.readings(" ".join(words))


@by_name
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_salad_is_heard_just_when_it_can_be_parsed(grammar, data):
    """Words of a grammar in any order: accepted if and only if they have a meaning."""
    own = sorted(grammar.automaton.vocabulary())
    salad = data.draw(st.lists(st.sampled_from(own), max_size=6))

    assert grammar.automaton.accepts(salad) == bool(grammar.readings(" ".join(salad)))


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from(WORDS + STRANGE), max_size=8))
def test_salad_gives_a_number_only_with_every_word(salad):
    """Random words give a value only where a reader that uses every word finds the same one."""
    text = " ".join(salad)
    understood = understand(text, WIDTH)

    if isinstance(understood, Reading):
        measure = understood.measure
        assert (measure.value, measure.unit, measure.hedge) == width_by_hand(text)


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_a_changed_phrase_gives_a_number_only_with_every_word(data):
    """A width with a word put in, left out or changed is read by all its words, or asked about."""
    words = data.draw(phrases(ONE_WIDTH)).split()
    at = data.draw(st.integers(0, len(words)))
    change = data.draw(st.sampled_from(["put in", "leave out", "change"]))
    other = [] if change == "leave out" else [data.draw(st.sampled_from(WORDS + STRANGE))]
    words[at : at if change == "put in" else at + 1] = other
    text = " ".join(words)
    understood = understand(text, WIDTH)

    if isinstance(understood, Reading):
        measure = understood.measure
        assert (measure.value, measure.unit, measure.hedge) == width_by_hand(text)
    else:
        assert isinstance(understood, Ask | Command)


@settings(max_examples=150, deadline=None)
@given(phrases(CONFIRM), st.sampled_from(STRANGE), st.integers(0, 30))
def test_a_strange_word_is_never_dropped(said, strange, at):
    """One word that is none of ours anywhere in a phrase, and nothing is taken from it."""
    words = said.split()
    assume(strange not in CONFIRM.automaton.vocabulary())
    words.insert(at % (len(words) + 1), strange)
    understood = understand(" ".join(words), CONFIRM)

    assert isinstance(understood, Ask)
    if strange == "[unk]":
        assert understood.reason == NOT_OURS


@settings(max_examples=200, deadline=None)
@given(phrases(ONE_WIDTH))
def test_there_and_back(said):
    """A width is understood; what is read back, said in turn, is understood as the same."""
    understood = understand(said, WIDTH)
    assert isinstance(understood, Reading)
    assume(understood.measure.value > 0)  # "point zero" lies outside any window
    again = understand(value_in_words(understood.measure), WIDTH)

    assert isinstance(again, Reading)
    assert again.measure == understood.measure
    assert width_by_hand(said)[0] == understood.measure.value


@by_name
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_looks_change_nothing(grammar, data):
    """Capitals, hyphens, commas, dashes and wide gaps never change what a phrase means."""
    said = data.draw(phrases(grammar))
    dressed = "".join(
        data.draw(st.sampled_from([" ", "-", ", ", " - ", "  ", " \u2013 ", "; "]))
        if sign == " "
        else (sign.upper() if data.draw(st.booleans()) else sign)
        for sign in said
    )
    end = data.draw(st.sampled_from(["", ".", "!", "?", " ", "\n"]))
    plain, other = understand(said, grammar), understand(dressed + end, grammar)

    assert other == plain
