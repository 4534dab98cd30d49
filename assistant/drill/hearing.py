"""What can be said in a drill. Imports ``words`` and ``model``.

Few commands, and no marks or events: nobody welds here, and fewer words are heard better.
"""

from __future__ import annotations

from functools import lru_cache

from assistant.drill.model import NOT_KNOWN
from assistant.procedure.model import Choice
from assistant.words.commands import commands
from assistant.words.meaning import Chosen, Command
from assistant.words.numbers import in_words
from assistant.words.phrase import Grammar, Phrase, any_of, table

COMMANDS = (
    Command.STOP,
    Command.SAY_AGAIN,
    Command.HOLD,
    Command.CARRY_ON,
    Command.WHY,
    Command.SCRATCH_THAT,
    Command.WHAT_DID_YOU_HEAR,
    Command.WHERE_ARE_WE,
    Command.WHAT_CAN_I_SAY,
)
PATIENCE_MS = 700
"""Silence that ends an answer: it is remembered while it is spoken."""


@lru_cache(maxsize=256)
def answers(choices: tuple[Choice, ...]) -> Grammar:
    """Return the grammar of a question: its answers, that it is not known, and commands."""
    named = {phrase: Chosen(choice.id) for choice in choices for phrase in choice.said}
    return Grammar("drill", any_of(table({**named}), _beside()))


@lru_cache(maxsize=16)
def numbered(count: int) -> Grammar:
    """Return the second way in: "number one" to "number ``count``"."""
    rows = {f"number {in_words(place)}": Chosen(str(place)) for place in range(1, count + 1)}
    return Grammar("numbered drill", any_of(table({**rows}), _beside()))


@lru_cache(maxsize=1)
def on_hold() -> Grammar:
    """Return the grammar of a hold: only what ends it."""
    return Grammar("drill on hold", commands(Command.CARRY_ON, Command.STOP))


def _beside() -> Phrase:
    skips = dict.fromkeys(NOT_KNOWN.said, Chosen(NOT_KNOWN.id))
    return any_of(table({**skips}), commands(*COMMANDS))
