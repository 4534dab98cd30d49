"""Taking record lines back: nothing is erased, a new line names the old one.

Imports ``turn`` only.
"""

from __future__ import annotations

from assistant.dialogue.events import StopClock
from assistant.dialogue.turn import Turn
from assistant.procedure.model import Wait
from assistant.record import kinds


def stop_clocks(turn: Turn) -> None:
    """Stop the clock of the step that is left, where it has one."""
    step = turn.state.step
    if isinstance(step, Wait) or step.remind:
        turn.actions.append(StopClock())


def take_back_to(turn: Turn, seq: int, said: str | None) -> None:
    """Write a ``taken-back`` line for each line that moved the run, latest first, to ``seq``.

    ``said`` are the words that asked for it, or None where a hedge calls for a plain width.
    """
    if not turn.state.finished:
        stop_clocks(turn)  # a running clock belongs to the step that is left
    while turn.state.progress.trail and turn.state.progress.trail[-1].seq >= seq:
        mark = turn.state.progress.trail[-1]
        step = turn.state.procedure.steps[mark.at]
        reason = kinds.HEDGE_DECIDES if said is None else kinds.ASKED
        turn.log(kinds.TAKEN_BACK, step=step.id, entry=mark.seq, said=said, reason=reason)


def take_back_step(turn: Turn, step_id: str, said: str | None) -> None:
    """Take back the latest answer of a step and everything after it."""
    place = turn.state.procedure.index(step_id)
    marks = [mark for mark in turn.state.progress.trail if mark.at == place]
    take_back_to(turn, marks[-1].seq, said)
