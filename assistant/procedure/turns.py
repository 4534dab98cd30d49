"""Reads what a step says about its way: only if, once, remind, otherwise, at most.

Imported by ``steps``. Whether the steps that are named here exist is checked by ``references``.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from assistant.procedure.fields import Fields, kind_of
from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Cap,
    Otherwise,
    Remind,
    Step,
    Tell,
    Wait,
    Warn,
)
from assistant.procedure.yaml_lines import Items, Scalar

MOST_TIMES = 20
"""Nobody welds more test pieces in a row."""
LEAST_REMIND_S = 60
"""More often it only disturbs."""

Lines = dict[str, int]
"""Where the keys stand that name other steps."""


def only_if(fields: Fields, lines: Lines) -> tuple[str, ...] | None:
    """Read ``only-if``: the id of a step, and the answers of which one must have been given."""
    inner = fields.inner("only-if", required=False)
    if not inner:
        return None
    step = inner.text("step")
    answers = _answers(inner)
    lines["only-if"] = inner.line("step")
    lines["only-if answer"] = inner.line("answer")
    inner.close()
    return (step, *answers)


def _answers(inner: Fields) -> tuple[str, ...]:
    value = inner.value("answer")
    if not isinstance(value, Items):
        one = inner.text("answer") if value is not None else ""
        return (one,) if one else ()
    if not value.items:
        inner.fault("answer", "the list is empty")
    found = []
    for item in value.items:
        if isinstance(item, Scalar) and isinstance(item.data, str) and not item.misread:
            found.append(item.data)
        elif not isinstance(item, Scalar) or not item.misread:
            wrong = f"{kind_of(item)} is not an answer"
            inner.faults.add(item.line, "answer", wrong, "answer: [bleed-out, burn]")
    return tuple(found)


def once(fields: Fields) -> bool:
    """Read ``once: shift``."""
    return bool(fields.one_of("once", ("shift",), required=False))


def remind(fields: Fields) -> Remind | None:
    """Read ``remind``: how often, and with which words."""
    inner = fields.inner("remind", required=False)
    if not inner:
        return None
    every_s = inner.whole_seconds("every", "12 h")
    say = inner.spoken("say")
    inner.close()
    if every_s is not None and every_s < LEAST_REMIND_S:
        inner.fault("every", "so often it only disturbs", "every: 1 min or more")
    return Remind(every_s, say) if every_s else None


def fit(step: Step, fields: Fields) -> None:
    """Report what a step of this kind has no use for."""
    if step.once and not isinstance(step, (Tell, Warn, AskYesNo, AskChoice, AskValue)):
        wrong = "what a wait, a judge or a look step finds may be other each time"
        fields.fault("once", wrong, "the step without it")
    waits = isinstance(step, Warn) or (isinstance(step, Tell) and step.until_done)
    by_the_clock = isinstance(step, Wait) and bool(step.until)
    if step.remind and not (waits or by_the_clock):
        wrong = "this step does not wait for a hand or a clock time"
        fields.fault("remind", wrong, "until: done as well, or a wait with meanwhile")
    if by_the_clock and fields.has("meanwhile"):
        wrong = "how long this wait takes is not known"
        fields.fault("meanwhile", wrong, "remind: {every: 10 min, say: what to say}")


def otherwise(fields: Fields, lines: Lines, *, required: bool) -> Otherwise | None:
    """Read ``otherwise``: what to say, where to go, and how often at most."""
    inner = fields.inner("otherwise", required=required)
    if not inner:
        return None
    say, then = inner.spoken("say"), inner.text("then")
    lines["then"] = inner.line("then")
    cap = at_most(inner, lines)
    inner.close()
    if cap and then == "go-on":
        inner.fault("at-most", "what goes on turns back never", "then: again, or no at-most")
    return Otherwise(say, then, cap)


def at_most(fields: Fields, lines: Lines) -> Cap | None:
    """Read ``at-most``: how many times, and the way out."""
    inner = fields.inner("at-most", required=False)
    if not inner:
        return None
    times = inner.count("times")
    if times is not None and times > MOST_TIMES:
        inner.fault("times", f"nobody does this more than {MOST_TIMES} times", "times: 3")
    then, say = inner.text("then"), inner.spoken("say")
    lines["at-most"] = inner.line("then")
    inner.close()
    return Cap(int(times), then, say) if times else None


def hoped_answers(fields: Fields, choices: tuple[str, ...]) -> tuple[str, ...]:
    """Read ``hoped`` of a choice: the answers with which the work goes on."""
    hoped = fields.some_of("hoped", choices)
    if hoped and set(hoped) == set(choices):
        fields.fault("hoped", "every answer goes on, so nothing is otherwise", "some of them")
    if fields.has("hoped") != fields.has("otherwise"):
        _pair(fields)
    return hoped


def hoped_window(
    fields: Fields, unit: str, end: Callable[[Fields, str, str], Fraction | None]
) -> tuple[Fraction | None, Fraction | None]:
    """Read ``hoped`` of a value: from, to, or both; ``end`` reads one of them in ``unit``."""
    if fields.has("hoped") != fields.has("otherwise"):
        _pair(fields)
    inner = fields.inner("hoped", required=False)
    if not inner or not unit:
        return None, None
    low = end(inner, "from", unit) if inner.has("from") else None
    high = end(inner, "to", unit) if inner.has("to") else None
    inner.asked += ["from", "to"]
    inner.close()
    if unit == "in":
        wrong = "a width is judged by a judge step, which knows what strong and light mean"
        fields.fault("hoped", wrong, "a judge step, or no hoped")
    elif not inner.mapping.entries:
        inner.fault("from", "'hoped' has neither 'from' nor 'to'")
    elif low is not None and high is not None and low > high:
        inner.fault("from", "'from' is more than 'to'", "the smaller value as from")
    return low, high


def _pair(fields: Fields) -> None:
    lacking = "otherwise" if fields.has("hoped") else "hoped"
    wrong = "of 'hoped' and 'otherwise' one stands without the other"
    fields.fault(lacking, wrong, f"{lacking}: as well, or neither")
