"""How each step is asked, and what may be answered. Imports ``procedure`` and ``words``."""

from __future__ import annotations

from assistant.dialogue import lines
from assistant.dialogue.state import Detail, Phase, State
from assistant.procedure.model import AskChoice, AskValue, AskYesNo, Choice, Judge, Procedure, Step
from assistant.weld.reasons import REASONS
from assistant.words import grammars
from assistant.words.numbers import in_words
from assistant.words.phrase import Grammar
from assistant.words.readback import spoken

COMMAND_PATIENCE_MS = 500
"""Silence that ends a word or two; values have patience of their own in the checklist."""


def prompt(state: State) -> str:
    """Return what is said when a step begins; an apprentice hears why at once."""
    step = state.step
    if state.settings.detail is Detail.APPRENTICE and step.why:
        return f"{step.say} {step.why}".strip()
    return step.say


def second_way(step: Step) -> str:
    """Return how to answer after two failures: another kind of words."""
    if isinstance(step, AskYesNo):
        return lines.SECOND_YES_NO
    if isinstance(step, AskChoice):
        return numbered_choices(step.choices)
    if isinstance(step, AskValue) and step.unit == "in":
        return lines.SECOND_WIDTH
    return lines.SECOND_NUMBER


def numbered_choices(choices: tuple[Choice, ...]) -> str:
    """Return the choices as a numbered list to listen to."""
    rows = (
        f"Number {in_words(place)}, {choice.said[0]}." for place, choice in enumerate(choices, 1)
    )
    return " ".join((lines.SECOND_CHOICE, *rows))


def grammar_for(state: State) -> Grammar:
    """Return what may be heard now."""
    if state.phase is Phase.HOLD:
        return grammars.on_hold()
    if state.phase is Phase.WAIT:
        return grammars.waiting()
    if state.phase in (Phase.BUSY, Phase.MEND, Phase.OVER) or state.finished:
        return grammars.done()
    return step_grammar(state.step, state.phase)


def step_grammar(step: Step, phase: Phase = Phase.ANSWER) -> Grammar:
    """Return the grammar of a step's answer, its second way, or its read-back."""
    if isinstance(step, AskYesNo):
        return grammars.yes_no()
    if isinstance(step, AskChoice):
        if phase is Phase.SECOND_WAY:
            return grammars.numbered(len(step.choices))
        return grammars.choice({choice.id: choice.said for choice in step.choices})
    if isinstance(step, AskValue):
        if phase is Phase.CONFIRM:
            return grammars.confirm(step.unit)
        if phase is Phase.SECOND_WAY:
            return grammars.value_plainly(step.unit)
        return grammars.value(step.unit)
    return grammars.done()


def patience_for(state: State) -> int:
    """Return how much silence ends an utterance now, in milliseconds."""
    if state.phase is Phase.HOLD or state.finished:
        return COMMAND_PATIENCE_MS
    step = state.step
    if isinstance(step, AskValue) and state.phase in (Phase.ANSWER, Phase.SECOND_WAY):
        return step.patience_ms
    return COMMAND_PATIENCE_MS if not isinstance(step, AskValue) else 700


def sayable(state: State) -> str:
    """Return, in one breath, what fits now."""
    by_phase = {
        Phase.BUSY: lines.SAYABLE_BUSY,
        Phase.MEND: lines.SAYABLE_BUSY,
        Phase.CONFIRM: lines.SAYABLE_CONFIRM,
        Phase.WAIT: lines.SAYABLE_WAIT,
        Phase.HOLD: lines.SAYABLE_HOLD,
    }
    if state.phase in by_phase:
        return by_phase[state.phase]
    step = state.step
    if state.phase is Phase.SECOND_WAY and not isinstance(step, AskYesNo):
        return second_way(step)
    if isinstance(step, AskChoice):
        return spoken("Say " + ", or ".join(choice.said[0] for choice in step.choices))
    return lines.SAYABLE_YES_NO if isinstance(step, AskYesNo) else lines.SAYABLE_VALUE


def where(state: State) -> str:
    """Return the place in the procedure, in words."""
    steps = [step for step in state.procedure.steps if not isinstance(step, Judge)]
    place = sum(1 for step in state.procedure.steps[: state.progress.at] if step in steps) + 1
    return (
        f"{spoken(state.procedure.title)} Step {in_words(min(place, len(steps)))} "
        f"of {in_words(len(steps))}."
    )


def sentences(procedure: Procedure) -> tuple[str, ...]:
    """Return what a procedure can say, in order, so that it can be rendered ahead of need."""
    said = [text for step in procedure.steps for text in (step.say, step.why) if text]
    ends = [step.on_fail_say for step in procedure.steps if isinstance(step, Judge)]
    mends = [step.otherwise.say for step in procedure.steps if isinstance(step, AskYesNo)]
    return tuple(dict.fromkeys([*said, *lines.fixed(), *REASONS, *mends, *filter(None, ends)]))
