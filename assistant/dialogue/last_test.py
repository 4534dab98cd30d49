"""Changing a value of the last test. Imports the modules of ``dialogue`` and ``weld``.

The old lines stay. A ``corrected`` line names the old answer and holds the new one, which counts
only after a read-back and a yes; a new ``judged`` line names the old verdict. Where a pass of the
run under way is none any more, the run goes back for a new test; nothing ever moves it forward.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import lines, telling
from assistant.dialogue.aside import ChangeAside, NewValue
from assistant.dialogue.coming_back import ask_for, ask_once_more, come_back
from assistant.dialogue.events import SpeechHeard, StopClock
from assistant.dialogue.progress import Progress
from assistant.dialogue.prompts import second_way, step_grammar
from assistant.dialogue.state import (
    TRIES_BEFORE_NOT_HEARD,
    TRIES_BEFORE_SECOND_WAY,
    Phase,
    State,
)
from assistant.dialogue.steps import (
    TONES,
    go_on,
    judged_fields,
    peel_test,
    value_fields,
    verdict_in_words,
)
from assistant.dialogue.today import Fields, Tested
from assistant.dialogue.turn import Turn
from assistant.procedure.model import AskChoice, AskValue, Judge, Procedure, Wait
from assistant.record import kinds
from assistant.weld.verdict import PASSING, Outcome, Verdict, judge
from assistant.words import grammars, last_test
from assistant.words.meaning import Chosen, Measure, YesNo
from assistant.words.readback import spoken, two_forms, value_in_words
from assistant.words.understand import Reading, within

_PASSED = {outcome.value for outcome in PASSING}


def begin(turn: Turn, asked_by: str) -> None:
    """Ask which value of the last test shall be changed."""
    tests = turn.state.today.tests()
    if not tests:
        turn.say(lines.NO_TEST_YET)
        turn.listen()
        return
    test = tests[-1]
    parts = _parts(test)
    if not parts:
        turn.say(lines.NO_CHANGE_HERE)
        turn.listen()
        return
    offered = ", or ".join(last_test.PARTS[part] for part in parts)
    aside = ChangeAside(
        ask=f"{lines.WHICH_VALUE} {spoken(offered)}",
        grammar=last_test.which(parts),
        test=test,
        asked_by=asked_by,
    )
    turn.sound("heard")
    ask_for(turn, aside, telling.last_test(turn.state.today, turn.now))


def _parts(test: Tested) -> list[str]:
    """Return what of a test can be changed: what its checklist asks for and asked for here."""
    if test.step is None:
        return []
    asked = {part: getattr(test.step, part, "") for part in last_test.PARTS}
    return [part for part, step_id in asked.items() if step_id and step_id in test.answers]


# ---- what was said


def answered(
    turn: Turn, aside: ChangeAside, what: Chosen | Reading | YesNo, heard: SpeechHeard
) -> None:
    """Take the name of a value, the new value, or the answer to its read-back."""
    if aside.step is None:
        if isinstance(what, Chosen):
            _ask_value(turn, aside, what.id)
    elif isinstance(what, YesNo):
        if what.yes and aside.value is not None:
            _judge_anew(turn, aside, aside.value, heard)
        else:
            missed(turn, aside, heard, lines.SAY_AGAIN, tone="heard")
    elif isinstance(what, Reading) and isinstance(aside.step, AskValue):
        _take_measure(turn, aside, aside.step, what, heard)
    elif isinstance(what, Chosen) and isinstance(aside.step, AskChoice):
        _take_choice(turn, aside, aside.step, what, heard)


def _ask_value(turn: Turn, aside: ChangeAside, part: str) -> None:
    procedure, judge_step = _checklist(aside.test)
    step = procedure.steps[procedure.index(getattr(judge_step, part))]
    if not isinstance(step, (AskValue, AskChoice)):
        raise TypeError(f"step {step.id} has no value that a verdict rests on")
    turn.sound("heard")
    _ask_again(turn, replace(aside, step=step, tries=()))


def _checklist(test: Tested) -> tuple[Procedure, Judge]:
    if test.procedure is None or test.step is None:
        raise ValueError("the checklist of this test is not at hand")
    return test.procedure, test.step


def _ask_again(turn: Turn, aside: ChangeAside, *first: str) -> None:
    """Ask for the new value; after two failures in another way."""
    step = aside.step
    if step is None:
        ask_for(turn, replace(aside, reminded=False), *first)
        return
    second = len(aside.tries) >= TRIES_BEFORE_SECOND_WAY
    grammar = step_grammar(step, Phase.SECOND_WAY if second else Phase.ANSWER)
    patience_ms = step.patience_ms if isinstance(step, AskValue) else aside.patience_ms
    ask = second_way(step) if second else step.say
    fresh = replace(
        aside, ask=ask, grammar=grammar, patience_ms=patience_ms, value=None, reminded=False
    )
    ask_for(turn, fresh, *first)


def _take_measure(
    turn: Turn, aside: ChangeAside, step: AskValue, reading: Reading, heard: SpeechHeard
) -> None:
    measure = reading.measure
    turn.change(last_heard=value_in_words(measure))
    if not within(measure, step.plausible_from, step.plausible_to):
        missed(turn, aside, heard, f"{spoken(value_in_words(measure))} {lines.OUTSIDE}")
        return
    new = NewValue(answer=measure, said=reading.said, confidence=heard.confidence, clip=heard.clip)
    if _anew(turn.state, aside, step, new)[1].outcome is Outcome.ASK:
        missed(turn, aside, heard, lines.HEDGE_DECIDES)
        return
    ask = f"{spoken(two_forms(measure))} {lines.IS_THAT_RIGHT}"
    _read_back(turn, replace(aside, ask=ask, grammar=grammars.confirm(step.unit), value=new))


def _take_choice(
    turn: Turn, aside: ChangeAside, step: AskChoice, chosen: Chosen, heard: SpeechHeard
) -> None:
    choice = step.chosen(chosen.id)
    turn.change(last_heard=choice.said[0])
    new = NewValue(answer=choice.id, said=heard.text, confidence=heard.confidence, clip=heard.clip)
    ask = f"{spoken(choice.said[0])} {lines.IS_THAT_RIGHT}"
    _read_back(turn, replace(aside, ask=ask, grammar=grammars.yes_no(), value=new))


def _read_back(turn: Turn, aside: ChangeAside) -> None:
    turn.sound("heard")
    ask_for(turn, replace(aside, patience_ms=700, reminded=False))


# ---- what comes of it


def _anew(
    state: State, aside: ChangeAside, step: AskValue | AskChoice, new: NewValue, seq: int = -1
) -> tuple[State, Verdict]:
    """Return the test's own state with the new value in it, and the verdict from there."""
    procedure, judge_step = _checklist(aside.test)
    answers = {**aside.test.answers, step.id: {**_fields(step, new), "seq": seq}}
    then = replace(state, procedure=procedure, progress=Progress(answers=answers))
    return then, judge(peel_test(then, judge_step)[0], judge_step.limits)


