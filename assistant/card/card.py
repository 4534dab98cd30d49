"""The cue card of one checklist: its steps and what can be said at each, on one or two sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from assistant.procedure import flow
from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Judge,
    Look,
    Procedure,
    Step,
    Tell,
    Wait,
    Warn,
)
from assistant.words.commands import COMMANDS, DONE, YES_NO
from assistant.words.cue_card import MEASURED_EXAMPLES, PLACE_EXAMPLE, WIDTH_EXAMPLES
from assistant.words.marks import DEFECTS, HAPPENED, called_out
from assistant.words.meaning import Command

ANYTIME = (
    Command.STOP,
    Command.ATTENTION,
    Command.SAY_AGAIN,
    Command.SCRATCH_THAT,
    Command.GO_BACK,
    Command.HOLD,
    Command.CARRY_ON,
    Command.WHY,
    Command.WHAT_DID_YOU_HEAR,
    Command.WHERE_ARE_WE,
    Command.HOW_LONG,
    Command.WHAT_CAN_I_SAY,
    Command.MAKE_A_NOTE,
)
"""Commands on the card, the most needed first; ``lapcall cue-card`` prints all of them."""
NUMBERS = ("twelve", "one two")
MIDDLE_FROM, SMALL_FROM = 1400, 2600
"""Letters on the card from which print is smaller: 17, 14.5 and 12 points; tried on the set."""


@dataclass(frozen=True, slots=True)
class Row:
    """One step on the card."""

    kind: str
    """``warn``, ``ask``, ``do``, ``wait`` or ``result``: how it is drawn."""
    number: int
    text: str
    say: tuple[str, ...]
    """What can be said to it."""
    danger: tuple[str, ...]
    only_if: str
    else_: str
    """What to do when it does not go as hoped."""
    else_lead: str
    """When that is: ``If no``, ``If yes`` or ``Otherwise``."""


def rows(procedure: Procedure) -> tuple[Row, ...]:
    """Return the steps in their order; one that neither asks nor tells anything is left out."""
    found: list[Row] = []
    for step in procedure.steps:
        kind, text, say = _kind(step), _text(step), tuple(_sayable(step))
        if not text:
            continue
        instead = flow.otherwise(step)
        found.append(
            Row(
                kind,
                len(found) + 1,
                text,
                say,
                step.danger,
                _condition(step, procedure),
                instead.say if instead else "",
                _else_lead(step),
            )
        )
    return tuple(found)


def _kind(step: Step) -> str:
    if isinstance(step, Warn):
        return "warn"
    if isinstance(step, (Judge, Look)):
        return "result"
    if isinstance(step, Wait):
        return "wait"
    return "do" if isinstance(step, Tell) else "ask"


def _text(step: Step) -> str:
    if isinstance(step, Judge) and not step.say:
        return "Lapcall judges the strip."
    if isinstance(step, Look) and not step.say:
        told = {
            "conditions": "Lapcall tells what weather and supply call for.",
            "tests": "Lapcall tells whether a test is due.",
        }
        return told.get(step.of, "Lapcall tells which lengths are in question.")
    return step.say


def _sayable(step: Step) -> Sequence[str]:
    if isinstance(step, AskYesNo):
        return ("yes", "no")
    if isinstance(step, AskChoice):
        return [" / ".join(choice.said) for choice in step.choices]
    if isinstance(step, AskValue):
        return _values(step)
    if isinstance(step, Warn):
        return ("ready",)
    if isinstance(step, Wait):
        return ("carry on",)
    return ("done",) if isinstance(step, Tell) and step.until_done else ()


def _values(step: AskValue) -> Sequence[str]:
    if step.quantity:
        return (MEASURED_EXAMPLES[step.quantity],)
    return WIDTH_EXAMPLES[:2] if step.unit == "in" else NUMBERS


def _else_lead(step: Step) -> str:
    if isinstance(step, AskYesNo):
        return "If no" if step.hoped else "If yes"
    return "Unless it passes" if isinstance(step, Judge) else "Otherwise"


def _condition(step: Step, procedure: Procedure) -> str:
    """Return in words when a step is asked at all."""
    if step.only_if is None:
        return ""
    of, *answers = step.only_if
    question = procedure.steps[procedure.index(of)]
    named = {choice.id: choice.said[0] for choice in getattr(question, "choices", ())}
    told = " or ".join(named.get(answer, answer) for answer in answers)
    return f"Only after {told} to: {question.say or question.id}"


def anytime() -> list[str]:
    """Return what can be said at any time, with the first way to say each."""
    return [next(text for text, what in COMMANDS.items() if what is each) for each in ANYTIME]


def card(procedure: Procedure) -> str:
    """Return the page, with all that it needs inside."""
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    steps = rows(procedure)
    return environment.get_template("card.html").render(
        procedure=procedure,
        rows=steps,
        size=_size(steps),
        anytime=anytime(),
        yes=[text for text, answer in YES_NO.items() if answer.yes],
        no=[text for text, answer in YES_NO.items() if not answer.yes],
        done=list(DONE),
        marks=[called_out(what) for what in DEFECTS],
        place=PLACE_EXAMPLE,
        happened=list(HAPPENED),
        widths=WIDTH_EXAMPLES[:6] if any(_is_width(step) for step in procedure.steps) else (),
    )


def _size(steps: Sequence[Row]) -> str:
    """Return the size of print with which one or two sheets hold the steps."""
    signs = sum(len(row.text) + len(row.only_if) + len(row.else_) + 40 for row in steps)
    if signs > SMALL_FROM:
        return "small"
    return "middle" if signs > MIDDLE_FROM else "large"


def _is_width(step: Step) -> bool:
    return isinstance(step, AskValue) and step.unit == "in"
