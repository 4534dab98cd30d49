"""What can be said at any time, and the plain answers. Imports ``meaning``, ``phrase``, ``marks``.

To add a command: a member in ``meaning.Command``, a row here, a branch in ``dialogue``; the tests
fail until all three exist. Words that sound like numbers or like each other do not belong here.
"""

from __future__ import annotations

from assistant.words.attention import ATTENTION
from assistant.words.marks import HAPPENED, happenings, marks
from assistant.words.meaning import Command, Done, YesNo
from assistant.words.phrase import Phrase, any_of, table

COMMANDS: dict[str, Command] = {
    "say again": Command.SAY_AGAIN,
    "go back": Command.GO_BACK,
    "scratch that": Command.SCRATCH_THAT,
    "hold": Command.HOLD,
    "hold on": Command.HOLD,
    "carry on": Command.CARRY_ON,
    "why": Command.WHY,
    # "How" alone sounds like "why", and more than one command begins with it.
    "tell me how": Command.HOW,
    "show me how": Command.HOW,
    "what did you hear": Command.WHAT_DID_YOU_HEAR,
    "where are we": Command.WHERE_ARE_WE,
    "how much longer": Command.HOW_LONG,
    **dict.fromkeys(ATTENTION, Command.ATTENTION),
    "go to sleep": Command.GO_TO_SLEEP,
    "what can i say": Command.WHAT_CAN_I_SAY,
    "how many today": Command.HOW_MANY_TODAY,
    "read the last test": Command.READ_THE_LAST_TEST,
    "change the last test": Command.CHANGE_THE_LAST_TEST,
    "make a note": Command.MAKE_A_NOTE,
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
    Command.HOW: "hear how it is done, where the step says more of that",
    Command.WHAT_DID_YOU_HEAR: "hear what was understood last",
    Command.WHERE_ARE_WE: "hear the step and how many are left",
    Command.HOW_LONG: "hear how much of a wait is left",
    Command.ATTENTION: "wake Lapcall while hands weld; a word may follow in the same breath",
    Command.GO_TO_SLEEP: "Lapcall hears only its name and stop until it is woken",
    Command.WHAT_CAN_I_SAY: "hear what fits now; once more, and hear what else",
    Command.HOW_MANY_TODAY: "hear how many tests passed and failed",
    Command.READ_THE_LAST_TEST: "hear the last test's width, verdict and time",
    Command.CHANGE_THE_LAST_TEST: "correct one of its values; the old one stays in the record",
    Command.MAKE_A_NOTE: "speak up to thirty seconds; they are kept as sound",
    Command.STOP: "end at once; start again and it goes on at the same step",
}
"""What each command does, for the cue card."""


def command_phrases() -> frozenset[str]:
    """Return every phrase that is a command or a plain answer: no choice may use one."""
    return frozenset({*COMMANDS, *YES_NO, *DONE, *HAPPENED})


def commands(*only: Command) -> Phrase:
    """Return the phrase of all that can be said at any time, or of the commands named."""
    if only:
        return table({text: what for text, what in COMMANDS.items() if what in only})
    return any_of(table({**COMMANDS}), happenings(), marks())


def phrases_of(command: Command) -> tuple[str, ...]:
    """Return every way to say a command."""
    return tuple(text for text, what in COMMANDS.items() if what is command)
