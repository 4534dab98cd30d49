"""What can be said now, in one breath; asked again at the same place, what else can be said.

Imports the modules of ``dialogue``. The answers that fit come first, then the two or three commands
that are wanted most there.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import lines
from assistant.dialogue.aside import Aside, ChangeAside, MarkAside
from assistant.dialogue.prompts import second_way
from assistant.dialogue.state import Phase, State
from assistant.procedure.model import AskChoice, AskYesNo
from assistant.words.readback import spoken

_BY_PHASE = {
    Phase.BUSY: lines.SAYABLE_BUSY,
    Phase.MEND: lines.SAYABLE_BUSY,
    Phase.CONFIRM: lines.SAYABLE_CONFIRM,
    Phase.WAIT: lines.SAYABLE_WAIT,
    Phase.HOLD: lines.SAYABLE_HOLD,
}
_MORE = (lines.SAYABLE_BESIDE, lines.SAYABLE_MORE)


def help_asked(state: State) -> State:
    """Return the state with one more question for help counted at this place."""
    place = f"{state.step_id} {state.phase.name} {state.to_repeat}"
    before = state.helped[1] if state.helped[0] == place else 0
    return replace(state, helped=(place, before + 1))


def help_now(state: State) -> str:
    """Return the help that is due: what fits, then page by page what else, then again what fits."""
    page = (state.helped[1] - 1) % (len(_MORE) + 1)
    return _MORE[page - 1] if page else sayable(state)


def sayable(state: State) -> str:
    """Return, in one breath, what fits now."""
    if state.aside is not None:
        return _beside(state.aside)
    if state.phase in _BY_PHASE:
        return _BY_PHASE[state.phase]
    step = state.step
    if state.phase is Phase.SECOND_WAY and not isinstance(step, AskYesNo):
        return second_way(step)
    if isinstance(step, AskChoice):
        choices = spoken("say " + ", or ".join(choice.said[0] for choice in step.choices))
        return f"{choices} {lines.SAYABLE_TOO}"
    return lines.SAYABLE_YES_NO if isinstance(step, AskYesNo) else lines.SAYABLE_VALUE


def _beside(aside: Aside) -> str:
    if isinstance(aside, MarkAside):
        return lines.SAYABLE_CONFIRM_MARK if aside.place else lines.SAYABLE_MARK
    if isinstance(aside, ChangeAside) and aside.value is not None:
        return lines.SAYABLE_CONFIRM
    return f"{aside.ask} {lines.SAYABLE_LEAVE}"
