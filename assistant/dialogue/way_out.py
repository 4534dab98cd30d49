"""The end of a loop that was gone round often enough. Imports ``turn`` and ``procedure``."""

from __future__ import annotations

from assistant.dialogue.turn import Turn
from assistant.procedure import flow
from assistant.procedure.model import Cap, Step
from assistant.record import kinds


def cap_now(turn: Turn, step: Step, came: str | None) -> Cap | None:
    """Return the way out that ``came`` leads to now; asked before its line is written."""
    counted = turn.state.progress.turned_back.get(step.id, 0)
    return flow.cap_reached(step, came, counted)


def take_way_out(turn: Turn, cap: Cap) -> bool:
    """Say that it was tried often enough; False when the run stops with it."""
    if cap.then == flow.STOP:
        turn.log(kinds.STOPPED, step=turn.state.step_id, said=None, because="at-most")
        turn.say(cap.say)
        turn.finish(ended=False)
        return False
    turn.say(cap.say)
    return True
