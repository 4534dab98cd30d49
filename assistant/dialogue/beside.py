"""Words that belong to an aside, or begin one. Imports the modules of ``dialogue``."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import attention, commanding, last_test, lines, marks, notes
from assistant.dialogue.aside import ChangeAside, MarkAside, NoteAside
from assistant.dialogue.coming_back import ask_for
from assistant.dialogue.events import SpeechHeard
from assistant.dialogue.turn import DECIDING, Turn
from assistant.words.meaning import Chosen, Command, Happened, Marked, Position, YesNo
from assistant.words.understand import Ask, Reading, Understood

_COMMANDS = frozenset(
    {
        Command.MAKE_A_NOTE,
        Command.HOW_MANY_TODAY,
        Command.READ_THE_LAST_TEST,
        Command.CHANGE_THE_LAST_TEST,
    }
)
"""Commands that have nothing to do with the step."""


def taken(turn: Turn, understood: Understood, heard: SpeechHeard) -> bool:
    """Take what belongs to an aside or begins one; False when it is for the step."""
    aside = turn.state.aside
    if isinstance(aside, NoteAside):
        notes.ended(turn, heard)
    elif aside is not None and heard.damaged:
        turn.say(lines.SOUND_LOST)
        turn.listen()
    elif isinstance(understood, (Marked, Happened)):
        _from_anywhere(turn, understood, heard)
    elif aside is None and understood in _COMMANDS and _unsure(turn, heard):
        _let_be(turn, heard)
    elif aside is not None:
        _for_aside(turn, understood, heard)
    else:
        return False
    return True


def _from_anywhere(turn: Turn, what: Marked | Happened, heard: SpeechHeard) -> None:
    """Begin a mark or write an event, when it was heard well; no attempt is counted if not."""
    if _unsure(turn, heard):
        _let_be(turn, heard)
        return
    if turn.state.phase not in DECIDING:
        turn.change(let_pass=0)
    if isinstance(what, Marked):
        marks.mark(turn, what, heard)
    else:
        marks.happened(turn, what, heard)


def _unsure(turn: Turn, heard: SpeechHeard) -> bool:
    return heard.damaged or heard.confidence < turn.state.settings.trust.answer


def _let_be(turn: Turn, heard: SpeechHeard) -> None:
    """Take nothing from words that were heard badly; they are no attempt to answer."""
    if turn.state.aside is None and turn.state.phase not in DECIDING:
        attention.let_pass(turn)
        return
    turn.say(lines.SOUND_LOST if heard.damaged else lines.NOT_SURE)
    turn.listen()


def _for_aside(turn: Turn, understood: Understood, heard: SpeechHeard) -> None:
    aside = turn.state.aside
    if isinstance(understood, Ask):
        _unclear(turn, heard, understood.question)
    elif heard.confidence < _least(turn, understood):
        _unclear(turn, heard, lines.NOT_SURE)
    elif isinstance(understood, Command):
        commanding.obey(turn, understood, heard.text)
    elif isinstance(aside, MarkAside) and isinstance(understood, (Position, YesNo)):
        marks.answered(turn, aside, understood, heard)
    elif isinstance(aside, ChangeAside) and isinstance(understood, (Chosen, Reading, YesNo)):
        last_test.answered(turn, aside, understood, heard)
    else:
        raise TypeError(f"{aside!r} cannot be answered with {understood!r}")


def _least(turn: Turn, understood: Understood) -> float:
    trust = turn.state.settings.trust
    if understood == YesNo(yes=True):
        return max(trust.answer, trust.yes)
    return trust.value if isinstance(understood, (Reading, Position)) else trust.answer


def _unclear(turn: Turn, heard: SpeechHeard, say: str) -> None:
    aside = turn.state.aside
    if isinstance(aside, MarkAside):
        marks.unclear(turn, aside, heard, say)
    elif isinstance(aside, ChangeAside):
        last_test.unclear(turn, aside, heard, say)


def quiet(turn: Turn) -> None:
    """Silence in an aside: remind once, then leave it. Silence is never an answer."""
    aside = turn.state.aside
    if isinstance(aside, NoteAside):
        notes.nothing_said(turn)
    elif aside is not None and not aside.reminded:
        ask_for(turn, replace(aside, reminded=True), lines.STILL_HERE)
    elif isinstance(aside, MarkAside):
        marks.give_up(turn, aside, because="quiet")
    else:
        last_test.give_up(turn)
