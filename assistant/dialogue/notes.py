"""Spoken notes: sound that is kept and never transcribed. Imports the modules of ``dialogue``."""

from __future__ import annotations

from assistant.dialogue import lines
from assistant.dialogue.aside import NoteAside
from assistant.dialogue.coming_back import ask_for, come_back
from assistant.dialogue.events import SpeechHeard
from assistant.dialogue.turn import Turn
from assistant.record import kinds
from assistant.words.commands import commands
from assistant.words.marks import END_OF_NOTE
from assistant.words.meaning import Command, NoteEnded
from assistant.words.numbers import in_words
from assistant.words.phrase import Grammar, any_of, say
from assistant.words.readback import spoken
from assistant.words.understand import tidy

LONGEST_MS = 30_000
QUIET_MS = 3_000
"""Silence that ends a note: whoever looks for words pauses longer than one who answers."""
GRAMMAR = Grammar(
    "note", any_of(say(END_OF_NOTE, NoteEnded()), commands(Command.STOP)), free_ms=LONGEST_MS
)


def begin(turn: Turn) -> None:
    """Ask for the note."""
    turn.sound("heard")
    ask_for(turn, NoteAside(ask=lines.NOTE_BEGINS, grammar=GRAMMAR, patience_ms=QUIET_MS))


def ended(turn: Turn, heard: SpeechHeard) -> None:
    """Write the note, say how long it is, and return to where the conversation was."""
    if not keep(turn, heard):
        nothing_said(turn)
        return
    turn.sound("heard")
    turn.say(_told(heard), lines.NOTE_DAMAGED if heard.damaged else "")
    come_back(turn)


def keep(turn: Turn, heard: SpeechHeard) -> bool:
    """Write what was said so far as a note; False when there is nothing to keep."""
    by_words = tidy(heard.text) == END_OF_NOTE
    typed = heard.clip is None
    if typed and (by_words or not heard.text):
        return False
    full = heard.length_ms >= LONGEST_MS - 100
    turn.log(
        kinds.NOTE,
        step=turn.state.step_id,
        seam=turn.state.today.seam(),
        clip=heard.clip,
        length_ms=heard.length_ms,
        said=heard.text if typed else None,
        ended_by="words" if by_words else "full" if full else "quiet",
        damaged=heard.damaged,
    )
    return True


def _told(heard: SpeechHeard) -> str:
    if heard.clip is None:
        return lines.NOTE_KEPT
    seconds = max(1, round(heard.length_ms / 1000))
    unit = "second" if seconds == 1 else "seconds"
    return f"{lines.NOTE_KEPT} {spoken(f'{in_words(seconds)} {unit}')}"


def nothing_said(turn: Turn) -> None:
    """Tell that there is no note, and return to where the conversation was."""
    turn.sound("not understood")
    turn.say(lines.NO_NOTE)
    come_back(turn)
