"""The conversation itself: ``step(state, event) -> state, actions``.

Imports the modules of ``dialogue``. Pure: no device, no file, no clock; time comes in as events.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from assistant.dialogue import answering, attention, beside, commanding, lines, notes, progress
from assistant.dialogue.aside import NoteAside
from assistant.dialogue.events import (
    Action,
    Event,
    MicrophoneBack,
    MicrophoneLost,
    MomentCame,
    NothingMoreToHear,
    QuietPassed,
    ReminderDue,
    SpeechHeard,
    TimeUp,
)
from assistant.dialogue.last_answer import last_answer
from assistant.dialogue.prompts import grammar_for
from assistant.dialogue.proof_said import due_at_start, welds_on_a_test
from assistant.dialogue.state import TRIES_BEFORE_NOT_HEARD, Phase, Settings, State
from assistant.dialogue.steps import enter, go_on, leave_done
from assistant.dialogue.today import Today
from assistant.dialogue.turn import DECIDING, Turn
from assistant.procedure.model import AskChoice, AskValue, AskYesNo, Procedure, Wait
from assistant.record import kinds
from assistant.words.meaning import Chosen, Command, Done, YesNo
from assistant.words.understand import NO_WORDS, NOT_OURS, Ask, Reading, Understood, understand

Result = tuple[State, tuple[Action, ...]]
Line = tuple[str, Mapping[str, object], int]
"""A record line of this run: kind, fields, sequence number."""


def begin(
    procedure: Procedure,
    settings: Settings,
    next_seq: int,
    about: Mapping[str, object],
    today: Today | None = None,
) -> Result:
    """Start a run; ``about`` goes into its ``began`` line beside what the procedure says.

    ``today`` is the shift before it.
    """
    known = (today or Today()).knowing(procedure)
    state = State(procedure, settings, progress.begin(procedure), next_seq, today=known)
    turn, rules = Turn(state, known.now), settings.rules
    turn.log(
        kinds.BEGAN,
        procedure=procedure.id,
        title=procedure.title,
        version=procedure.version,
        digest=procedure.digest,
        detail=settings.detail.value,
        rules=rules and {"version": rules.version, "digest": rules.digest},
        **about,
    )
    if welds_on_a_test(procedure):
        turn.say(due_at_start(turn.state.today, settings.rules, about.get("job")))
    go_on(turn)
    return turn.state, tuple(turn.actions)


def resume(
    procedure: Procedure,
    settings: Settings,
    next_seq: int,
    so_far: Sequence[Line],
    today: Today | None = None,
) -> Result:
    """Go on with a run from its lines, at the step after the last that was written.

    ``today`` is the shift, this run included; without it, the shift is this run alone.
    """
    stands, alone = progress.begin(procedure), Today()
    for kind, fields, seq in so_far:
        stands = progress.after(procedure, stands, kind, fields, seq)
        alone = alone.after(kind, fields, seq)
    known = (today or alone).knowing(procedure)
    turn = Turn(State(procedure, settings, stands, next_seq, today=known), known.now)
    turn.log(kinds.RESUMED, step=turn.state.step_id)
    turn.say(lines.GOING_ON, last_answer(procedure, stands))
    go_on(turn)
    return turn.state, tuple(turn.actions)


def step(state: State, event: Event, now: datetime | None = None) -> Result:
    """Take one event at local time ``now``; return the new state and what to do, in order."""
    turn = Turn(state, now)
    if state.phase is Phase.OVER:
        return state, ()
    if isinstance(event, SpeechHeard):
        _speech(turn, event)
    elif isinstance(event, QuietPassed):
        _quiet(turn)
    elif isinstance(event, TimeUp):
        _time_up(turn)
    elif isinstance(event, MomentCame):
        _moment_came(turn, event.after_s)
    elif isinstance(event, ReminderDue):
        _remind(turn)
    elif isinstance(event, MicrophoneLost):
        turn.log(kinds.EAR_LOST, step=state.step_id, message=event.message)
        turn.sound("failed")
        turn.say(lines.MICROPHONE_LOST)
    elif isinstance(event, MicrophoneBack):
        turn.log(kinds.EAR_BACK, step=state.step_id, message="")
        turn.say(lines.MICROPHONE_BACK, state.to_repeat if state.pending or state.asides else "")
        turn.listen()
    elif isinstance(event, NothingMoreToHear):
        commanding.stop(turn, None, lines.SCRIPT_ENDED)
    return turn.state, tuple(turn.actions)


def _speech(turn: Turn, heard: SpeechHeard) -> None:
    state = turn.state
    turn.left_s = heard.left_s
    understood = understand(heard.text, grammar_for(state))
    if state.asleep and not attention.stirs(turn, understood, heard):
        return
    if understood is Command.STOP:
        # Never asked about awake, whatever the confidence: stop always works.
        if isinstance(state.aside, NoteAside) and heard.length_ms > notes.QUIET_MS:
            notes.keep(turn, heard)
        commanding.obey(turn, Command.STOP, heard.text)
    elif beside.taken(turn, understood, heard):
        return
    elif state.phase not in DECIDING:
        _while_busy(turn, understood, heard)
    elif heard.damaged:
        turn.say(lines.SOUND_LOST)
        turn.listen()
    elif _only_talk(turn, understood, heard):
        commanding.hold(turn, because="talk")
    elif isinstance(understood, Ask):
        answering.unclear(turn, understood, heard)
    elif heard.confidence < _least(turn, understood):
        answering.doubt(turn, understood, heard)
    elif isinstance(understood, Command):
        commanding.obey(turn, understood, heard.text)
    else:
        _answer(turn, understood, heard)


def _only_talk(turn: Turn, understood: Understood, heard: SpeechHeard) -> bool:
    """Tell whether it is time to wait, as nothing at this question was meant for Lapcall.

    A radio must not talk a step away. Once somebody has come back from such a wait there is a
    person who is not understood, and the step may be given up.
    """
    state = turn.state
    strange = isinstance(understood, Ask) and understood.reason in (NO_WORDS, NOT_OURS)
    unsure = heard.confidence < _least(turn, understood)
    if isinstance(understood, Command) and not unsure:
        return False  # a question to Lapcall changes nothing, this count neither
    turn.change(only_talk=state.only_talk + 1 if strange or unsure else 0)
    given_up_next = len(state.tries) + 1 >= TRIES_BEFORE_NOT_HEARD and state.pending is None
    if state.came_back or not given_up_next or turn.state.only_talk <= len(state.tries):
        return False
    turn.change(tries=(), only_talk=0, came_back=True)
    # Whoever comes back is asked from the start.
    turn.change(phase=Phase.ANSWER, last_said=state.step.say)
    return True


def _least(turn: Turn, understood: Understood) -> float:
    trust = turn.state.settings.trust
    if turn.state.phase is Phase.CONFIRM and understood == YesNo(yes=True):
        return max(trust.answer, trust.yes)
    return trust.value if isinstance(understood, Reading) else trust.answer


def _while_busy(turn: Turn, understood: Understood, heard: SpeechHeard) -> None:
    """Hands are busy: take what is meant for us, and let chatter pass in silence."""
    trusted = heard.confidence >= turn.state.settings.trust.answer and not heard.damaged
    if isinstance(understood, Command) and trusted:
        attention.heed(turn)
        commanding.obey(turn, understood, heard.text)
    elif isinstance(understood, Done) and trusted and turn.state.phase is Phase.BUSY:
        leave_done(turn, heard.text)
    elif isinstance(understood, Done) and trusted and turn.state.phase is Phase.MEND:
        turn.sound("heard")
        enter(turn)
    elif isinstance(understood, Done) and trusted:
        attention.called(turn)  # a wait is not done before its time: say what is left of it
    else:
        attention.let_pass(turn)


def _answer(turn: Turn, understood: Understood, heard: SpeechHeard) -> None:
    at = turn.state.step
    if isinstance(at, AskYesNo) and isinstance(understood, YesNo):
        answering.answer_yes_no(turn, at, understood, heard)
    elif isinstance(at, AskChoice) and isinstance(understood, Chosen):
        answering.answer_choice(turn, at, understood, heard)
    elif isinstance(at, AskValue) and isinstance(understood, Reading):
        answering.take_value(turn, at, understood, heard)
    elif isinstance(at, AskValue) and isinstance(understood, YesNo):
        answering.confirm_value(turn, at, understood, heard)
    else:
        raise TypeError(f"step {at.id} cannot be answered with {understood!r}")


def _quiet(turn: Turn) -> None:
    """Silence: remind once, then hold. Silence is never an answer; without a question, sleep."""
    state = turn.state
    if state.aside is not None:
        beside.quiet(turn)
    elif state.phase not in DECIDING:
        if attention.may_sleep(state) and not state.asleep:
            attention.fall_asleep(turn)
        else:
            turn.listen()
    elif state.reminded:
        commanding.hold(turn, because="quiet")
    else:
        turn.change(reminded=True)
        turn.say(lines.STILL_HERE, state.to_repeat)
        turn.listen_for_an_answer()


def _time_up(turn: Turn) -> None:
    if turn.state.aside is not None:
        turn.change(clock_ran_out=True)  # the ear is open, and stays so
    elif turn.state.phase is Phase.HOLD:
        turn.change(clock_ran_out=True)
        turn.listen()
    elif turn.state.phase is Phase.WAIT:
        leave_done(turn, None, lines.TIME_UP, early=False)


def _moment_came(turn: Turn, after_s: int) -> None:
    """Say what a wait has to say on its way; on hold, or beside something else, say nothing."""
    state = turn.state
    if state.phase is not Phase.WAIT or state.aside is not None or not isinstance(state.step, Wait):
        return
    turn.say(*(moment.say for moment in state.step.moments if moment.after_s == after_s))
    turn.listen()


def _remind(turn: Turn) -> None:
    """Say what a step says while it waits; on hold, or beside something else, say nothing."""
    state = turn.state
    if state.phase not in (Phase.BUSY, Phase.WAIT) or state.aside is not None:
        return
    turn.say(state.step.remind.say if state.step.remind else "")
    turn.listen()
