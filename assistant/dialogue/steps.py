"""Entering steps, judging, and leaving them. Imports the modules of ``dialogue`` and ``weld``."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from assistant.dialogue import lines
from assistant.dialogue.clock_time import seconds_until
from assistant.dialogue.events import StartClock, StartReminders
from assistant.dialogue.looking import looked
from assistant.dialogue.once import done_before
from assistant.dialogue.progress import answer_of, known_to_be_skipped
from assistant.dialogue.prompts import prompt
from assistant.dialogue.proof_said import suspects_at_verdict
from assistant.dialogue.state import TRIES_BEFORE_SECOND_WAY, Detail, Phase, State
from assistant.dialogue.taking_back import stop_clocks, take_back_step
from assistant.dialogue.turn import Turn
from assistant.dialogue.way_out import cap_now, take_way_out
from assistant.procedure import flow
from assistant.procedure.model import Judge, Look, Step, Tell, Wait, Warn
from assistant.record import kinds
from assistant.weld.advice import first_in_words
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import FailureMode, HeatMarks, Lean, PeelTest, Pull
from assistant.weld.verdict import PASSING, Outcome, Verdict, judge
from assistant.words.meaning import Lean as SaidLean
from assistant.words.meaning import Measure
from assistant.words.readback import inches_in_words, spoken, value_in_words

HEADLINES = {
    Outcome.PASS: lines.PASSED,
    Outcome.AT_LIMIT: lines.AT_LIMIT,
    Outcome.FAIL: lines.FAILED,
    Outcome.OUT: lines.TOO_WIDE,
    Outcome.INVALID: lines.INVALID,
    Outcome.FOREMAN: lines.FOREMAN,
    Outcome.NO_VERDICT: lines.NO_VERDICT,
}
TONES = {
    Outcome.PASS: "passed",
    Outcome.AT_LIMIT: "passed",
    Outcome.FAIL: "failed",
    Outcome.OUT: "failed",
}


def go_on(turn: Turn) -> None:
    """Enter the step at which the run now stands, and all that need no word from anybody."""
    turn.change(tries=(), pending=None, reminded=False, clock_ran_out=False)
    turn.change(asleep=False, woken=False, let_pass=0, only_talk=0, came_back=False)
    while not turn.state.finished:
        step = turn.state.step
        before = done_before(turn.state.today, step)
        if before:
            turn.log(kinds.DONE, step=step.id, **before)
            continue
        if isinstance(step, Judge):
            if _judge(turn, step):
                continue
            return
        if isinstance(step, Wait) and step.until and seconds_until(step.until, turn.now) <= 0:
            turn.log(kinds.DONE, step=step.id, act="wait", said=None, early=False)
            continue
        if isinstance(step, Look):
            _look(turn, step)
            continue
        if isinstance(step, Tell) and not step.until_done:
            turn.ask(prompt(turn.state))
            turn.log(kinds.DONE, step=step.id, act="tell", said=None)
            continue
        enter(turn)
        return
    turn.log(kinds.ENDED)
    turn.say(spoken(f"{turn.state.procedure.title} is at its end"))
    turn.finish(ended=True)


def _look(turn: Turn, step: Look) -> None:
    """Say what the work so far calls for, and go on."""
    before = prompt(turn.state)
    found, sentences, cautions = looked(turn.state, step, turn.now)
    answer = flow.YES if found else flow.NO
    turn.log(
        kinds.DONE, step=step.id, act="look", said=None, cautions=list(cautions), answer=answer
    )
    turn.ask(before, *sentences)


def enter(turn: Turn) -> None:
    """Ask the step's question, or give its instruction, and listen."""
    step = turn.state.step
    turn.change(asleep=False, woken=False, let_pass=0)
    turn.ask(prompt(turn.state), _cue(turn.state, step))
    if isinstance(step, Wait):
        moments = tuple(moment.after_s for moment in step.moments)
        seconds = seconds_until(step.until, turn.now) if step.until else step.seconds
        turn.actions.append(StartClock(seconds, moments))
        _remind(turn, step)
        turn.change(phase=Phase.WAIT)
        turn.listen()
    elif isinstance(step, (Tell, Warn)):
        _remind(turn, step)
        turn.change(phase=Phase.BUSY)
        turn.listen()
    else:
        turn.change(phase=Phase.ANSWER)
        turn.listen_for_an_answer()


