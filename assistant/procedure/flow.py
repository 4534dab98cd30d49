"""Where a run goes from a step, decided from what its record line holds and from nothing else.

Imports ``model`` and ``weld``; used by ``paths`` and by ``dialogue``. A line alone must be enough,
for a run that was broken off is found again from its lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Cap,
    Judge,
    Look,
    Otherwise,
    Procedure,
    Step,
)
from assistant.weld.verdict import PASSING

AGAIN, GO_ON, END, STOP = "again", "go-on", "end", "stop"
"""What may stand under ``then`` beside the id of a step."""
YES, NO = "yes", "no"
PASS, FAIL = "pass", "fail"
INSIDE, OUTSIDE = "inside", "outside"

Fields = Mapping[str, object]
_PASSING = {outcome.value for outcome in PASSING}


def may_come_of(step: Step) -> tuple[str, ...]:
    """Return what can come of a step, as ``only-if`` names it; nothing of one that only tells."""
    if isinstance(step, (AskYesNo, Look)):
        return (YES, NO)
    if isinstance(step, AskChoice):
        return tuple(choice.id for choice in step.choices)
    if isinstance(step, Judge):
        return (PASS, FAIL)
    if isinstance(step, AskValue) and step.otherwise:
        return (INSIDE, OUTSIDE)
    return ()


def came_of(step: Step, fields: Fields) -> str | None:
    """Return what came of a step by the fields of its line; None where nothing does."""
    if isinstance(step, Judge):
        return PASS if fields.get("outcome") in _PASSING else FAIL
    answer = fields.get("answer")
    if answer is None or not may_come_of(step):
        return None
    if isinstance(step, AskValue):
        return INSIDE if _inside(step, Fraction(str(answer))) else OUTSIDE
    return str(answer)


def _inside(step: AskValue, value: Fraction) -> bool:
    above = step.hoped_from is None or value >= step.hoped_from
    return above and (step.hoped_to is None or value <= step.hoped_to)


def hoped(step: Step, came: str | None) -> bool:
    """Tell whether the work simply goes on behind ``came``."""
    if isinstance(step, AskYesNo):
        return came == (YES if step.hoped else NO)
    if isinstance(step, AskChoice):
        return not step.hoped or came in step.hoped
    if isinstance(step, AskValue):
        return came in (None, INSIDE)
    return not (isinstance(step, Judge) and came == FAIL)


def otherwise(step: Step) -> Otherwise | None:
    """Return what a step says and does when it does not simply go on."""
    if isinstance(step, (AskYesNo, AskChoice, AskValue)):
        return step.otherwise
    if isinstance(step, Judge) and step.on_fail:
        return Otherwise(step.on_fail_say, step.on_fail, step.cap)
    return None


def cap_reached(step: Step, came: str | None, turned_back: int) -> Cap | None:
    """Return the way out, where a step that turned back so often may not do so again."""
    instead = otherwise(step)
    if hoped(step, came) or instead is None or instead.cap is None:
        return None
    return instead.cap if turned_back + 1 >= instead.cap.times else None


def turns_back(step: Step, came: str | None) -> bool:
    """Tell whether ``came`` leads to this step again or to an earlier one, caps aside."""
    instead = otherwise(step)
    return not hoped(step, came) and instead is not None and instead.then != GO_ON


def next_place(procedure: Procedure, place: int, came: str | None, turned_back: int = 0) -> int:
    """Return the place behind a step; as many as there are steps at the end."""
    step = procedure.steps[place]
    if not turns_back(step, came):
        return place + 1
    cap = cap_reached(step, came, turned_back)
    if cap is None or cap.then == STOP:
        return _back(procedure, place, step)
    if cap.then == END:
        return len(procedure.steps)
    return place + 1 if cap.then == GO_ON else procedure.index(cap.then)


def _back(procedure: Procedure, place: int, step: Step) -> int:
    instead = otherwise(step)
    if instead is None or instead.then == AGAIN:
        return place
    return procedure.index(instead.then)
