"""How a value is read back: in which form, and with which question.

Imports the modules of ``dialogue`` and ``words``. Pure; no setting takes a confirmation away.
"""

from __future__ import annotations

from assistant.dialogue import lines
from assistant.dialogue.state import Detail, State
from assistant.procedure.model import AskValue, Judge, Procedure
from assistant.words import grammars
from assistant.words.meaning import Measure
from assistant.words.readback import Window, spoken, two_forms
from assistant.words.readback import read_back as in_form


def read_back(state: State, step: AskValue, measure: Measure, *, again: bool = False) -> str:
    """Return a value and the question whether it is right.

    ``again``: the welder said the same value into its read-back. That is no yes, since an ear that
    errs may err alike twice, so the question tells what would be one.
    """
    called = "" if step.called == "width" else f"{step.called} "
    return f"{spoken(called + _value(state, step, measure))} {_question(state, again=again)}"


def _value(state: State, step: AskValue, measure: Measure) -> str:
    """Return the value in one form or two; an apprentice always hears both."""
    if state.settings.detail is Detail.APPRENTICE:
        return two_forms(measure)
    return in_form(
        measure, grammars.value(step.unit, step.quantity), window_of(state.procedure, step.id)
    )


def _question(state: State, *, again: bool) -> str:
    if again:
        return lines.YES_OR_NO
    return lines.RIGHT if state.settings.detail is Detail.BRIEF else lines.IS_THAT_RIGHT


def window_of(procedure: Procedure, step_id: str) -> Window | None:
    """Return between which values a step's answer passes, or None where no verdict rests on it."""
    for step in procedure.steps:
        if isinstance(step, Judge) and step_id in (step.width, step.solid):
            limits = step.limits
            return Window(limits.least_in, limits.most_in, limits.rule_step_in)
    return None
