"""Crews for walking checklists: all goes well, nothing does, or nobody is heard."""

from __future__ import annotations

from collections.abc import Callable

from support.seam import GOOD_STRIP, MILD_START
from support.talk import Talk

from assistant.dialogue.state import Phase
from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Procedure,
    Step,
    Warn,
)
from assistant.record import kinds

MOST_TURNS = 600
MOST_ANSWERS_TO_ONE = 6
"""A question that was answered so often is one at which the work is held."""
NOISE = "mumble"
_BAD = {"failure": "clean peel", "width": "three quarters", "heat-marks": "burn"}

Answer = Callable[[Step, int], str]
"""What is said at a question, given how often it was answered before."""


def wished(step: Step) -> str:
    """Return the answer with which the work goes on."""
    known = {**GOOD_STRIP, **MILD_START, "solid": "inch and an eighth"}
    if isinstance(step, AskYesNo):
        return "yes" if step.hoped else "no"
    if isinstance(step, AskChoice):
        wanted = step.hoped[0] if step.hoped else step.choices[0].id
        phrases = {choice.id: choice.said[0] for choice in step.choices}
        return known.get(step.id, phrases[wanted])
    return known[step.id]


def unwished(step: Step) -> str:
    """Return an answer with which the work does not simply go on, where there is one."""
    if isinstance(step, AskYesNo):
        return "no" if step.hoped else "yes"
    if isinstance(step, AskChoice) and step.id not in _BAD:
        others = [choice for choice in step.choices if choice.id not in step.hoped]
        return others[-1].said[-1] if others else wished(step)
    return _BAD.get(step.id, "") or wished(step)


def all_well(step: Step, _before: int) -> str:
    """Answer as hoped."""
    return wished(step)


def nothing_well(step: Step, _before: int) -> str:
    """Never answer as hoped."""
    return unwished(step)


def mended_once(step: Step, before: int) -> str:
    """Answer otherwise than hoped first, and as hoped from then on."""
    return wished(step) if before else unwished(step)


def mended_where_asked_again(step: Step, before: int) -> str:
    """Mend only what is asked again at once; what leads elsewhere never goes well."""
    again = isinstance(step, AskYesNo) and step.otherwise.then == "again"
    return mended_once(step, before) if again else unwished(step)


def never_heard(_step: Step, _before: int) -> str:
    """Say nothing that could be an answer."""
    return NOISE


def worked(procedure: Procedure, answer: Answer, choices: dict[str, str] | None = None) -> Talk:
    """Walk a checklist until it ends or is held; ``choices`` fixes some of the answers."""
    talk, times = Talk(procedure), {}
    for _ in range(MOST_TURNS):
        if talk.finished or held(talk):
            return talk
        step = talk.state.step
        if talk.phase is Phase.WAIT:
            talk.time_up()
        elif talk.phase is Phase.HOLD:
            talk.hear("carry on")
        elif talk.phase is Phase.CONFIRM:
            talk.hear("yes")
        elif talk.phase in (Phase.BUSY, Phase.MEND):
            talk.hear("ready")
        else:
            before = times.get(step.id, 0)
            times[step.id] = before + 1
            talk.hear((choices or {}).get(step.id) or answer(step, before))
    raise AssertionError(f"{procedure.id} goes round for ever; it stands at {talk.at}")


def held(talk: Talk) -> bool:
    """Tell whether the same question was answered so often that only another answer leads on."""
    last = [line.fields.get("step") for line in talk.lines[-MOST_ANSWERS_TO_ONE:]]
    kinds_of = {line.kind for line in talk.lines[-MOST_ANSWERS_TO_ONE:]}
    return (
        len(last) == MOST_ANSWERS_TO_ONE and set(last) == {talk.at} and kinds_of == {kinds.ANSWERED}
    )


def asked_of(procedure: Procedure) -> list[AskYesNo | AskChoice | AskValue]:
    """Return the questions of a checklist."""
    return [each for each in procedure.steps if isinstance(each, AskYesNo | AskChoice | AskValue)]


def uncautioned(talk: Talk) -> list[str]:
    """Return the steps that were reached before a caution for each of their dangers was spoken."""
    steps = {step.id: step for step in talk.procedure.steps}
    known: set[str] = set()
    missing = []
    reached = [str(line.fields["step"]) for line in talk.lines if line.fields.get("step")]
    for name in [*reached, *([talk.at] if talk.at else [])]:
        step = steps[name]
        if isinstance(step, Warn):
            known |= set(step.danger)
        elif not set(step.danger) <= known:
            missing.append(name)
    return missing
