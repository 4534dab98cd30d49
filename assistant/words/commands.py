"""What can be said at any time, and the plain answers. Imports ``meaning`` and ``phrase``.

To add a command: a member in ``meaning.Command``, a row here, a branch in ``dialogue``; the tests
fail until all three exist. Words that sound like numbers or like each other do not belong here.
"""

from __future__ import annotations

from assistant.words.meaning import Command, Done, YesNo
from assistant.words.phrase import Phrase, table

COMMANDS: dict[str, Command] = {
    "say again": Command.SAY_AGAIN,
    "go back": Command.GO_BACK,
    "scratch that": Command.SCRATCH_THAT,
    "hold": Command.HOLD,
    "hold on": Command.HOLD,
    "carry on": Command.CARRY_ON,
    "why": Command.WHY,
    "what did you hear": Command.WHAT_DID_YOU_HEAR,
    "where are we": Command.WHERE_ARE_WE,
    "what can i say": Command.WHAT_CAN_I_SAY,
    # Whoever is in trouble says one of these; each ends the script at once.
    "stop": Command.STOP,
    "stop stop": Command.STOP,
    "help": Command.STOP,
    "fire": Command.STOP,
    "shock": Command.STOP,
}
YES_NO: dict[str, YesNo] = {
    "yes": YesNo(True),
    "affirm": YesNo(True),
    "that is right": YesNo(True),
    "no": YesNo(False),
    "wrong": YesNo(False),
    "that is wrong": YesNo(False),
}
DONE: dict[str, Done] = {"done": Done(), "ready": Done()}

MEANS_WHAT: dict[Command, str] = {
    Command.SAY_AGAIN: "hear the last thing once more",
    Command.GO_BACK: "return to the step before; its answer no longer counts",
    Command.SCRATCH_THAT: "take the last answer back",
    Command.HOLD: "Lapcall waits and listens only for carry on and stop",
    Command.CARRY_ON: "go on after hold, or end a wait early",
    Command.WHY: "hear why this step matters",
    Command.WHAT_DID_YOU_HEAR: "hear what was understood last",
    Command.WHERE_ARE_WE: "hear the step and how many are left",
    Command.WHAT_CAN_I_SAY: "hear what fits now",
    Command.STOP: "end at once; start again and it goes on at the same step",
}
"""What each command does, for the cue card."""


def command_phrases() -> frozenset[str]:
    """Return every phrase that is a command or a plain answer: no choice may use one."""
    return frozenset({*COMMANDS, *YES_NO, *DONE})


def commands(*only: Command) -> Phrase:
    """Return the phrase of all commands, or of those named."""
    return table({text: what for text, what in COMMANDS.items() if not only or what in only})


def phrases_of(command: Command) -> tuple[str, ...]:
    """Return every way to say a command."""
    return tuple(text for text, what in COMMANDS.items() if what is command)
