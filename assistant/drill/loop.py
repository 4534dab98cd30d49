"""A drill as a conversation: ``step(state, event) -> state, actions``.

Imports the modules of ``drill``, ``words``, and the events of ``dialogue``. Pure: no device, no
file, no clock. Every answer that counts is in the record before anything is said of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from assistant.dialogue import lines
from assistant.dialogue.events import (
    Action,
    Event,
    Finish,
    MicrophoneBack,
    MicrophoneLost,
    NothingMoreToHear,
    QuietPassed,
    SpeechHeard,
)
from assistant.drill import telling
from assistant.drill.model import NOT_KNOWN, Question, Told
from assistant.drill.order import next_question, shuffled
from assistant.drill.state import Manner, Phase, State
from assistant.drill.turn import Turn, grammar_for
from assistant.record import kinds
from assistant.words.meaning import Chosen, Command
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
    turn = Turn(state)
    turn.log(kinds.DRILL_BEGAN, seed=manner.seed, count=manner.count, **about)
    turn.say(lines.DRILL_BEGINS)
    _ask_next(turn)
    return turn.result


def step(state: State, event: Event, now: datetime | None = None) -> Result:  # noqa: ARG001 - as the loop of the work
    """Take one event; return the new state and what to do, in order."""
    turn = Turn(state)
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


def _ask_next(turn: Turn, *before: str) -> None:
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


def _ask(turn: Turn, question: Question, *before: str) -> None:
    state = turn.state
    by_id = {choice.id: choice for choice in question.choices}
    order = shuffled(tuple(by_id), state.manner.seed + len(state.before) + len(state.told))
    asked = replace(question, choices=tuple(by_id[name] for name in order))
    turn.change(question=asked, phase=Phase.ANSWER, tries=0, reminded=False)
    turn.ask(telling.asked(asked), *before)


# ---- what was heard


def _speech(turn: Turn, heard: SpeechHeard) -> None:
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


def _answer(turn: Turn, understood: Understood, heard: SpeechHeard) -> None:
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


def _miss(turn: Turn, say: str) -> None:
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


def _log_not_heard(turn: Turn) -> None:
    question = turn.question
    nothing = dict.fromkeys(("said", "answer", "right", "confidence"))
    turn.log(kinds.DRILL_ANSWERED, question=question.id, wanted=question.right, **nothing)
    turn.change(not_heard=(*turn.state.not_heard, question.id), because=question.because)
    _ask_next(turn, lines.DRILL_NOT_HEARD)


def _quiet(turn: Turn) -> None:
    if turn.state.reminded:
        _hold(turn, lines.WILL_WAIT)
        return
    turn.change(reminded=True)
    turn.say(lines.STILL_HERE)
    turn.ask_once_more()


# ---- commands


def _obey(turn: Turn, command: Command) -> None:
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


def _hold(turn: Turn, say: str) -> None:
    turn.change(held_from=turn.state.phase, phase=Phase.HOLD)
    turn.say(say)
    turn.listen()


def _scratch_that(turn: Turn) -> None:
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


def _end(turn: Turn, said: str | None, said_first: str = "") -> None:
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
