"""What each command does. Imports the modules of ``dialogue``."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue import attention, helping, last_test, lines, notes, telling
from assistant.dialogue.aside import ChangeAside
from assistant.dialogue.coming_back import come_back, wait_again
from assistant.dialogue.prompts import where
from assistant.dialogue.state import Phase, State
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
    elif command in _DOES:
        _DOES[command](turn, said)
    else:
        if command is Command.WHAT_CAN_I_SAY:
            turn.state = helping.help_asked(turn.state)
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
        return _why(state)
    if command is Command.HOW:
        return (state.step.how if state.aside is None else "") or lines.NO_HOW
    if command is Command.HOW_MANY_TODAY:
        return telling.how_many(state.today, turn.now)
    if command is Command.READ_THE_LAST_TEST:
        return telling.last_test(state.today, turn.now)
    if command is Command.WHAT_DID_YOU_HEAR:
        return spoken(f"I heard: {state.last_heard}") if state.last_heard else lines.HEARD_NOTHING
    if command is Command.WHERE_ARE_WE:
        return f"{where(state)} {state.step.say}"
    return helping.help_now(state)


def _why(state: State) -> str:
    if state.aside is not None:
        return lines.WHY_CHANGE if isinstance(state.aside, ChangeAside) else lines.WHY_MARK
    return state.step.why or lines.NO_WHY


def _change_the_last_test(turn: Turn, said: str) -> None:
    """Begin a change, on top of whatever is open; of changes there is only one at a time."""
    if any(isinstance(aside, ChangeAside) for aside in turn.state.asides):
        turn.say(lines.FINISH_THAT_FIRST, turn.state.to_repeat)
        turn.listen_for_an_answer()
    else:
        last_test.begin(turn, said)


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
    if state.held_from is Phase.WAIT and state.clock_ran_out and not state.asides:
        leave_done(turn, None, lines.TIME_UP, early=False)
        return
    turn.sound("heard")
    turn.say(state.to_repeat)
    turn.listen()


def _carry_on_unheld(turn: Turn, said: str) -> None:
    if turn.state.asides:
        turn.say(lines.NEED_ANSWER, turn.state.to_repeat)
        turn.listen()
    elif turn.state.phase is Phase.WAIT:
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
    if turn.state.asides or turn.state.pending is not None:
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
    """Drop a read-back, else take back what was said last: a mark, or an answer, asked again."""
    if turn.state.asides or turn.state.pending is not None:
        _drop(turn)
        return
    beside = turn.state.today.beside_since_answer()
    if beside is not None:
        step = turn.state.step_id
        why = kinds.ASKED
        turn.log(
            kinds.TAKEN_BACK, step=step, entry=beside.seq, said=said, reason=why, of=beside.kind
        )
        turn.sound("heard")
        turn.say(lines.TAKEN_BACK)
        wait_again(turn)
        return
    answered = [mark for mark in turn.state.progress.trail if mark.kind == kinds.ANSWERED]
    if not answered:
        turn.say(lines.NOTHING_TAKEN)
        turn.listen()
        return
    _take_back_from(turn, answered[-1].seq, said)


def _drop(turn: Turn) -> None:
    if turn.state.asides:
        turn.say(lines.TAKEN_BACK)
        come_back(turn)
        return
    turn.change(pending=None, tries=(), reminded=False)
    turn.sound("heard")
    turn.say(lines.TAKEN_BACK)
    enter(turn)


def _take_back_from(turn: Turn, seq: int, said: str | None) -> None:
    take_back_to(turn, seq, said)
    turn.sound("heard")
    turn.say(lines.TAKEN_BACK)
    go_on(turn)


_DOES: dict[Command, Callable[[Turn, str], None]] = {
    Command.CARRY_ON: _carry_on_unheld,
    Command.GO_BACK: _go_back,
    Command.SCRATCH_THAT: _scratch_that,
    Command.MAKE_A_NOTE: lambda turn, _: notes.begin(turn),
    Command.CHANGE_THE_LAST_TEST: _change_the_last_test,
}
"""Commands that change something and need nothing but the words they were said in."""
