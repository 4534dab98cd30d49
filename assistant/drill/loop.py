"""A drill as a conversation: ``step(state, event) -> state, actions``.

Imports the modules of ``drill``, ``words``, and the events of ``dialogue``. Pure: no device, no
file, no clock. Every answer that counts is in the record before anything is said of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from assistant.dialogue import lines
from assistant.dialogue.events import (
    Action,
    Event,
    Finish,
    Listen,
    Log,
    MicrophoneBack,
    MicrophoneLost,
    NothingMoreToHear,
    QuietPassed,
    Say,
    Sound,
    SpeechHeard,
)
from assistant.drill import hearing, telling
from assistant.drill.model import NOT_KNOWN, Question, Told
from assistant.drill.order import next_question, shuffled
from assistant.drill.state import Manner, Phase, State
from assistant.record import kinds
from assistant.words.meaning import Chosen, Command
from assistant.words.phrase import Grammar
from assistant.words.readback import spoken
from assistant.words.understand import Ask, Understood, understand

Result = tuple[State, tuple[Action, ...]]

SECOND_WAY_AFTER, NOT_HEARD_AFTER = 2, 4
"""Attempts that failed."""


def begin(
    questions: Sequence[Question],
    manner: Manner,
    next_seq: int,
    about: Mapping[str, object],
    before: Sequence[Told] = (),
) -> Result:
    """Start a drill; ``about`` goes into its first record line.

    ``before`` are the answers of earlier drills, the oldest first. ``questions`` must not be empty.
    """
    state = State(tuple(questions), manner, next_seq, next_seq, tuple(before))
    turn = _Turn(state)
    turn.log(kinds.DRILL_BEGAN, seed=manner.seed, count=manner.count, **about)
    turn.say(lines.DRILL_BEGINS)
    _ask_next(turn)
    return turn.result


def step(state: State, event: Event, now: datetime | None = None) -> Result:  # noqa: ARG001 - as the loop of the work
    """Take one event; return the new state and what to do, in order."""
    turn = _Turn(state)
    if state.phase is Phase.OVER:
        return state, ()
    if isinstance(event, SpeechHeard):
        _speech(turn, event)
    elif isinstance(event, QuietPassed):
        _quiet(turn)
    elif isinstance(event, MicrophoneLost):
        turn.sound("failed")
        turn.say(lines.MICROPHONE_LOST)
    elif isinstance(event, MicrophoneBack):
        turn.say(lines.MICROPHONE_BACK)
        turn.ask_once_more()
    elif isinstance(event, NothingMoreToHear):
        _end(turn, None, said_first=lines.SCRIPT_ENDED)
    return turn.result


class _Turn:
    """A state on its way to the next one, and the actions so far."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.actions: list[Action] = []

    @property
    def result(self) -> Result:
        return self.state, tuple(self.actions)

    @property
    def question(self) -> Question:
        if self.state.question is None:
            raise ValueError("nothing is asked")
        return self.state.question

    def change(self, **fields: Any) -> None:  # noqa: ANN401 - the fields of State
        self.state = replace(self.state, **fields)

    def say(self, *sentences: str) -> None:
        self.actions += [Say(text) for text in sentences if text]

    def sound(self, tone: str) -> None:
        self.actions.append(Sound(tone))

    def log(self, kind: str, **fields: object) -> None:
        seq = self.state.next_seq
        if kind != kinds.DRILL_BEGAN:
            fields["drill"] = self.state.began
        self.actions.append(Log(kind, fields, seq))
        self.change(next_seq=seq + 1)

    def ask(self, text: str, *before: str) -> None:
        """Say sentences and then what "say again" repeats, and listen for the answer."""
        self.say(*before)
        self.change(last_said=text)
        self.ask_once_more()

    def ask_once_more(self) -> None:
        listen = self._listening()
        may_cut = self.state.phase is not Phase.HOLD
        sure_from = self.state.manner.sure_from
        self.actions.append(Say(self.state.last_said, listen if may_cut else None, sure_from))
        self.sound("listening")
        self.actions.append(listen)

    def listen(self) -> None:
        self.actions.append(self._listening())

    def _listening(self) -> Listen:
        held = self.state.phase is Phase.HOLD
        quiet_s = None if held else self.state.manner.quiet_s
        return Listen(grammar_for(self.state), hearing.PATIENCE_MS, quiet_s)


def grammar_for(state: State) -> Grammar:
    """Return what may be heard now."""
    if state.phase is Phase.HOLD or state.question is None:
        return hearing.on_hold()
    if state.phase is Phase.SECOND_WAY:
        return hearing.numbered(len(state.question.choices))
    return hearing.answers(state.question.choices)


def _ask_next(turn: _Turn, *before: str) -> None:
    """Ask the question that is due, or end where enough were asked."""
    state = turn.state
    left = [one.id for one in state.questions if one.id not in state.not_heard]
    if state.is_whole or not left:
        turn.say(*before)
        _end(turn, None)
        return
    by_id = {question.id: question for question in state.questions}
    told = (*state.before, *state.told)
    _ask(turn, by_id[next_question(left, told, state.manner.seed)], *before)


def _ask(turn: _Turn, question: Question, *before: str) -> None:
    state = turn.state
    by_id = {choice.id: choice for choice in question.choices}
    order = shuffled(tuple(by_id), state.manner.seed + len(state.before) + len(state.told))
    asked = replace(question, choices=tuple(by_id[name] for name in order))
    turn.change(question=asked, phase=Phase.ANSWER, tries=0, reminded=False)
    turn.ask(telling.asked(asked), *before)


