"""What was done earlier in this shift and is not asked twice. Imports ``today`` and ``procedure``.

The same step is one of the same kind with the same id and the same words, in whatever checklist.
Its line holds a mark of these, so that the lines alone tell. That a step is passed over is a line
too, which holds the earlier answer: a resume needs nothing but that.
"""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256

from assistant.dialogue.progress import ONCE
from assistant.dialogue.today import Today, Told
from assistant.procedure import flow
from assistant.procedure.model import Step
from assistant.record import kinds


def mark_of(step: Step) -> str:
    """Return by what a step is known again: sixteen hex digits of its kind, id and words."""
    return sha256(f"{type(step).__name__} {step.id} {step.say}".encode()).hexdigest()[:16]


def marked(step: Step, kind: str, fields: Mapping[str, object]) -> Mapping[str, object]:
    """Return the fields of a line with the mark of its step, where that is done once a shift."""
    done = kind in (kinds.DONE, kinds.ANSWERED) and fields.get("step") == step.id
    if not (done and step.once) or fields.get("act") == ONCE:
        return fields
    return {**fields, "once": mark_of(step)}


def done_before(today: Today, step: Step) -> Mapping[str, object] | None:
    """Return the fields of the line that passes over ``step``; None when it must be asked."""
    if not step.once:
        return None
    mark = mark_of(step)
    for line in reversed(today.standing()):
        if line.fields.get("once") == mark and _leads_on(line, step):
            carried = dict(line.fields) if line.kind == kinds.ANSWERED else None
            return {"act": ONCE, "said": None, "entry": line.seq, "carried": carried}
    return None


def _leads_on(line: Told, step: Step) -> bool:
    """Tell whether the work went on from this line, and was not led back."""
    return not flow.turns_back(step, flow.came_of(step, line.fields))