def _remind(turn: Turn, step: Step) -> None:
    if step.remind:
        turn.actions.append(StartReminders(step.remind.every_s))


def _cue(state: State, step: Step) -> str:
    """Return which word goes on from here: the first time in a shift, then it is known.

    An apprentice hears it in each run; who wants it brief, never.
    """
    detail = state.settings.detail
    told = any(
        line.kind == kinds.DONE and line.fields.get("act") == act_of(step)
        for line in state.today.lines
    )
    if detail is Detail.BRIEF or (told and detail is not Detail.APPRENTICE):
        return ""
    cues = {Warn: lines.CUE_READY, Tell: lines.CUE_DONE}
    waited_for = {
        type(state.procedure.steps[mark.at]) for mark in state.progress.trail if not mark.by_itself
    }
    return "" if type(step) in waited_for else cues.get(type(step), "")


def ask_again(turn: Turn, *sentences: str) -> None:
    """Listen once more for the step's answer, after saying why."""
    turn.say(*sentences)
    second = len(turn.state.tries) >= TRIES_BEFORE_SECOND_WAY
    turn.change(phase=Phase.SECOND_WAY if second else Phase.ANSWER, pending=None)
    turn.listen_for_an_answer()


def act_of(step: Step) -> str:
    """Return what the record calls this kind of step in its ``done`` lines."""
    if isinstance(step, Wait):
        return "wait"
    return "warn" if isinstance(step, Warn) else "tell"


def leave_done(turn: Turn, said: str | None, tell: str = "", **more: object) -> None:
    """Write that an instruction, a caution or a wait is done, and go on.

    Words that ended it are acknowledged with a tone, once the line is written; then comes ``tell``.
    """
    step = turn.state.step
    stop_clocks(turn)
    turn.log(kinds.DONE, step=step.id, act=act_of(step), said=said, **more)
    if said is not None:
        turn.sound("heard")
    turn.say(tell)
    go_on(turn)


# ---- judging


def _judge(turn: Turn, step: Judge) -> bool:
    """Judge the strip; False when a width must be said again first."""
    state = turn.state
    verdict = judge(peel_test(state, step)[0], step.limits)
    if verdict.outcome is Outcome.ASK:
        _need_plain_width(turn, step)
        return False
    cap = cap_now(turn, step, flow.PASS if verdict.outcome in PASSING else flow.FAIL)
    turn.log(kinds.JUDGED, **judged_fields(state, step, verdict))
    turn.sound(TONES.get(verdict.outcome, "not understood"))
    turn.ask(verdict_in_words(state, step, verdict))
    turn.say(suspects_at_verdict(turn.state.today, state.settings.rules))
    turn.change(plain_only=False)
    if cap:
        return take_way_out(turn, cap)
    if verdict.outcome not in PASSING:
        turn.say(step.on_fail_say)
    return True


def judged_fields(state: State, step: Judge, verdict: Verdict) -> dict[str, object]:
    """Return how a record line holds a verdict and what it rests on."""
    test, rests_on = peel_test(state, step)
    width = answer_of(state.progress, step.width) or {}
    return {
        "step": step.id,
        "outcome": verdict.outcome.value,
        "finding": verdict.finding.value,
        "reasons": list(verdict.reasons),
        "width": width.get("width_in"),
        "said": width.get("said"),
        "hedge": width.get("hedge"),
        "mode": test.mode.value if test.mode else None,
        "solid": str(test.solid_in) if test.solid_in is not None else None,
        "heat": test.heat.value if test.heat else None,
        "pull": test.pull.value if test.pull and step.pull else None,
        "limits": {
            "least_in": str(step.limits.least_in),
            "most_in": str(step.limits.most_in),
            "rule_step_in": str(step.limits.rule_step_in),
            "edges": step.limits.edges,
        },
        "rule": verdict.rule,
        "clip": width.get("clip"),
        "from": rests_on,
    }


