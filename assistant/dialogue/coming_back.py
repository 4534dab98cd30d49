"""From what was said beside the step back to where the conversation was. Imports ``turn``."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import lines
from assistant.dialogue.aside import Aside
from assistant.dialogue.state import Phase
from assistant.dialogue.steps import leave_done
from assistant.dialogue.turn import DECIDING, Turn


def put_on_top(turn: Turn, aside: Aside) -> None:
    """Begin an aside, or put another of its kind in the place of one that is open."""
    others = tuple(each for each in turn.state.asides if type(each) is not type(aside))
    turn.change(asides=(*others, aside))


def ask_for(turn: Turn, aside: Aside, *first: str) -> None:
    """Put an aside on top, say what it waits for, and listen."""
    put_on_top(turn, aside)
    turn.say(*first, aside.ask)
    turn.listen_for_an_answer()


def ask_once_more(turn: Turn, aside: Aside, *first: str) -> None:
    """As ``ask_for``, once the reminder was given."""
    ask_for(turn, replace(aside, reminded=True), *first)


def come_back(turn: Turn) -> None:
    """Leave the aside on top; wait again for what was waited for before it."""
    turn.change(asides=turn.state.asides[:-1])
    wait_again(turn)


def wait_again(turn: Turn) -> None:
    """Wait for the same as before something was said beside it; an open question is repeated."""
    state = turn.state
    if not state.asides and state.phase is Phase.WAIT and state.clock_ran_out:
        leave_done(turn, None, lines.TIME_UP, early=False)
    elif state.asides or state.phase in DECIDING:
        turn.say(state.to_repeat)
        turn.listen_for_an_answer()
    else:
        turn.listen()
