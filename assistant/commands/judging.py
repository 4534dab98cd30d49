"""``lapcall understand`` and ``lapcall judge``: one phrase read, one strip judged, as JSON."""

from __future__ import annotations

import argparse
from fractions import Fraction
from typing import TYPE_CHECKING

from assistant.commands.options import add_step, grammar_of, print_json
from assistant.errors import UsageProblem
from assistant.procedure.measures import inches
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import FailureMode, HeatMarks, Lean, PeelTest
from assistant.weld.verdict import judge
from assistant.words.grammars import value
from assistant.words.meaning import Chosen, Command, Measure, YesNo
from assistant.words.readback import spoken, two_forms
from assistant.words.understand import Ask, Reading, Understood, understand

if TYPE_CHECKING:
    from assistant.commands.options import Commands


def add_to(commands: Commands) -> None:
    """Add both commands."""
    read = commands.add_parser("understand", help="read a phrase as Lapcall would, as JSON")
    read.add_argument("phrase", nargs="+", help='what is said, such as "inch and a quarter"')
    add_step(read)
    read.set_defaults(run=run_understand)
    strip = commands.add_parser("judge", help="judge one peel-test strip, as JSON")
    strip.add_argument(
        "--width", help='the film-tearing width: "inch and a quarter", "1 1/4 in", "32 mm"'
    )
    strip.add_argument("--mode", choices=[mode.value for mode in FailureMode])
    strip.add_argument("--solid", help="the solid width beside a void, if there was one")
    strip.add_argument("--heat", choices=[heat.value for heat in HeatMarks])
    strip.add_argument("--least", default="1 in", help="least width allowed (usually 1 in)")
    strip.add_argument("--most", default="1 1/2 in", help="most width allowed (usually 1 1/2 in)")
    strip.add_argument("--rule", default="1/16 in", help="smallest mark read (usually 1/16 in)")
    strip.set_defaults(run=run_judge)


def run_understand(options: argparse.Namespace) -> int:
    """Print what a phrase means."""
    understood = understand(" ".join(options.phrase), grammar_of(options))
    print_json(as_json(understood))
    return 0


def as_json(understood: Understood) -> dict[str, object]:
    """Return a meaning as plain data."""
    if isinstance(understood, Reading):
        return {"said": understood.said, **_value(understood.measure)}
    if isinstance(understood, Ask):
        return {"said": understood.said, "ask": understood.question, "reason": understood.reason}
    if isinstance(understood, Command):
        return {"command": understood.value}
    if isinstance(understood, YesNo):
        return {"answer": "yes" if understood.yes else "no"}
    return {"answer": understood.id if isinstance(understood, Chosen) else "done"}


def _value(measure: Measure) -> dict[str, object]:
    sixteenths = measure.value_in * 16
    return {
        "value": str(measure.value),
        "unit": measure.unit,
        "sixteenths": int(sixteenths)
        if measure.is_width and sixteenths.denominator == 1
        else None,
        "hedge": measure.hedge,
        "lean": measure.lean.value if measure.lean else None,
        "read_back": spoken(two_forms(measure)),
    }


def run_judge(options: argparse.Namespace) -> int:
    """Print the verdict on a strip, or the question that must be answered first."""
    limits = WidthLimits(
        _figures(options.least, "--least"),
        _figures(options.most, "--most"),
        _figures(options.rule, "--rule"),
    )
    if limits.least_in > limits.most_in:
        raise UsageProblem("--least is more than --most. Write the smaller width as --least.")
    width = _said_or_written(options.width, "--width")
    solid = _said_or_written(options.solid, "--solid")
    for answer in (width, solid):
        if isinstance(answer, Ask):
            print_json(as_json(answer))
            return 0
    test = PeelTest(
        width_in=width.value_in if isinstance(width, Measure) else None,
        lean=_lean(width),
        mode=FailureMode(options.mode) if options.mode else None,
        solid_in=solid.value_in if isinstance(solid, Measure) else None,
        heat=HeatMarks(options.heat) if options.heat else None,
        solid_lean=_lean(solid),
    )
    verdict = judge(test, limits)
    print_json(
        {
            "outcome": verdict.outcome.value,
            "reasons": list(verdict.reasons),
            "width_in": str(test.width_in) if test.width_in is not None else None,
            "limits": {"least_in": str(limits.least_in), "most_in": str(limits.most_in)},
            "rule": verdict.rule,
        }
    )
    return 0


def _lean(answer: Measure | Ask | None) -> Lean | None:
    """Return the hedge beside a width as the verdict knows it."""
    return Lean(answer.lean.value) if isinstance(answer, Measure) and answer.lean else None


def _figures(text: str, option: str) -> Fraction:
    try:
        return inches(text)
    except ValueError as problem:
        raise UsageProblem(
            f"{option} {text}: {problem}. Write it like 1 1/4 in or 32 mm."
        ) from None


def _said_or_written(text: str | None, option: str) -> Measure | Ask | None:
    if text is None:
        return None
    if any(character.isdigit() for character in text):
        return Measure(_figures(text, option), "in")
    understood = understand(text, value("in"))
    if isinstance(understood, Reading):
        return understood.measure
    if isinstance(understood, Ask):
        return understood
    raise UsageProblem(f"{option} {text} is not a width.")
