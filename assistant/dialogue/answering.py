"""What becomes of an answer, and of words that are none. Imports the modules of ``dialogue``."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import confirming, lines
from assistant.dialogue.events import SpeechHeard
from assistant.dialogue.prompts import second_way
from assistant.dialogue.state import (
    TRIES_BEFORE_NOT_HEARD,
    TRIES_BEFORE_SECOND_WAY,
    Pending,
    Phase,
    Try,
)
from assistant.dialogue.steps import ask_again, go_on, value_fields
from assistant.dialogue.turn import Turn
from assistant.dialogue.way_out import cap_now, take_way_out
from assistant.procedure import flow
from assistant.procedure.model import AskChoice, AskValue, AskYesNo, Cap, Otherwise
from assistant.record import kinds
from assistant.words.meaning import Chosen, YesNo
from assistant.words.readback import spoken, value_in_words
from assistant.words.understand import NO_WORDS, NOT_OURS, Ask, Reading, Understood, within

DOUBTS_BEFORE_ANEW = 3
"""Doubtful yeses to one read-back before its value is asked for again."""


def answer_yes_no(turn: Turn, step: AskYesNo, answer: YesNo, heard: SpeechHeard) -> None:
    """Write a plain answer; one that was not hoped for leads to what to do about it."""
    turn.change(last_heard="yes" if answer.yes else "no")
    hoped = answer.yes is step.hoped
    cap = cap_now(turn, step, "yes" if answer.yes else "no")
    turn.log(
        kinds.ANSWERED,
        step=step.id,
        act="yes-no",
        said=heard.text,
        answer="yes" if answer.yes else "no",
        hoped=hoped,
        confidence=heard.confidence,
        clip=heard.clip,
    )
    turn.sound("heard")
    _go_on_or_back(turn, None if hoped else step.otherwise, cap)


def _go_on_or_back(turn: Turn, instead: Otherwise | None, cap: Cap | None) -> None:
    """Go on, or say what to do about an answer that was not hoped for."""
    if cap:
        if take_way_out(turn, cap):
            go_on(turn)
    elif instead is None or instead.then != "again":
        turn.say(instead.say if instead else "")
        go_on(turn)
    else:
        turn.change(phase=Phase.MEND, tries=(), reminded=False)
        turn.ask(instead.say, lines.READY_AGAIN)
        turn.listen()


def answer_choice(turn: Turn, step: AskChoice, answer: Chosen, heard: SpeechHeard) -> None:
    """Write a named answer and say it back, since it may decide a verdict."""
    choice = step.chosen(answer.id)
    cap = cap_now(turn, step, choice.id)
    turn.log(
        kinds.ANSWERED,
        step=step.id,
        act="choice",
        said=heard.text,
        answer=choice.id,
        called=choice.said[0],
        confidence=heard.confidence,
        clip=heard.clip,
    )
    turn.sound("heard")
    turn.change(last_heard=choice.said[0])
    turn.say(spoken(choice.said[0]))
    _go_on_or_back(turn, None if flow.hoped(step, choice.id) else step.otherwise, cap)


def take_value(turn: Turn, step: AskValue, reading: Reading, heard: SpeechHeard) -> None:
    """Read a value back; it counts only after a spoken yes, never because it was said twice."""
    measure = reading.measure
    waited_for = turn.state.pending.reading.measure if turn.state.pending else None
    # Whatever becomes of this value, the one that was read back before it is gone.
    turn.change(last_heard=value_in_words(measure), pending=None)
    if not within(measure, step.plausible_from, step.plausible_to):
        miss(turn, heard, f"{spoken(value_in_words(measure))} {lines.OUTSIDE}")
        return
    if measure.hedge and turn.state.plain_only:
        miss(turn, heard, lines.NO_HEDGE)
        return
    read_back = confirming.read_back(turn.state, step, measure, again=measure == waited_for)
    turn.sound("heard")
    turn.change(
        phase=Phase.CONFIRM,
        pending=Pending(reading, heard.confidence, heard.clip, read_back),
        reminded=False,
    )
    turn.say(read_back)
    turn.listen_for_an_answer()


def confirm_value(turn: Turn, step: AskValue, answer: YesNo, heard: SpeechHeard) -> None:
    """Make the value count, or ask for it once more."""
    pending = turn.state.pending
    if pending is None:
        raise ValueError("nothing was read back")
    if not answer.yes:
        miss(turn, heard, lines.SAY_AGAIN, tone="heard")
        return
    came = flow.came_of(step, {"answer": str(pending.reading.measure.value)})
    cap = cap_now(turn, step, came)
    turn.log(
        kinds.ANSWERED,
        step=step.id,
        act="value",
        said=pending.reading.said,
        read_back=pending.read_back,
        confirmed_by=heard.text,
        confirmed_clip=heard.clip,
        confidence=pending.confidence,
        clip=pending.clip,
        **value_fields(pending.reading.measure, step.called),
    )
    turn.sound("heard")
    turn.change(plain_only=False, pending=None)
    _go_on_or_back(turn, None if flow.hoped(step, came) else step.otherwise, cap)


def unclear(turn: Turn, ask: Ask, heard: SpeechHeard) -> None:
    """Ask about words that have no single meaning here."""
    if ask.reason in (NO_WORDS, NOT_OURS):
        not_sure(turn, heard, lines.SAY_AGAIN)
    else:
        miss(turn, heard, ask.question)


def doubt(turn: Turn, understood: Understood, heard: SpeechHeard) -> None:
    """Take nothing from words that are ours but were not heard surely enough.

    A yes that stays in doubt costs the value less than its read-back: that is said up to three
    times, with words that are heard better, before the value is asked for again.
    """
    pending = turn.state.pending
    yes = pending is not None and understood == YesNo(yes=True)
    if pending is None or not yes or pending.doubts >= DOUBTS_BEFORE_ANEW:
        not_sure(turn, heard, lines.NOT_SURE)
        return
    again = replace(pending, doubts=pending.doubts + 1)
    turn.change(pending=again, reminded=True)
    turn.sound("not understood")
    turn.say(pending.read_back, lines.SECOND_YES_NO if pending.doubts else "")
    turn.listen()


def not_sure(turn: Turn, heard: SpeechHeard, say: str) -> None:
    """Take nothing from these words; a read-back is said once more before it is given up."""
    pending = turn.state.pending
    if pending is None or turn.state.reminded:
        miss(turn, heard, say)
        return
    turn.change(reminded=True)
    turn.sound("not understood")
    turn.say(pending.read_back)
    turn.listen()


def miss(turn: Turn, heard: SpeechHeard, say: str, tone: str = "not understood") -> None:
    """Count a failed attempt: ask again, then another way in, then log it as not heard."""
    state = turn.state
    tried = state.pending.reading.said if state.pending else heard.text
    clip = state.pending.clip if state.pending else heard.clip
    turn.change(tries=(*state.tries, Try(tried, clip)), pending=None, reminded=False)
    turn.sound(tone)
    count = len(turn.state.tries)
    if count >= TRIES_BEFORE_NOT_HEARD:
        _give_up(turn)
    elif count == TRIES_BEFORE_SECOND_WAY:
        way = second_way(state.step)
        turn.change(last_said=way)
        ask_again(turn, way)
    else:
        ask_again(turn, say)


def _give_up(turn: Turn) -> None:
    state = turn.state
    turn.log(
        kinds.NOT_HEARD,
        step=state.step.id,
        act=_act(state.step),
        said=[attempt.said for attempt in state.tries],
        clips=[attempt.clip for attempt in state.tries if attempt.clip],
    )
    turn.say(lines.NOT_HEARD)
    turn.change(plain_only=False)
    go_on(turn)


def _act(step: object) -> str:
    if isinstance(step, AskValue):
        return "value"
    return "choice" if isinstance(step, AskChoice) else "yes-no"
