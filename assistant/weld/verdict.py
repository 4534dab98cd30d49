"""The verdict on one peeled strip. Imports the limits only; anything of ours may import this.

``judge`` is pure and exact. Nothing that was not stated ever passes: unknown is no verdict.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from assistant.weld.limits import WidthLimits

RULE_VERSION = "peel-strip 1"
"""Goes into every verdict; to change with any change of the rules below."""

HEDGE_REACH_IN = Fraction(1, 8)
"""How far "strong" or "shy" may reach. Speakers dispute it, from the edge of a line up to this;
it only tells when a hedge could decide the verdict, and never becomes a width."""

_COVERAGE = Fraction(1645, 1000)
"""One-sided 95 % of the normal distribution (the usual guard of ISO 14253-1)."""

MODE_UNKNOWN = "It was not stated how the strip failed."
WIDTH_UNKNOWN = "The width was not heard."
SOLID_UNKNOWN = "It was not heard how wide the solid part beside the void is."
HEAT_UNKNOWN = "It was not stated whether there are heat marks."
SOLID_TOO_WIDE = "The solid part was said to be wider than the whole bond."
CLEAN_PEEL = "The strip peeled clean, so the weld let go. That fails at any width."
PARTLY_TORN = "The film tore only partly."
NARROW = "The width is under the least allowed."
SOLID_NARROW = "The solid part beside the void is under the least allowed."
SOLID_JUDGED = "There is a void, so the solid part beside it was judged."
BURNED = "The sheet is burned."
BLED_OUT = "It bled out or went dark, so it was too hot. The foreman may want to look."
WIDE = (
    "The width is over the most allowed. That points to too much heat, or too slow a hand. "
    "It is not a leak by itself."
)
AT_LEAST_ALLOWED = "The width is at the least allowed, as near as the rule can tell."
AT_MOST_ALLOWED = "The width is at the most allowed, as near as the rule can tell."
HEDGED = "The word beside the width decides the verdict, so the nearest mark must be read."
ONLY_ABOUT = "A width that is only about right is not a reading."

REASONS = (
    MODE_UNKNOWN,
    WIDTH_UNKNOWN,
    SOLID_UNKNOWN,
    HEAT_UNKNOWN,
    SOLID_TOO_WIDE,
    CLEAN_PEEL,
    PARTLY_TORN,
    NARROW,
    SOLID_NARROW,
    SOLID_JUDGED,
    BURNED,
    BLED_OUT,
    WIDE,
    AT_LEAST_ALLOWED,
    AT_MOST_ALLOWED,
    HEDGED,
    ONLY_ABOUT,
)
"""Every sentence that a verdict can give, for rendering ahead of need. Words only, no figures."""


class FailureMode(Enum):
    """How the strip came apart."""

    FILM_TEARING = "film-tearing"
    CLEAN_PEEL = "clean-peel"
    PARTLY = "partly"


class HeatMarks(Enum):
    """What heat left at the edge."""

    NONE = "none"
    BLEED_OUT = "bleed-out"
    BURN = "burn"


class Lean(Enum):
    """Which way a hedge leans; never how far."""

    OVER = "over"
    UNDER = "under"
    ABOUT = "about"


class Outcome(Enum):
    """What was found."""

    PASS = "pass"  # noqa: S105 - a verdict, not a password
    AT_LIMIT = "pass at limit"
    FAIL = "fail"
    OUT = "out"
    """Too wide."""
    FOREMAN = "foreman decides"
    """For a person's ruling; ``judge`` itself never gives it."""
    NO_VERDICT = "no verdict"
    ASK = "ask"
    """The hedge beside the width must first be resolved to the nearest mark of the rule."""


PASSING = (Outcome.PASS, Outcome.AT_LIMIT)
"""With these the work goes on."""


@dataclass(frozen=True, slots=True)
class PeelTest:
    """One strip as it was answered; None is what was not heard or not stated. Widths in inches."""

    width_in: Fraction | None
    """Width of the whole bond at its narrowest."""
    lean: Lean | None
    """The hedge beside the width, or None for a plain reading."""
    mode: FailureMode | None
    solid_in: Fraction | None
    """Widest solid part beside a void, or None where the bond is whole."""
    heat: HeatMarks | None
    solid_lean: Lean | None = None
    """The hedge beside the solid width."""
    solid_unheard: bool = False
    """There may be a void, and the solid width was not heard."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found, why, and by which limits and rules."""

    outcome: Outcome
    reasons: tuple[str, ...]
    """Whole sentences without figures, to be spoken or shown."""
    limits: WidthLimits
    rule: str = RULE_VERSION


