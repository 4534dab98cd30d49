from __future__ import annotations

import re

import pytest
from support.checklists import SHIPPED

from assistant.dialogue.prompts import step_grammar
from assistant.dialogue.state import Phase
from assistant.procedure.loader import load_procedures
from assistant.procedure.model import AskChoice, AskValue
from assistant.words import grammars
from assistant.words.meaning import Chosen, Corrected, Measure
from assistant.words.measured import QUANTITIES, UNITS
from assistant.words.phrase import Grammar, Opt, any_of, automaton, readings, say, seq
from assistant.words.understand import Ask, Reading, tidy, understand, within

HOMOPHONES = {"to", "too", "for", "fore", "ate", "won", "in"}
"""Words that sound like one, two, four, eight and "and". Listed beside them, numbers recombine:
"three two one" came back as "one to three" (github.com/alphacep/vosk-api/issues/1617)."""


def shipped_steps():
    """Return every step of every shipped checklist that asks for a choice or a value."""
    return [
        step
        for procedure in load_procedures(SHIPPED).values()
        for step in procedure.steps
        if isinstance(step, AskChoice | AskValue)
    ]


def every_grammar() -> list[Grammar]:
    """Return the grammars of all moments, those of the shipped checklists among them."""
    phases = (Phase.ANSWER, Phase.SECOND_WAY, Phase.CONFIRM)
    return [
        grammars.yes_no(),
        grammars.done(),
        grammars.on_hold(),
        grammars.waiting(),
        grammars.stop_only(),
        *(step_grammar(step, phase) for step in shipped_steps() for phase in phases),
        *(
            form(unit)
            for form in (grammars.value, grammars.value_plainly, grammars.confirm)
            for unit in (*grammars.UNITS, *UNITS)
        ),
        *(
            form(unit, name)
            for form in (grammars.value, grammars.confirm)
            for name, one in QUANTITIES.items()
            for unit in one.plausible
        ),
    ]


def homophones(grammar: Grammar) -> set[tuple[str, str]]:
    """Return where a grammar holds a word that sounds like a number: behind which word."""
    machine = grammar.automaton
    behind = {(0, "")} | {(after, word) for arcs in machine.arcs for word, after in arcs}
    return {
        (before, word)
        for state, before in behind
        for word, _ in machine.arcs[state]
        if word in HOMOPHONES
    }


def test_no_grammar_uses_a_homophone():
    """No word that sounds like a number word can be heard where a number may stand."""
    found = set().union(*(homophones(grammar) for grammar in every_grammar()))

    # Behind "go" no number is ever said, and "sleep" must follow.
    assert found <= {("go", "to")}


def test_words_are_as_a_recogniser_writes_them():
    """Lower-case letters only: no figure, hyphen or sign is ever expected from the ear."""
    words = {word for grammar in every_grammar() for word in grammar.automaton.vocabulary()}

    assert words
    assert all(re.fullmatch("[a-z]+", word) for word in words)
    assert all(tidy(word) == word for word in words)


def test_a_grammar_is_made_once():
    """The same moment gives the same grammar object, so that its graph is built once."""
    films = {"tear": ("film tearing",)}

    assert grammars.value("in") is grammars.value("in")
    assert grammars.choice(films) is grammars.choice(dict(films))
    assert grammars.choice(films).key != grammars.choice({"tear": ("clean peel",)}).key


@pytest.mark.parametrize(
    "step",
    [step for step in shipped_steps() if isinstance(step, AskChoice)],
    ids=lambda step: step.id,
)
def test_a_shipped_choice_is_heard_by_each_of_its_phrases_and_numbers(step):
    """Every phrase of a choice means it, and so does its number the second way."""
    numbered = step_grammar(step, Phase.SECOND_WAY)
    names = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    for place, choice in enumerate(step.choices):
        for said in choice.said:
            assert understand(said, step_grammar(step)) == Chosen(choice.id)
        assert understand(f"number {names[place]}", numbered) == Chosen(str(place + 1))
    beyond = understand(f"number {names[len(step.choices)]}", numbered)

    assert isinstance(beyond, Ask)


