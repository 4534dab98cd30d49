"""Builds the typed steps of a checklist, one function for each kind.

Imported by ``loader``. What a step says about other steps is checked by ``references``, once all
are known.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypedDict

from assistant.procedure import turns
from assistant.procedure.conditions import Conditions
from assistant.procedure.faults import Faults
from assistant.procedure.fields import Fields, kind_of, nearest
from assistant.procedure.looks import look
from assistant.procedure.model import (
    DANGERS,
    AskChoice,
    AskValue,
    AskYesNo,
    Choice,
    Judge,
    Look,
    Otherwise,
    Remind,
    Step,
    Tell,
    Wait,
    Warn,
)
from assistant.procedure.spoken import unhearable
from assistant.procedure.values import asked, end
from assistant.procedure.waits import clock_time, moments
from assistant.procedure.yaml_lines import Items, Mapping, Scalar, Value
from assistant.weld.limits import WidthLimits

ACTS = ("tell", "warn", "ask", "wait", "judge", "look")
RESERVED_IDS = ("again", "go-on", "end", "stop")
LONGEST_WAIT = "12 h"
LONGEST_PATIENCE = "10 s"
LONGEST_QUIET = "10 min"
DEFAULT_PATIENCE_S = Fraction(6, 5)


@dataclass(frozen=True, slots=True)
class Draft:
    """A step, and the lines of the keys in it that name other steps or must fit them."""

    step: Step
    lines: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Around:
    """What a step must know of the file around it."""

    limits: WidthLimits
    reserved: frozenset[str]
    """Phrases that no choice may use."""
    conditions: Conditions = field(default_factory=Conditions)
    """What the job says of weather and supply."""


class _Common(TypedDict):
    id: str
    line: int
    why: str
    only_if: tuple[str, ...] | None
    once: bool
    remind: Remind | None
    file: str
    quiet_s: int | None
    danger: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Making:
    """A step while it is built."""

    fields: Fields
    common: _Common
    lines: dict[str, int]
    around: Around


def draft(value: Value, around: Around, faults: Faults) -> Draft | None:
    """Build one step; None when it is not even known of which kind it is."""
    if not isinstance(value, Mapping):
        wrong = f"{kind_of(value)} stands where a step belongs"
        faults.add(value.line, "steps", wrong, "- id: and below it the keys of the step")
        return None
    fields = Fields(value, faults, "this step")
    acts = [act for act in ACTS if fields.has(act)]
    if len(acts) != 1:
        _report_acts(fields, acts)
        return None
    common, lines = _common(fields)
    fields.what = f"{'an' if acts[0] == 'ask' else 'a'} {acts[0]} step"
    built = _BUILDERS[acts[0]](_Making(fields, common, lines, around))
    fields.close()
    return Draft(built, lines) if built else None


def _report_acts(fields: Fields, acts: list[str]) -> None:
    if acts:
        wrong = f"a step does one thing, and this one has {' and '.join(acts)}"
        fields.fault(acts[1], wrong, "two steps")
        return
    for key in fields.mapping.entries:
        meant = nearest(key, ACTS)
        if meant and key not in ("id", "why", "only-if", "danger", "once", "remind"):
            fields.fault(key, "this step has no such key", meant)
            return
    one_of = "one of tell:, warn:, ask:, wait:, judge: or look: with its words"
    fields.faults.add(fields.mapping.line, "", "this step does not say what it does", one_of)


def _common(fields: Fields) -> tuple[_Common, dict[str, int]]:
    name = fields.name("id")
    if name in RESERVED_IDS:
        fields.fault("id", f"'{name}' already means something under 'then'", "another name")
    lines = {"id": fields.line("id")}
    return (
        _Common(
            id=name,
            line=fields.mapping.line,
            why=fields.spoken("why", required=False),
            only_if=turns.only_if(fields, lines),
            once=turns.once(fields),
            remind=turns.remind(fields),
            file=fields.faults.file,
            quiet_s=None,
            danger=fields.some_of("danger", DANGERS),
        ),
        lines,
    )


def _tell(making: _Making) -> Step:
    fields = making.fields
    until = fields.one_of("until", ("done",), required=False)
    busy = bool(fields.one_of("hands", ("busy",), required=False))
    if busy and not until:
        fields.fault("hands", "a step that waits for nobody is over at once", "until: done as well")
    say = fields.spoken("tell")
    return Tell(say=say, until_done=bool(until), hands_busy=busy, **making.common)


def _warn(making: _Making) -> Step:
    return Warn(say=making.fields.spoken("warn"), **making.common)


def _wait(making: _Making) -> Step:
    fields = making.fields
    until, seconds = clock_time(fields), 0
    if not until:
        seconds = fields.whole_seconds("wait", LONGEST_WAIT) or 0
    say, said_on_the_way = fields.spoken("say"), moments(fields, seconds)
    busy = bool(fields.one_of("hands", ("busy",), required=False))
    return Wait(
        say=say,
        seconds=seconds,
        until=until,
        moments=said_on_the_way,
        hands_busy=busy,
        **making.common,
    )


def _ask(making: _Making) -> Step | None:
    fields = making.fields
    question = fields.spoken("ask")
    making.common["quiet_s"] = fields.whole_seconds("quiet", LONGEST_QUIET, required=False)
    answer = fields.one_of("answer", tuple(_ANSWERS))
    if not answer:
        # Which keys belong here is not known, so none is called unknown.
        fields.asked.extend(fields.mapping.entries)
        return None
    fields.what = f"a question with answer: {answer}"
    return _ANSWERS[answer](making, question)


def _yes_no(making: _Making, question: str) -> Step:
    fields = making.fields
    hoped = fields.one_of("hoped", ("yes", "no"))
    otherwise = turns.otherwise(fields, making.lines, required=True) or Otherwise("", "again")
    return AskYesNo(say=question, hoped=hoped == "yes", otherwise=otherwise, **making.common)


def _choice(making: _Making, question: str) -> Step:
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


def _value(making: _Making, question: str) -> Step:
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


def _judge(making: _Making) -> Step:
    fields = making.fields
    parts = {"width": "", "mode": "", "solid": "", "heat": "", "pull": ""}
    inner = fields.inner("judge")
    if inner:
        for part in parts:
            parts[part] = inner.text(part, required=part in ("width", "mode"))
            making.lines[part] = inner.line(part)
        inner.close()
    go_to, say, cap = "", "", None
    fail = fields.inner("on-fail")
    if fail:
        go_to, say = fail.name("go-to"), fail.spoken("say")
        making.lines["go-to"] = fail.line("go-to")
        cap = turns.at_most(fail, making.lines)
        fail.close()
    return Judge(
        say=fields.spoken("say", required=False),
        limits=making.around.limits,
        on_fail=go_to,
        on_fail_say=say,
        cap=cap,
        **parts,
        **making.common,
    )


def _look(making: _Making) -> Step:
    say = making.fields.spoken("say", required=False)
    of, limits, gun = look(making.fields, making.around.conditions)
    return Look(
        say=say, of=of, weather=limits.weather, power=limits.power, gun=gun, **making.common
    )


_BUILDERS: dict[str, Callable[[_Making], Step | None]] = {
    "tell": _tell,
    "warn": _warn,
    "ask": _ask,
    "wait": _wait,
    "judge": _judge,
    "look": _look,
}
_ANSWERS: dict[str, Callable[[_Making, str], Step]] = {
    "yes-no": _yes_no,
    "choice": _choice,
    "value": _value,
}
