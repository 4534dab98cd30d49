"""How long a checklist speaks, without a voice. Imports ``procedure`` and ``mouth.wording``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.mouth.wording import sentences
from assistant.procedure import flow
from assistant.procedure.model import Judge, Procedure, Step, Wait

BEGIN_S, LETTER_S, PAUSE_S = 0.29, 0.064, 0.375
"""Seconds for each sentence, each letter, and each comma, colon or semicolon. Fitted to 150 of our
own sentences as the usual voice says them at its usual 165 words a minute: 0.17 s off on the
average, 0.5 s at worst."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """One text of a step, with the key under which it stands."""

    key: str
    text: str


@dataclass(frozen=True, slots=True)
class StepTime:
    """How long one step takes to say."""

    step: str
    line: int
    say_s: float
    """What is said when it begins."""
    why_s: float
    """What an apprentice hears as well."""
    wait_s: int


def seconds(text: str) -> float:
    """Return about how long a text takes to say."""
    said = sentences(text)
    letters = sum(sign.isalpha() for sign in text)
    pauses = sum(sign in ",;:" for sign in text)
    return BEGIN_S * len(said) + LETTER_S * letters + PAUSE_S * pauses


def act_key(step: Step) -> str:
    """Return the key under which a step's own words stand."""
    names = {"Tell": "tell", "Warn": "warn", "Wait": "say", "Judge": "say", "Look": "say"}
    return names.get(type(step).__name__, "ask")


def texts(step: Step) -> Iterator[Spoken]:
    """Yield everything that a step can say."""
    yield Spoken(act_key(step), step.say)
    yield Spoken("why", step.why)
    yield Spoken("how", step.how)
    where = "on-fail" if isinstance(step, Judge) else "otherwise"
    instead = flow.otherwise(step)
    if instead:
        yield Spoken(f"{where}.say", instead.say)
        if instead.cap:
            yield Spoken(f"{where}.at-most.say", instead.cap.say)
    if step.remind:
        yield Spoken("remind.say", step.remind.say)
    if isinstance(step, Wait):
        for each in dict.fromkeys(moment.say for moment in step.moments):
            yield Spoken("meanwhile", each)


def step_times(procedure: Procedure) -> tuple[StepTime, ...]:
    """Return how long each step takes, in their order."""
    return tuple(
        StepTime(
            step.id,
            step.line,
            round(seconds(step.say), 1),
            round(seconds(step.why), 1),
            step.seconds if isinstance(step, Wait) else 0,
        )
        for step in procedure.steps
    )


def in_words(of_s: float) -> str:
    """Write a time for people: ``45 s``, ``2 min 5 s``, ``30 min``."""
    minutes, rest = divmod(round(of_s), 60)
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"