# ---- what was heard


def _speech(turn: _Turn, heard: SpeechHeard) -> None:
    understood = understand(heard.text, grammar_for(turn.state))
    if understood is Command.STOP:
        # Whatever the confidence: stop always works.
        _end(turn, heard.text, said_first=lines.DRILL_STOPPED)
    elif turn.state.phase is Phase.HOLD:
        if understood is Command.CARRY_ON:
            turn.change(phase=turn.state.held_from, reminded=False)
            turn.sound("heard")
            turn.ask_once_more()
        else:
            turn.listen()
    elif heard.damaged:
        turn.say(lines.SOUND_LOST)
        turn.listen()
    elif isinstance(understood, Ask):
        _miss(turn, lines.SAY_AGAIN)
    elif heard.confidence < turn.state.manner.sure_from:
        _miss(turn, lines.NOT_SURE)
    elif isinstance(understood, Command):
        _obey(turn, understood)
    else:
        _answer(turn, understood, heard)


def _answer(turn: _Turn, understood: Understood, heard: SpeechHeard) -> None:
    """Write an answer, tell whether it was right and why, and ask the next question."""
    if not isinstance(understood, Chosen):
        raise TypeError(f"a drill cannot be answered with {understood!r}")
    question, name = turn.question, understood.id
    if turn.state.phase is Phase.SECOND_WAY and name.isdigit():
        name = question.choices[int(name) - 1].id
    chosen = next((one for one in question.choices if one.id == name), NOT_KNOWN)
    right = name == question.right
    seq = turn.state.next_seq
    turn.log(
        kinds.DRILL_ANSWERED,
        question=question.id,
        said=heard.text,
        answer=chosen.id,
        wanted=question.right,
        right=right,
        confidence=heard.confidence,
    )
    told = (*turn.state.told, Told(question.id, right, seq))
    turn.change(told=told, last_heard=chosen.said[0], because=question.because)
    turn.sound("heard" if right else "not understood")
    _ask_next(turn, telling.judged(question, chosen))


def _miss(turn: _Turn, say: str) -> None:
    """Ask again, then for the number of the answer, then go on: what was not heard is not wrong."""
    tries = turn.state.tries + 1
    turn.change(tries=tries, reminded=False)
    turn.sound("not understood")
    if tries >= NOT_HEARD_AFTER:
        _log_not_heard(turn)
    elif tries == SECOND_WAY_AFTER:
        turn.change(phase=Phase.SECOND_WAY)
        turn.ask(telling.by_number(turn.question))
    else:
        turn.say(say)
        turn.sound("listening")
        turn.listen()


def _log_not_heard(turn: _Turn) -> None:
    question = turn.question
    nothing = dict.fromkeys(("said", "answer", "right", "confidence"))
    turn.log(kinds.DRILL_ANSWERED, question=question.id, wanted=question.right, **nothing)
    turn.change(not_heard=(*turn.state.not_heard, question.id), because=question.because)
    _ask_next(turn, lines.DRILL_NOT_HEARD)


def _quiet(turn: _Turn) -> None:
    if turn.state.reminded:
        _hold(turn, lines.WILL_WAIT)
        return
    turn.change(reminded=True)
    turn.say(lines.STILL_HERE)
    turn.ask_once_more()


# ---- commands


def _obey(turn: _Turn, command: Command) -> None:
    state = turn.state
    if command is Command.HOLD:
        _hold(turn, lines.HOLDING)
    elif command is Command.SCRATCH_THAT:
        _scratch_that(turn)
    elif command in (Command.SAY_AGAIN, Command.CARRY_ON):
        turn.ask_once_more()
    else:
        told = {
            Command.WHY: state.because or lines.DRILL_ANSWER_FIRST,
            Command.WHAT_DID_YOU_HEAR: spoken(f"I heard: {state.last_heard}")
            if state.last_heard
            else lines.HEARD_NOTHING,
            Command.WHERE_ARE_WE: telling.score(state.right, len(state.told)),
        }
        turn.say(told.get(command, lines.SAYABLE_DRILL))
        turn.sound("listening")
        turn.listen()


def _hold(turn: _Turn, say: str) -> None:
    turn.change(held_from=turn.state.phase, phase=Phase.HOLD)
    turn.say(say)
    turn.listen()


def _scratch_that(turn: _Turn) -> None:
    """Take the last answer back, as where it was misheard, and ask its question again."""
    told = turn.state.told
    if not told:
        turn.ask(turn.state.last_said, lines.NOTHING_TAKEN)
        return
    turn.log(kinds.DRILL_TAKEN_BACK, entry=told[-1].seq)
    turn.change(told=told[:-1], last_heard="")
    turn.sound("heard")
    asked = next(one for one in turn.state.questions if one.id == told[-1].question)
    _ask(turn, asked, lines.TAKEN_BACK)


def _end(turn: _Turn, said: str | None, said_first: str = "") -> None:
    """Write the score and say it; after a word of trouble say no more than that it stopped."""
    state = turn.state
    again = [one.question for one in _wrong_last(state)]
    turn.log(kinds.DRILL_ENDED, right=state.right, asked=len(state.told), again=again, said=said)
    turn.change(phase=Phase.OVER)
    turn.say(said_first)
    if said is None or "stop" in said.lower().split():
        turn.say(telling.score(state.right, len(state.told)), telling.look_again(state.again))
    turn.actions.append(Finish(said is None and not said_first))


def _wrong_last(state: State) -> list[Told]:
    last = {one.question: one for one in state.told}
    return [one for one in last.values() if not one.right]
