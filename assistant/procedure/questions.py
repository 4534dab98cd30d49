"""Builds the questions of a checklist: yes or no, one of several answers, a value.

Imported by ``steps``.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from assistant.procedure import turns
from assistant.procedure.fields import Fields, kind_of
from assistant.procedure.making import Making
from assistant.procedure.model import AskChoice, AskValue, AskYesNo, Choice, Otherwise, Step
from assistant.procedure.spoken import unhearable
from assistant.procedure.values import asked, end
from assistant.procedure.yaml_lines import Items, Scalar

LONGEST_PATIENCE = "10 s"
DEFAULT_PATIENCE_S = Fraction(6, 5)


def _yes_no(making: Making, question: str) -> Step:
    fields = making.fields
    hoped = fields.one_of("hoped", ("yes", "no"))
    otherwise = turns.otherwise(fields, making.lines, required=True) or Otherwise("", "again")
    return AskYesNo(say=question, hoped=hoped == "yes", otherwise=otherwise, **making.common)


def _choice(making: Making, question: str) -> Step:
    fields = making.fields
    making.lines["choices"] = fields.line("choices")
    inner = fields.inner("choices")
    if not inner:
        return AskChoice(say=question, **making.common)
    owners: dict[str, str] = {}
    choices = []
    for key in inner.mapping.entries:
        phrases = _phrases(inner, key, making.around.reserved)
        for phrase in phrases:
            if phrase in owners:
                both = f"'{phrase}' means both '{owners[phrase]}' and '{key}'"
                wrong = both if owners[phrase] != key else f"'{phrase}' stands here twice"
                inner.fault(key, wrong, "it once")
            owners[phrase] = key
        choices.append(Choice(key, phrases))
    if len(choices) < 2:
        fields.fault("choices", "a choice needs at least two answers", "two or more answers")
    return AskChoice(
        say=question,
        choices=tuple(choices),
        hoped=turns.hoped_answers(fields, tuple(choice.id for choice in choices)),
        otherwise=turns.otherwise(fields, making.lines, required=False),
        **making.common,
    )


def _phrases(inner: Fields, key: str, reserved: frozenset[str]) -> tuple[str, ...]:
    value = inner.value(key)
    example = f"{key}: [one way to say it, another way]"
    if not isinstance(value, Items) or not value.items:
        inner.fault(key, "the phrases that mean this answer are not a list", example)
        return ()
    phrases = []
    for item in value.items:
        if not isinstance(item, Scalar) or not isinstance(item.data, str):
            inner.faults.add(item.line, key, f"{kind_of(item)} is not a phrase", example)
        elif not item.misread:
            problem = unhearable(item.data, reserved)
            if problem:
                inner.faults.add(item.line, key, *problem)
            phrases.append(item.data)
    return tuple(phrases)


def _value(making: Making, question: str) -> Step:
    fields = making.fields
    what = asked(fields)
    making.lines["plausible"] = fields.line("plausible")
    patience = fields.seconds("patience", LONGEST_PATIENCE, required=False)
    patience_ms = 1000 * (patience or DEFAULT_PATIENCE_S)
    if patience_ms.denominator != 1:
        fields.fault("patience", "the time is finer than a thousandth of a second")
    hoped_from, hoped_to = turns.hoped_window(fields, what.unit, end)
    return AskValue(
        say=question,
        hoped_from=hoped_from,
        hoped_to=hoped_to,
        otherwise=turns.otherwise(fields, making.lines, required=False),
        unit=what.unit,
        quantity=what.quantity,
        plausible_from=what.window[0],
        plausible_to=what.window[1],
        patience_ms=int(patience_ms),
        called=what.called,
        **making.common,
    )


ANSWERS: dict[str, Callable[[Making, str], Step]] = {
    "yes-no": _yes_no,
    "choice": _choice,
    "value": _value,
}
