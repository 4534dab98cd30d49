"""What each command does. Imports the modules of ``dialogue``."""

from __future__ import annotations

from assistant.dialogue import attention, lines
from assistant.dialogue.prompts import sayable, where
from assistant.dialogue.state import Phase
from assistant.dialogue.steps import enter, go_on, leave_done
from assistant.dialogue.taking_back import take_back_to
from assistant.dialogue.turn import Turn
from assistant.record import kinds
from assistant.words.meaning import Command
from assistant.words.readback import spoken


def obey(turn: Turn, command: Command, said: str) -> None:
    """Do what a command asks."""
    if command is Command.STOP:
        stop(turn, said)
    elif command is Command.ATTENTION:
        attention.called(turn)
    elif turn.state.phase is Phase.HOLD:
        if command is Command.CARRY_ON:
            _carry_on(turn, said)
        else:
            turn.listen()
    elif command is Command.GO_TO_SLEEP and attention.may_sleep(turn.state):
        attention.fall_asleep(turn)
    elif command in (Command.HOLD, Command.GO_TO_SLEEP):
        hold(turn, because="asked")
    elif command is Command.CARRY_ON:
        _carry_on_unheld(turn, said)
    elif command is Command.GO_BACK:
        _go_back(turn, said)
    elif command is Command.SCRATCH_THAT:
        _scratch_that(turn, said)
    else:
        turn.say(_told(turn, command))
        turn.listen()


def _told(turn: Turn, command: Command) -> str:
    """Return the answer to a command that changes nothing."""
    state = turn.state
    if command is Command.SAY_AGAIN:
        return state.to_repeat
    if command is Command.HOW_LONG:
        return attention.how_long(turn)
    if command is Command.WHY:
        return state.step.why or lines.NO_WHY
    if command is Command.WHAT_DID_YOU_HEAR:
        return spoken(f"I heard: {state.last_heard}") if state.last_heard else lines.HEARD_NOTHING
    if command is Command.WHERE_ARE_WE:
        return f"{where(state)} {state.step.say}"
    return sayable(state)


def stop(turn: Turn, said: str | None, tell: str = lines.STOPPED) -> None:
    """End at once: the line first, then a sentence, then silence."""
    turn.log(kinds.STOPPED, step=turn.state.step_id, said=said)
    turn.say(tell)
    turn.finish(ended=False)


def hold(turn: Turn, *, because: str) -> None:
    """Wait for "carry on" and hear nothing else but "stop"."""
    turn.log(kinds.HELD, step=turn.state.step_id, because=because)
    turn.change(held_from=turn.state.phase, phase=Phase.HOLD)
    turn.say(lines.HOLDING if because == "asked" else lines.WILL_WAIT)
    turn.listen()


def _carry_on(turn: Turn, said: str) -> None:
    state = turn.state
    turn.log(kinds.CARRIED_ON, step=turn.state.step_id, said=said)
    turn.change(phase=state.held_from, reminded=False)
    if state.held_from is Phase.WAIT and state.clock_ran_out:
        leave_done(turn, None, lines.TIME_UP, early=False)
        return
    turn.sound("heard")
    turn.say(state.to_repeat)
    turn.listen()


def _carry_on_unheld(turn: Turn, said: str) -> None:
    if turn.state.phase is Phase.WAIT:
        leave_done(turn, said, lines.NO_CLOCK_ENDED, early=True)
    elif turn.state.phase is Phase.BUSY:
        leave_done(turn, said)
    elif turn.state.phase is Phase.MEND:
        turn.sound("heard")
        enter(turn)
    else:
        turn.say(lines.NEED_ANSWER, turn.state.to_repeat)
        turn.listen()


def _go_back(turn: Turn, said: str) -> None:
    """Leave a read-back for the question, else return to the step before.

    From a mend that is the question itself: its answer is the last that moved the run.
    """
    if turn.state.pending is not None:
        _drop(turn)
        return
    trail = turn.state.progress.trail
    waited_for = [mark for mark in trail if not mark.by_itself]
    if not waited_for:
        turn.say(lines.NOTHING_BACK, turn.state.last_said)
        turn.listen()
        return
    _take_back_from(turn, waited_for[-1].seq, said)


def _scratch_that(turn: Turn, said: str) -> None:
    """Drop a read-back, else take back the last answer and ask for it again."""
    if turn.state.pending is not None:
        _drop(turn)
        return
    answered = [mark for mark in turn.state.progress.trail if mark.kind == kinds.ANSWERED]
    if not answered:
        turn.say(lines.NOTHING_TAKEN)
        turn.listen()
        return
    _take_back_from(turn, answered[-1].seq, said)


def _drop(turn: Turn) -> None:
    turn.change(pending=None, tries=(), reminded=False)
    turn.sound("heard")
    turn.say(lines.TAKEN_BACK)
    enter(turn)


def _take_back_from(turn: Turn, seq: int, said: str | None) -> None:
    take_back_to(turn, seq, said)
    turn.sound("heard")
    turn.say(lines.TAKEN_BACK)
    go_on(turn)