def _fields(step: AskValue | AskChoice, new: NewValue) -> Fields:
    """Return how a record line holds the new value."""
    if isinstance(step, AskValue) and isinstance(new.answer, Measure):
        known = {"act": "value", **value_fields(new.answer, step.called)}
    elif isinstance(step, AskChoice) and isinstance(new.answer, str):
        called = step.chosen(new.answer).said[0]
        known = {"act": "choice", "answer": new.answer, "called": called}
    else:
        raise TypeError(f"step {step.id} cannot be answered with {new.answer!r}")
    return {"step": step.id, "said": new.said, "clip": new.clip, **known}


def _judge_anew(turn: Turn, aside: ChangeAside, new: NewValue, yes: SpeechHeard) -> None:
    step = aside.step
    if step is None:
        raise ValueError("no value was asked for")
    test, (_, judge_step) = aside.test, _checklist(aside.test)
    old = test.answers.get(step.id)
    seq = turn.state.next_seq
    turn.log(
        kinds.CORRECTED,
        judged=test.judged.seq,
        entry=old["seq"] if old else None,
        asked_by=aside.asked_by,
        reason=kinds.ASKED,
        read_back=aside.ask,
        confirmed_by=yes.text,
        confirmed_clip=yes.clip,
        confidence=new.confidence,
        **_fields(step, new),
    )
    then, verdict = _anew(turn.state, aside, step, new, seq)
    at = turn.state.progress.at
    turn.log(
        kinds.JUDGED,
        corrects=test.judged.seq,
        was=test.outcome,
        first=test.first.seq,
        **judged_fields(then, judge_step, verdict),
    )
    turn.sound(TONES.get(verdict.outcome, "not understood"))
    turn.say(lines.CHANGED, verdict_in_words(then, judge_step, verdict))
    worse = test.outcome in _PASSED and verdict.outcome not in PASSING
    if turn.state.progress.at != at:
        _go_back_for_a_new_test(turn, at, judge_step)
    else:
        turn.say(lines.NO_LONGER_PASSES if worse else "")
        come_back(turn)


def _go_back_for_a_new_test(turn: Turn, left: int, judge_step: Judge) -> None:
    state = turn.state
    if left < len(state.procedure.steps) and isinstance(state.procedure.steps[left], Wait):
        turn.actions.append(StopClock())
    turn.change(asides=())
    turn.say(judge_step.on_fail_say)
    go_on(turn)


# ---- what was not understood


def unclear(turn: Turn, aside: ChangeAside, heard: SpeechHeard, say: str) -> None:
    """Take nothing from these words; a read-back is said once more before it is given up."""
    if aside.value is not None and not aside.reminded:
        turn.sound("not understood")
        ask_once_more(turn, aside)
    else:
        missed(turn, aside, heard, say)


def missed(
    turn: Turn, aside: ChangeAside, heard: SpeechHeard, say: str, tone: str = "not understood"
) -> None:
    """Count a failed attempt; after the last one everything stays as it was."""
    aside = replace(aside, tries=(*aside.tries, (heard.text, heard.clip)))
    turn.sound(tone)
    if len(aside.tries) >= TRIES_BEFORE_NOT_HEARD:
        give_up(turn)
    else:
        _ask_again(turn, aside, say)


def give_up(turn: Turn) -> None:
    """Change nothing, and return to where the conversation was."""
    turn.say(lines.NOT_CHANGED)
    come_back(turn)
