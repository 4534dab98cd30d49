"""What was done earlier in this shift and is not asked twice. Imports ``today`` and ``procedure``.

The same step is one with the same id and the same words, in whatever checklist. That it is passed
over is a line of the run, which holds the earlier answer: a resume needs nothing but that line.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.dialogue.progress import ONCE
from assistant.dialogue.today import Today, Told
from assistant.procedure import flow
from assistant.procedure.model import Procedure, Step
from assistant.record import kinds


def done_before(today: Today, step: Step) -> Mapping[str, object] | None:
    """Return the fields of the line that passes over ``step``; None when it must be asked."""
    if not step.once:
        return None
    for line in reversed(today.standing()):
        if line.fields.get("step") == step.id and _leads_on(today.checklist(line.run), line, step):
            carried = dict(line.fields) if line.kind == kinds.ANSWERED else None
            return {"act": ONCE, "said": None, "entry": line.seq, "carried": carried}
    return None


def _leads_on(checklist: Procedure | None, line: Told, step: Step) -> bool:
    """Tell whether this line did ``step`` itself, in a way that the work went on from there."""
    then = (
        next((each for each in checklist.steps if each.id == step.id), None) if checklist else None
    )
    if then is None or then.say != step.say or type(then) is not type(step):
        return False
    if line.kind == kinds.DONE:
        return line.fields.get("act") != ONCE
    if line.kind != kinds.ANSWERED:
        return False
    return not flow.turns_back(step, flow.came_of(step, line.fields))