def judge(test: PeelTest, limits: WidthLimits) -> Verdict:
    """Return the verdict on a strip.

    A pass needs film tearing, no heat marks, and a width inside the limits; where there is a void,
    its solid part must be wide enough as well. Near a limit, inside a guard band of 1.645 standard
    uncertainties (u = rule step / sqrt(12), JCGM 106), a pass is a pass at the limit. A clean peel,
    a partial one or heat marks fail whatever the width, so a hedge is then not asked about.
    """
    unknown = _unknown(test)
    flaws = _flaws(test)
    if unknown or test.width_in is None:
        return Verdict(Outcome.NO_VERDICT, (*unknown, *flaws), limits)
    flaws += _solid_flaws(test, limits)
    if flaws:
        more = _width_flaws(test.width_in, limits) if test.lean is None else ()
        return Verdict(Outcome.FAIL, (*flaws, *more), limits)
    if test.lean is not None and _hedge_decides(test.width_in, test.lean, limits):
        why = ONLY_ABOUT if test.lean is Lean.ABOUT else HEDGED
        return Verdict(Outcome.ASK, (why,), limits)
    if test.width_in < limits.least_in:
        return Verdict(Outcome.FAIL, (NARROW,), limits)
    if test.width_in > limits.most_in:
        return Verdict(Outcome.OUT, (WIDE,), limits)
    return _passed(test, limits)


def _unknown(test: PeelTest) -> tuple[str, ...]:
    """Return what must be known and is not."""
    found = []
    if test.width_in is None:
        found.append(WIDTH_UNKNOWN)
    if test.mode is None:
        found.append(MODE_UNKNOWN)
    if test.solid_unheard or test.solid_lean is Lean.ABOUT:
        found.append(SOLID_UNKNOWN)
    if test.heat is None:
        found.append(HEAT_UNKNOWN)
    if test.width_in is not None and test.solid_in is not None and test.solid_in > test.width_in:
        found.append(SOLID_TOO_WIDE)
    return tuple(found)


def _flaws(test: PeelTest) -> tuple[str, ...]:
    """Return what fails whatever the width."""
    found = []
    if test.mode is FailureMode.CLEAN_PEEL:
        found.append(CLEAN_PEEL)
    if test.mode is FailureMode.PARTLY:
        found.append(PARTLY_TORN)
    if test.heat is HeatMarks.BURN:
        found.append(BURNED)
    if test.heat is HeatMarks.BLEED_OUT:
        found.append(BLED_OUT)
    return tuple(found)


def _solid_flaws(test: PeelTest, limits: WidthLimits) -> tuple[str, ...]:
    least = _least_solid(test)
    return (SOLID_NARROW,) if least is not None and least < limits.least_in else ()


def _least_solid(test: PeelTest) -> Fraction | None:
    """Return the least that the solid part may be: "shy" counts as far under as it may reach."""
    if test.solid_in is not None and test.solid_lean is Lean.UNDER:
        return test.solid_in - HEDGE_REACH_IN
    return test.solid_in


def _width_flaws(width_in: Fraction, limits: WidthLimits) -> tuple[str, ...]:
    if width_in < limits.least_in:
        return (NARROW,)
    return (WIDE,) if width_in > limits.most_in else ()


def _reach(width_in: Fraction, lean: Lean | None) -> tuple[Fraction, Fraction]:
    """Return the ends between which the width lies; both are the reading when it is plain."""
    under = HEDGE_REACH_IN if lean is Lean.UNDER else 0
    over = HEDGE_REACH_IN if lean is Lean.OVER else 0
    return width_in - under, width_in + over


def _hedge_decides(width_in: Fraction, lean: Lean, limits: WidthLimits) -> bool:
    """Tell whether the bare figure and what the hedge may mean fall on both sides of a limit.

    Shy of the least is below it, strong on the most is above it. The far end is not reached: a
    strong seven eighths is never called that when it is an inch.
    """
    if lean is Lean.ABOUT:
        return True
    low, high = _reach(width_in, lean)
    if limits.least_in <= width_in <= limits.most_in:
        return low < limits.least_in or high > limits.most_in
    return high > limits.least_in and low < limits.most_in


def _passed(test: PeelTest, limits: WidthLimits) -> Verdict:
    """Tell a pass from a pass at the limit, taking the end of the reach nearer to the limit."""
    if test.width_in is None:
        raise ValueError("only a known width can pass")
    low, high = _reach(test.width_in, test.lean)
    solid = _least_solid(test)
    bond = low if solid is None else min(low, solid)
    reasons = (SOLID_JUDGED,) if solid is not None else ()
    if not _clear(bond - limits.least_in, limits.rule_step_in):
        return Verdict(Outcome.AT_LIMIT, (*reasons, AT_LEAST_ALLOWED), limits)
    if not _clear(limits.most_in - high, limits.rule_step_in):
        return Verdict(Outcome.AT_LIMIT, (*reasons, AT_MOST_ALLOWED), limits)
    return Verdict(Outcome.PASS, reasons, limits)


def _clear(margin_in: Fraction, step_in: Fraction) -> bool:
    """Tell whether ``margin_in`` is more than the guard band: margin >= 1.645 step / sqrt(12).

    Compared as squares, so that it is exact.
    """
    return margin_in > 0 and 12 * margin_in**2 >= (_COVERAGE * step_in) ** 2
