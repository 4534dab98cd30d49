"""How each step is asked, and what may be answered. Imports ``procedure`` and ``words``."""

from __future__ import annotations

from assistant.dialogue import lines
from assistant.dialogue.conditions import every_sentence
from assistant.dialogue.state import Detail, Phase, State
from assistant.procedure import flow
from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Choice,
    Judge,
    Look,
    Procedure,
    Step,
    Tell,
    Wait,
)
from assistant.weld.advice import FIRST
from assistant.weld.reasons import REASONS
from assistant.words import grammars
from assistant.words.numbers import in_words
from assistant.words.phrase import Grammar
from assistant.words.readback import spoken

COMMAND_PATIENCE_MS = 500
"""Silence that ends a word or two; values have patience of their own in the checklist."""


def prompt(state: State) -> str:
    """Return what is said when a step begins; an apprentice hears how and why at once."""
    step = state.step
    if state.settings.detail is Detail.APPRENTICE:
        return " ".join(filter(None, (step.say, step.how, step.why)))
    return step.say


MAY_SLEEP = (Phase.BUSY, Phase.MEND, Phase.WAIT)
"""Phases in which nobody is asked anything."""
WOKEN_S = 12
"""Silence after which Lapcall sleeps again once it was woken: a wake by mistake shall be short."""
HANDS_BUSY_S = 8
"""Silence after which it sleeps at a step that says that hands are busy from the start."""


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
    if state.asleep:
        return grammars.asleep()
    if state.aside is not None:
        return state.aside.grammar
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
            return grammars.confirm(step.unit, step.quantity)
        if phase is Phase.SECOND_WAY:
            return grammars.value_plainly(step.unit, step.quantity)
        return grammars.value(step.unit, step.quantity)
    return grammars.done()


def patience_for(state: State) -> int:
    """Return how much silence ends an utterance now, in milliseconds."""
    if state.aside is not None:
        return state.aside.patience_ms
    if state.phase is Phase.HOLD or state.finished:
        return COMMAND_PATIENCE_MS
    step = state.step
    if isinstance(step, AskValue) and state.phase in (Phase.ANSWER, Phase.SECOND_WAY):
        return step.patience_ms
    return COMMAND_PATIENCE_MS if not isinstance(step, AskValue) else 700


def quiet_s_for(state: State, *, deciding: bool) -> int | None:
    """Return the silence after which a question is asked again, or after which Lapcall sleeps."""
    if deciding:
        # What was asked beside a step is none of the step's questions.
        own = state.step.quiet_s if state.aside is None else None
        return own or state.settings.quiet_s
    awake_s = state.settings.awake_s
    if state.asleep or awake_s is None or state.phase not in MAY_SLEEP:
        return None
    if state.woken:
        return min(awake_s, WOKEN_S)
    step = state.step
    busy = isinstance(step, (Tell, Wait)) and step.hands_busy and state.phase is not Phase.MEND
    return min(awake_s, HANDS_BUSY_S) if busy else awake_s


def where(state: State) -> str:
    """Return the place in the procedure, in words."""
    title, place, of = place_in_words(state)
    return f"{spoken(title)} Step {place} of {of}."


def place_in_words(state: State) -> tuple[str, str, str]:
    """Return the procedure's title, which step this is and how many there are; none judge."""
    steps = [step for step in state.procedure.steps if not isinstance(step, (Judge, Look))]
    place = sum(1 for step in state.procedure.steps[: state.progress.at] if step in steps) + 1
    return state.procedure.title, in_words(min(place, len(steps))), in_words(len(steps))


def sentences(procedure: Procedure) -> tuple[str, ...]:
    """Return what a procedure can say, in order, so that it can be rendered ahead of need."""
    said = [text for step in procedure.steps for text in (step.say, step.how, step.why) if text]
    said += [one.say for step in procedure.steps if isinstance(step, Wait) for one in step.moments]
    said += [step.remind.say for step in procedure.steps if step.remind]
    turned = [instead for step in procedure.steps if (instead := flow.otherwise(step))]
    ends = [instead.cap.say for instead in turned if instead.cap]
    mends = [instead.say for instead in turned]
    fixed = [*lines.fixed(), *REASONS, *FIRST.values()]
    if any(isinstance(step, Look) for step in procedure.steps):
        fixed += every_sentence()
    return tuple(dict.fromkeys([*said, *fixed, *filter(None, (*mends, *ends))]))