def peel_test(state: State, step: Judge) -> tuple[PeelTest, list[int]]:
    """Return the strip as it was answered, and the record lines that it rests on.

    A solid width that was not heard, or could not be asked for because its condition was not
    heard, is told apart from a bond that is whole: nothing is judged as if it were.
    """
    answers = {
        name: answer_of(state.progress, name)
        for name in (step.width, step.mode, step.solid, step.heat, step.pull)
        if name
    }
    rests_on = [int(str(fields["seq"])) for fields in answers.values() if fields]
    width, mode = answers.get(step.width), answers.get(step.mode)
    solid = answers.get(step.solid) if step.solid else None
    heat = answers.get(step.heat) if step.heat else {"answer": HeatMarks.NONE.value}
    pull = answers.get(step.pull) if step.pull else {"answer": Pull.STEADY.value}
    unheard = (
        bool(step.solid)
        and solid is None
        and not known_to_be_skipped(state.procedure, state.progress, step.solid)
    )
    test = PeelTest(
        width_in=Fraction(str(width["width_in"])) if width else None,
        lean=_lean(width),
        mode=FailureMode(str(mode["answer"])) if mode else None,
        solid_in=Fraction(str(solid["width_in"])) if solid else None,
        heat=HeatMarks(str(heat["answer"])) if heat else None,
        solid_lean=_lean(solid),
        solid_unheard=unheard,
        pull=Pull(str(pull["answer"])) if pull else None,
    )
    return test, sorted(rests_on)


def _lean(fields: Mapping[str, object] | None) -> Lean | None:
    return Lean(str(fields["lean"])) if fields and fields["lean"] else None


def _need_plain_width(turn: Turn, step: Judge) -> None:
    """Take the hedged width back and ask for the nearest sixteenth."""
    take_back_step(turn, step.width, said=None)
    turn.change(plain_only=True, tries=(), phase=Phase.ANSWER)
    turn.ask(lines.HEDGE_DECIDES)
    turn.listen_for_an_answer()


def verdict_in_words(state: State, step: Judge, verdict: Verdict) -> str:
    """Return the verdict as it is spoken: the outcome, what it rests on, and the reasons.

    After anything but a pass it ends with the first thing to check. Of a plain pass only an
    apprentice hears the limits again, and that the film tore: nothing else passes.
    """
    parts = [HEADLINES[verdict.outcome]]
    detail = state.settings.detail
    shortly = verdict.outcome is Outcome.PASS and detail is not Detail.APPRENTICE
    mode = answer_of(state.progress, step.mode)
    if mode and not shortly:
        parts.append(spoken(str(mode["called"])))
    width = answer_of(state.progress, step.width)
    if width:
        parts.append(spoken(value_in_words(measure_of(width))))
    parts += verdict.reasons
    if verdict.outcome in PASSING and not shortly:
        parts.append(limits_in_words(step.limits))
    parts.append(first_in_words(peel_test(state, step)[0], verdict))
    return " ".join(filter(None, parts))


def limits_in_words(limits: WidthLimits) -> str:
    """Return the limits in force as a sentence."""
    least, most = inches_in_words(limits.least_in), inches_in_words(limits.most_in)
    return f"Allowed is {least} to {most}."


def measure_of(fields: Mapping[str, object]) -> Measure:
    """Return the value that an ``answered`` line holds."""
    lean = SaidLean(fields["lean"]) if fields["lean"] else None
    hedge = str(fields["hedge"]) if fields["hedge"] else None
    return Measure(Fraction(str(fields["answer"])), str(fields["unit"]), hedge, lean)


def value_fields(measure: Measure, called: str) -> dict[str, object]:
    """Return how a record line holds a value: exact, in its unit and in inches."""
    return {
        "answer": str(measure.value),
        "unit": measure.unit,
        "width_in": str(measure.value_in) if measure.is_width else None,
        "called": called,
        "hedge": measure.hedge,
        "lean": measure.lean.value if measure.lean else None,
    }
