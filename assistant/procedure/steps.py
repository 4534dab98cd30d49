"""Builds the typed steps of a checklist, one function for each kind.

Imported by ``loader``. What a step says about other steps is checked by ``references``, once all
are known.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from assistant.procedure import turns
from assistant.procedure.faults import Faults
from assistant.procedure.fields import Fields, kind_of, nearest
from assistant.procedure.looks import look
from assistant.procedure.making import Around, Common, Making
from assistant.procedure.model import (
    DANGERS,
    Judge,
    Look,
    Step,
    Tell,
    Wait,
    Warn,
)
from assistant.procedure.questions import ANSWERS
from assistant.procedure.waits import clock_time, moments
from assistant.procedure.yaml_lines import Mapping, Value

ACTS = ("tell", "warn", "ask", "wait", "judge", "look")
RESERVED_IDS = ("again", "go-on", "end", "stop")
LONGEST_WAIT = "12 h"
LONGEST_QUIET = "10 min"


@dataclass(frozen=True, slots=True)
class Draft:
    """A step, and the lines of the keys in it that name other steps or must fit them."""

    step: Step
    lines: dict[str, int] = field(default_factory=dict)


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
    built = _BUILDERS[acts[0]](Making(fields, common, lines, around))
    fields.close()
    if built:
        turns.fit(built, fields)
    return Draft(built, lines) if built else None


def _report_acts(fields: Fields, acts: list[str]) -> None:
    if acts:
        wrong = f"a step does one thing, and this one has {' and '.join(acts)}"
        fields.fault(acts[1], wrong, "two steps")
        return
    for key in fields.mapping.entries:
        meant = nearest(key, ACTS)
        if meant and key not in ("id", "why", "how", "only-if", "danger", "once", "remind"):
            fields.fault(key, "this step has no such key", meant)
            return
    one_of = "one of tell:, warn:, ask:, wait:, judge: or look: with its words"
    fields.faults.add(fields.mapping.line, "", "this step does not say what it does", one_of)


def _common(fields: Fields) -> tuple[Common, dict[str, int]]:
    name = fields.name("id")
    if name in RESERVED_IDS:
        fields.fault("id", f"'{name}' already means something under 'then'", "another name")
    lines = {"id": fields.line("id")}
    return (
        Common(
            id=name,
            line=fields.mapping.line,
            why=fields.spoken("why", required=False),
            how=fields.spoken("how", required=False),
            only_if=turns.only_if(fields, lines),
            once=turns.once(fields),
            remind=turns.remind(fields),
            file=fields.faults.file,
            quiet_s=None,
            danger=fields.some_of("danger", DANGERS),
        ),
        lines,
    )


def _tell(making: Making) -> Step:
    fields = making.fields
    until = fields.one_of("until", ("done",), required=False)
    busy = bool(fields.one_of("hands", ("busy",), required=False))
    if busy and not until:
        fields.fault("hands", "a step that waits for nobody is over at once", "until: done as well")
    say = fields.spoken("tell")
    return Tell(say=say, until_done=bool(until), hands_busy=busy, **making.common)


def _warn(making: Making) -> Step:
    return Warn(say=making.fields.spoken("warn"), **making.common)


def _wait(making: Making) -> Step:
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


def _ask(making: Making) -> Step | None:
    fields = making.fields
    question = fields.spoken("ask")
    making.common["quiet_s"] = fields.whole_seconds("quiet", LONGEST_QUIET, required=False)
    answer = fields.one_of("answer", tuple(ANSWERS))
    if not answer:
        # Which keys belong here is not known, so none is called unknown.
        fields.asked.extend(fields.mapping.entries)
        return None
    fields.what = f"a question with answer: {answer}"
    return ANSWERS[answer](making, question)


def _judge(making: Making) -> Step:
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


def _look(making: Making) -> Step:
    say = making.fields.spoken("say", required=False)
    of, limits, gun = look(making.fields, making.around.conditions)
    return Look(
        say=say, of=of, weather=limits.weather, power=limits.power, gun=gun, **making.common
    )


_BUILDERS: dict[str, Callable[[Making], Step | None]] = {
    "tell": _tell,
    "warn": _warn,
    "ask": _ask,
    "wait": _wait,
    "judge": _judge,
    "look": _look,
}
