from __future__ import annotations

import pytest

from assistant.words import grammars
from assistant.words.commands import (
    COMMANDS,
    DONE,
    MEANS_WHAT,
    YES_NO,
    command_phrases,
    phrases_of,
)
from assistant.words.cue_card import MEASURED_EXAMPLES, PLACE_EXAMPLE, WIDTH_EXAMPLES, cue_card
from assistant.words.marks import DEFECTS, END_OF_NOTE, HAPPENED, called_out
from assistant.words.meaning import Command, Done, Marked, YesNo
from assistant.words.measured import QUANTITIES
from assistant.words.understand import Reading, understand
from assistant.words.widths import EXACT, GUESSES, HEDGES, LEADING_HEDGES


@pytest.mark.parametrize("command", Command)
def test_every_command_can_be_said_and_is_explained(command):
    """A command without a phrase or without a word about what it does is not finished."""
    assert phrases_of(command)
    assert command.value in phrases_of(command)
    assert MEANS_WHAT[command]


@pytest.mark.parametrize("said", [*COMMANDS, *YES_NO, *DONE])
def test_the_card_shows_whatever_can_be_said(said):
    """Every command and every plain answer stands on the card in quotes."""
    assert f'"{said}"' in cue_card()


@pytest.mark.parametrize("what", DEFECTS)
def test_the_card_shows_every_mark(what):
    """Each defect stands there as it is said, and so does how to say the place."""
    assert f'"{called_out(what)}"' in cue_card()
    assert f'"at {PLACE_EXAMPLE}"' in cue_card()
    mark = understand(f"{called_out(what)} at {PLACE_EXAMPLE}", grammars.done())
    assert isinstance(mark, Marked)


@pytest.mark.parametrize("said", [*HAPPENED, END_OF_NOTE])
def test_the_card_shows_events_and_how_a_note_ends(said):
    """What may end a set-up can be read there, and what ends a note."""
    assert f'"{said}"' in cue_card()


def test_the_card_tells_what_commands_do():
    """Each command's meaning stands on the card."""
    assert all(what in cue_card() for what in MEANS_WHAT.values())


def test_the_card_lists_the_words_beside_a_width():
    """Every hedge, every word that changes nothing and every guess is on the card."""
    card = " ".join(cue_card().split())

    assert all(word in card for word in [*HEDGES, *LEADING_HEDGES, *EXACT, *GUESSES])


@pytest.mark.parametrize("example", WIDTH_EXAMPLES)
def test_every_example_on_the_card_is_understood(example):
    """What the card shows is read when it is said, and it is on the card."""
    assert f'"{example}"' in cue_card()
    assert isinstance(understand(example, grammars.value("in")), Reading)


@pytest.mark.parametrize("name", sorted(QUANTITIES))
def test_every_quantity_has_an_example_that_is_understood(name):
    """What the card shows of other values is read in the unit that comes first."""
    unit = next(iter(QUANTITIES[name].plausible))

    assert f'"{MEASURED_EXAMPLES[name]}"' in cue_card()
    assert isinstance(understand(MEASURED_EXAMPLES[name], grammars.value(unit, name)), Reading)


def test_the_card_fits_a_page():
    """No line is longer than 78 columns, and none ends in a blank."""
    lines = cue_card().splitlines()

    assert max(map(len, lines)) <= 78
    assert all(line == line.rstrip() for line in lines)


@pytest.mark.parametrize(("said", "command"), COMMANDS.items())
def test_a_command_is_heard_wherever_something_is_asked(said, command):
    """Commands belong to every moment; on hold only what ends it, while speaking only stop."""
    everywhere = [
        grammars.yes_no(),
        grammars.done(),
        grammars.waiting(),
        grammars.value("in"),
        grammars.value("number"),
        grammars.value_plainly("in"),
        grammars.value_plainly("number"),
        grammars.confirm("in"),
        grammars.confirm("number"),
        grammars.numbered(3),
        grammars.choice({"one": ("clean peel",)}),
    ]

    assert all(understand(said, grammar) is command for grammar in everywhere)
    on_hold = understand(said, grammars.on_hold()) is command
    assert on_hold == (command in (Command.CARRY_ON, Command.STOP, Command.ATTENTION))
    speaking = understand(said, grammars.stop_only()) is command
    assert speaking == (command is Command.STOP)


@pytest.mark.parametrize("said", ["stop", "help", "fire", "shock"])
def test_every_word_of_trouble_stops(said):
    """Whoever is in trouble says one of these, and each ends the script."""
    assert COMMANDS[said] is Command.STOP


@pytest.mark.parametrize(("said", "answer"), [*YES_NO.items(), *DONE.items()])
def test_a_plain_answer_is_heard_only_where_it_is_asked_for(said, answer):
    """Yes and no belong to a question and a read-back, done to busy hands; to nothing else."""
    for grammar in (grammars.yes_no(), grammars.confirm("in"), grammars.confirm("number")):
        assert (understand(said, grammar) == answer) == isinstance(answer, YesNo)
    assert (understand(said, grammars.done()) == answer) == isinstance(answer, Done)
    for grammar in (grammars.waiting(), grammars.on_hold(), grammars.value("in")):
        assert not isinstance(understand(said, grammar), YesNo | Done)


def test_no_choice_may_use_what_is_taken():
    """Commands, plain answers and events are all reserved."""
    assert command_phrases() == {*COMMANDS, *YES_NO, *DONE, *HAPPENED}


def test_no_phrase_begins_like_stop():
    """Nothing but stop itself begins with a word that stops, so that it can act at once."""
    others = command_phrases() - set(phrases_of(Command.STOP))
    longer = [said for said in others if len(said.split()) > 1]

    assert not [said for said in longer if said.split()[0] in phrases_of(Command.STOP)]