@pytest.mark.parametrize(
    ("said", "value", "unit"),
    [
        ("one decimal two five", "5/4", "in"),
        ("one point two five", "5/4", "in"),
        ("decimal eight seven five", "7/8", "in"),
        ("thirty two millimeters", "32", "mm"),
    ],
)
def test_the_second_way_into_a_width(said, value, unit):
    """Digit by digit or in millimeters: other words than those that failed twice."""
    understood = understand(said, grammars.value_plainly("in"))

    assert isinstance(understood, Reading)
    assert (str(understood.measure.value), understood.measure.unit) == (value, unit)


@pytest.mark.parametrize("said", ["inch and a quarter", "one two five", "shy one point two"])
def test_the_second_way_takes_no_fractions_and_no_hedges(said):
    """What failed twice is not heard the same way again."""
    assert isinstance(understand(said, grammars.value_plainly("in")), Ask)


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("inch and a quarter", "5/4"),
        ("no inch and a quarter", "5/4"),
        ("wrong, one point two five", "5/4"),
        ("no inch no inch and a half", "3/2"),
    ],
)
def test_a_value_again_replaces_what_was_read_back(said, value):
    """After a read-back a value is a correction, with "no" in front or without."""
    understood = understand(said, grammars.confirm("in"))

    assert isinstance(understood, Reading)
    assert understood.replaces
    assert str(understood.measure.value) == value


@pytest.mark.parametrize("said", ["yes inch", "yes no", "no yes", "no no", "inch yes", "yes yes"])
def test_mixed_answers_to_a_read_back_are_asked(said):
    """Yes and something else is no yes."""
    assert isinstance(understand(said, grammars.confirm("in")), Ask)


def test_the_window_includes_its_ends():
    """A value on the edge of what is plausible is plausible; in millimeters, too."""
    low, high = Measure(1, "in").value_in, Measure(2, "in").value_in

    assert within(Measure(low, "in"), low, high)
    assert within(Measure(high, "in"), low, high)
    assert within(Measure(low * 254 / 10, "mm"), low, high)
    assert not within(Measure(high + high / 1000, "in"), low, high)
    assert not within(Measure(low * 25, "mm"), low, high)


# ---- the tree itself

TOY = seq(say("go", 1), Opt(any_of(say("left", 2), say("far left", 3))), Opt(say("now", 4), 0))


@pytest.mark.parametrize(
    ("said", "meaning"),
    [
        ("go", [(1, None, 0)]),
        ("go left", [(1, 2, 0)]),
        ("go far left now", [(1, 3, 4)]),
        ("go now", [(1, None, 4)]),
        ("go far", []),
        ("left", []),
        ("go left now now", []),
        ("", []),
    ],
)
def test_a_tree_reads_and_accepts_the_same(said, meaning):
    """A small tree: each phrase has its meaning, and the acceptor agrees on what is one."""
    words = said.split()

    assert readings(TOY, words) == meaning
    assert automaton(TOY).accepts(words) == bool(meaning)


def test_two_meanings_are_both_found():
    """A tree that can be read in two ways says so, and understanding asks."""
    two = any_of(say("one half", Measure(1, "in")), say("one half", Measure(2, "in")))

    assert len(readings(two, ["one", "half"])) == 2
    assert understand("one half", Grammar("two", two)) == Ask(
        "several-readings", "That can be read in two ways. Say it another way.", "one half"
    )


def test_an_acceptor_is_small():
    """Phrases that go on alike share their states."""
    alike = any_of(*(say(f"{word} of an inch", word) for word in ("half", "quarter", "eighth")))

    assert len(automaton(alike).arcs) == 5


def test_a_correction_carries_its_value():
    """What stands behind "no" is told apart from a first value."""
    assert grammars.confirm("in").readings("no inch") == [Corrected(Measure(1, "in"))]
