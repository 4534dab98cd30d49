"""``lapcall judge``: one strip judged, with its reasons and what to check first, as JSON."""

from __future__ import annotations

import argparse
from dataclasses import replace
from enum import Enum
from fractions import Fraction
from typing import TYPE_CHECKING

from assistant.commands.options import print_json
from assistant.errors import UsageProblem
from assistant.procedure.measures import inches
from assistant.weld import heat
from assistant.weld.advice import REMEDIES, Again, Around, Cause, to_check
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import Defect, FailureMode, HeatMarks, Lean, PeelTest, Pull
from assistant.weld.uncertainty import (
    acceptance_in,
    chance_inside,
    standard_uncertainty_in,
    uncertainty_ratio,
)
from assistant.weld.verdict import judge
from assistant.words.grammars import value
from assistant.words.meaning import Measure
from assistant.words.understand import Ask, Reading, understand

if TYPE_CHECKING:
    from assistant.commands.options import Commands

FINE_ENOUGH = 4
"""The least uncertainty ratio of calibration practice."""
COARSE = "The rule is coarse for these limits. Read to a finer mark where you can."
_USUAL = heat.Pass()
_MODELLED = {
    Cause.FAST: ("a stroke a third faster", replace(_USUAL, seconds=_USUAL.seconds * 2 / 3)),
    Cause.SLOW: ("a stroke half as fast", replace(_USUAL, seconds=_USUAL.seconds * 2)),
    # What reaches the gun through a hundred feet of the thinnest usual cord.
    Cause.POWER: ("a long thin cord", heat.weaker(_USUAL, 0.81)),
    Around.COLD_SHEET: ("a sheet at freezing", replace(_USUAL, sheet_c=0.0)),
}
"""What the model of heat has something to say about, by amounts that are common on a roof."""


def add_to(commands: Commands) -> None:
    """Add the command."""
    strip = commands.add_parser("judge", help="judge one peel-test strip, as JSON")
    strip.add_argument(
        "--width", help='the film-tearing width: "inch and a quarter", "1 1/4 in", "32 mm"'
    )
    strip.add_argument("--mode", choices=_values(FailureMode), help="how the strip failed")
    strip.add_argument("--solid", help="the solid width beside a void, if there was one")
    strip.add_argument("--heat", choices=_values(HeatMarks), help="heat marks at the edge")
    strip.add_argument(
        "--defect",
        choices=_values(Defect),
        action="append",
        default=[],
        help="what else was seen; may be given more than once",
    )
    strip.add_argument("--pull", choices=_values(Pull), default="steady", help="default: steady")
    strip.add_argument("--cut", choices=("across", "along"), default="across")
    strip.add_argument("--strip", help="the width of the strip itself")
    strip.add_argument("--number", type=int, help="the number on the strip")
    strip.add_argument(
        "--around",
        choices=_values(Around),
        action="append",
        default=[],
        help="what is known besides, for what to check; may be given more than once",
    )
    limits = strip.add_argument_group("limits of the sheet and the job")
    limits.add_argument("--least", default="1 in", help="least width allowed (usually 1 in)")
    limits.add_argument("--most", default="1 1/2 in", help="most width allowed (usually 1 1/2 in)")
    limits.add_argument("--rule", default="1/16 in", help="smallest mark read (usually 1/16 in)")
    limits.add_argument(
        "--edges", type=int, choices=(1, 2), default=1, help="edges read on the rule (default 1)"
    )
    limits.add_argument("--strip-least", help="least width of the strip itself, if any")
    strip.set_defaults(run=run_judge)


def _values(names: type[Enum]) -> list[str]:
    return [str(name.value) for name in names]


def run_judge(options: argparse.Namespace) -> int:
    """Print the verdict on a strip, or the question that must be answered first."""
    limits = _limits(options)
    width = _said_or_written(options.width, "--width")
    solid = _said_or_written(options.solid, "--solid")
    for answer in (width, solid):
        if isinstance(answer, Ask):
            asked = {"said": answer.said, "ask": answer.question, "reason": answer.reason}
            print_json(asked)
            return 0
    around = frozenset(map(Around, options.around))
    print_json(verdict_as_json(_test(options, width, solid), limits, around))
    return 0


def verdict_as_json(
    test: PeelTest, limits: WidthLimits, around: frozenset[Around]
) -> dict[str, object]:
    """Return the verdict on a strip as plain data."""
    verdict = judge(test, limits)
    checks = to_check(test, verdict, around)
    return {
        "outcome": verdict.outcome.value,
        "finding": verdict.finding.value,
        "reasons": list(verdict.reasons),
        "check": [_check(what) for what in checks],
        "why": list(_why(checks, around)),
        "strip": test.number,
        "width_in": str(test.width_in) if test.width_in is not None else None,
        "limits": {"least_in": str(limits.least_in), "most_in": str(limits.most_in)},
        "reading": _reading(test, limits),
        "rule": verdict.rule,
    }


def _check(what: Cause | Again) -> dict[str, str]:
    if isinstance(what, Again):
        return {"next_strip": what.value}
    return {"cause": what.value, "remedy": REMEDIES[what]}


def _why(checks: tuple[Cause | Again, ...], around: frozenset[Around]) -> tuple[str, ...]:
    """Return how the changes that may be behind the strip rank; nothing where only one may."""
    # What makes a weld colder says nothing of one that came out too hot.
    named = [*checks, *(around if Cause.FAST in checks else ())]
    changes = dict(change for cause, change in _MODELLED.items() if cause in named)
    return heat.told(_USUAL, changes) if checks and len(changes) > 1 else ()


def _reading(test: PeelTest, limits: WidthLimits) -> dict[str, object]:
    """Return how well the width is known, in figures."""
    low, high = acceptance_in(limits)
    known = test.width_in is not None and test.lean is None
    return {
        "standard_uncertainty_in": round(
            standard_uncertainty_in(limits.rule_step_in, limits.edges), 4
        ),
        "plain_pass_in": [round(low, 4), round(high, 4)] if low <= high else None,
        "chance_inside_limits": round(chance_inside(test.width_in, limits), 4)
        if test.width_in is not None and known
        else None,
        "caution": COARSE if uncertainty_ratio(limits) < FINE_ENOUGH else None,
    }


def _limits(options: argparse.Namespace) -> WidthLimits:
    limits = WidthLimits(
        _figures(options.least, "--least"),
        _figures(options.most, "--most"),
        _figures(options.rule, "--rule"),
        options.edges,
        strip_least_in=_figures(options.strip_least, "--strip-least")
        if options.strip_least
        else None,
    )
    if limits.least_in > limits.most_in:
        raise UsageProblem("--least is more than --most. Write the smaller width as --least.")
    if not limits.rule_step_in:
        raise UsageProblem("--rule is nought. Write the smallest mark that is read: 1/16 in.")
    return limits


def _test(
    options: argparse.Namespace, width: Measure | Ask | None, solid: Measure | Ask | None
) -> PeelTest:
    return PeelTest(
        width_in=width.value_in if isinstance(width, Measure) else None,
        lean=_lean(width),
        mode=FailureMode(options.mode) if options.mode else None,
        solid_in=solid.value_in if isinstance(solid, Measure) else None,
        heat=HeatMarks(options.heat) if options.heat else None,
        solid_lean=_lean(solid),
        pull=Pull(options.pull),
        defects=frozenset(map(Defect, options.defect)),
        number=options.number,
        strip_in=_figures(options.strip, "--strip") if options.strip else None,
        across=options.cut == "across",
    )


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
