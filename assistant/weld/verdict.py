"""The verdict on one peeled strip. Imports modules of ``weld``; anything of ours may import this.

``judge`` is pure and exact. Nothing that was not stated ever passes: unknown is no verdict.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from assistant.weld import reasons as why
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import Defect, FailureMode, Lean, PeelTest, Pull
from assistant.weld.uncertainty import clears

RULE_VERSION = "peel-strip 2"
"""Goes into every verdict; to change with any change of the rules below."""

HEDGE_REACH_IN = Fraction(1, 8)
"""How far "strong" or "shy" may reach. Speakers dispute it, from the edge of a line up to this;
it only tells when a hedge could decide the verdict, and never becomes a width."""

_FAILS = {
    Defect.BURN: why.BURNED,
    Defect.BLEED_OUT: why.BLED_OUT,
    Defect.DIRT: why.DIRTY,
    Defect.FISHMOUTH: why.FISHMOUTH,
    Defect.MISSED: why.MISSED,
}
"""What fails a strip wherever it is seen: common practice, no source."""


class Outcome(Enum):
    """What was found, as far as the work goes on it."""

    PASS = "pass"  # noqa: S105 - a verdict, not a password
    AT_LIMIT = "pass at limit"
    FAIL = "fail"
    OUT = "out"
    """Too wide."""
    INVALID = "invalid"
    """The strip proves nothing, for or against the weld: another one must be peeled."""
    FOREMAN = "foreman decides"
    """For a person's ruling; ``judge`` itself never gives it."""
    NO_VERDICT = "no verdict"
    ASK = "ask"
    """The hedge beside the width must first be resolved to the nearest mark of the rule."""


class Finding(Enum):
    """What decided."""

    PASSED = "pass"
    AT_LIMIT = "pass at the limit"
    NARROW = "narrow"
    WIDE = "wide"
    BY_MODE = "failed by mode"
    BY_DEFECT = "failed by defect"
    INVALID = "invalid"
    NO_VERDICT = "no verdict"
    ASK = "ask"


OUTCOMES = {
    Finding.PASSED: Outcome.PASS,
    Finding.AT_LIMIT: Outcome.AT_LIMIT,
    Finding.NARROW: Outcome.FAIL,
    Finding.WIDE: Outcome.OUT,
    Finding.BY_MODE: Outcome.FAIL,
    Finding.BY_DEFECT: Outcome.FAIL,
    Finding.INVALID: Outcome.INVALID,
    Finding.NO_VERDICT: Outcome.NO_VERDICT,
    Finding.ASK: Outcome.ASK,
}
PASSING = (Outcome.PASS, Outcome.AT_LIMIT)
"""With these the work goes on."""
FAILING = (Outcome.FAIL, Outcome.OUT)
"""These speak against the weld; the others say nothing about it."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found, why, and by which limits and rules."""

    finding: Finding
    reasons: tuple[str, ...]
    """Whole sentences without figures, to be spoken or shown; what decided first."""
    limits: WidthLimits
    rule: str = RULE_VERSION

    @property
    def outcome(self) -> Outcome:
        """The finding as far as the work goes on it."""
        return OUTCOMES[self.finding]


@dataclass(frozen=True, slots=True)
class _Flaw:
    finding: Finding
    reason: str


def judge(test: PeelTest, limits: WidthLimits) -> Verdict:
    """Return the verdict on a strip.

    A pass needs film tearing (or a sheet split at its scrim) under a steady pull, no defect that
    fails, and a width inside the limits; where there is a void, its solid part must be wide enough
    as well. Near a limit, inside a guard band of ``limits.coverage`` standard uncertainties
    (JCGM 106), a pass is a pass at the limit. A clean peel, a partial one or such a defect fail
    whatever the width, so a hedge is then not asked about. A jerk, a break at the grip or a wrong
    cut take the proof from a strip that would pass, and never excuse one that fails.
    """
    unknown, flaws, invalid = _unknown(test), _flaws(test), _invalid(test, limits)
    if test.mode is FailureMode.AT_GRIP:
        return _first(flaws, invalid, limits) if flaws else _invalidated(invalid, limits)
    if unknown or test.width_in is None:
        more = (*(flaw.reason for flaw in flaws), *invalid)
        return Verdict(Finding.NO_VERDICT, (*unknown, *more), limits)
    flaws += _solid_flaws(test, limits)
    if flaws:
        off = _width_flaws(test.width_in, limits) if test.lean is None else ()
        return _first((*flaws, *off), invalid, limits)
    if test.lean is not None and _hedge_decides(test.width_in, test.lean, limits):
        asked = why.ONLY_ABOUT if test.lean is Lean.ABOUT else why.HEDGED
        # No mark of the rule would give a strip its proof back.
        return _invalidated(invalid, limits) if invalid else Verdict(Finding.ASK, (asked,), limits)
    off = _width_flaws(test.width_in, limits)
    if off:
        return _first(off, invalid, limits)
    return _invalidated(invalid, limits) if invalid else _passed(test, limits)


def _first(flaws: tuple[_Flaw, ...], more: tuple[str, ...], limits: WidthLimits) -> Verdict:
    """Return the verdict of the first flaw, with the reasons of all."""
    return Verdict(flaws[0].finding, (*(flaw.reason for flaw in flaws), *more), limits)


def _invalidated(invalid: tuple[str, ...], limits: WidthLimits) -> Verdict:
    return Verdict(Finding.INVALID, invalid, limits)


def _unknown(test: PeelTest) -> tuple[str, ...]:
    """Return what must be known and is not."""
    solid_open = test.solid_unheard or test.solid_lean is Lean.ABOUT
    void_unmeasured = Defect.VOID in test.defects and test.solid_in is None
    whole, solid = test.width_in, test.solid_in
    too_wide = whole is not None and solid is not None and solid > whole
    missing = (
        (test.width_in is None, why.WIDTH_UNKNOWN),
        (test.mode is None, why.MODE_UNKNOWN),
        (solid_open or void_unmeasured, why.SOLID_UNKNOWN),
        (test.heat is None, why.HEAT_UNKNOWN),
        (test.pull is None, why.PULL_UNKNOWN),
        (test.across is None, why.CUT_UNKNOWN),
        (too_wide, why.SOLID_TOO_WIDE),
    )
    return tuple(reason for is_missing, reason in missing if is_missing)


def _flaws(test: PeelTest) -> tuple[_Flaw, ...]:
    """Return what fails whatever the width."""
    modes = {FailureMode.CLEAN_PEEL: why.CLEAN_PEEL, FailureMode.PARTLY: why.PARTLY_TORN}
    by_mode = (_Flaw(Finding.BY_MODE, modes[test.mode]),) if test.mode in modes else ()
    by_defect = tuple(
        _Flaw(Finding.BY_DEFECT, reason) for defect, reason in _FAILS.items() if defect in test.seen
    )
    return by_mode + by_defect


def _invalid(test: PeelTest, limits: WidthLimits) -> tuple[str, ...]:
    """Return what takes the proof from the strip."""
    least, strip = limits.strip_least_in, test.strip_in
    found = (
        (test.mode is FailureMode.AT_GRIP, why.AT_GRIP),
        (test.pull is Pull.JERKED, why.JERKED),
        (test.across is False, why.CUT_ALONG),
        (least is not None and strip is not None and strip < least, why.STRIP_NARROW),
    )
    return tuple(reason for is_so, reason in found if is_so)


def _solid_flaws(test: PeelTest, limits: WidthLimits) -> tuple[_Flaw, ...]:
    least = _least_solid(test)
    narrow = least is not None and least < limits.least_in
    return (_Flaw(Finding.NARROW, why.SOLID_NARROW),) if narrow else ()


def _least_solid(test: PeelTest) -> Fraction | None:
    """Return the least that the solid part may be: "shy" counts as far under as it may reach."""
    if test.solid_in is not None and test.solid_lean is Lean.UNDER:
        return test.solid_in - HEDGE_REACH_IN
    return test.solid_in


def _width_flaws(width_in: Fraction, limits: WidthLimits) -> tuple[_Flaw, ...]:
    if width_in < limits.least_in:
        return (_Flaw(Finding.NARROW, why.NARROW),)
    return (_Flaw(Finding.WIDE, why.WIDE),) if width_in > limits.most_in else ()


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
    noted = _noted(test)
    if not clears(bond - limits.least_in, limits):
        return Verdict(Finding.AT_LIMIT, (*noted, why.AT_LEAST_ALLOWED), limits)
    if not clears(limits.most_in - high, limits):
        return Verdict(Finding.AT_LIMIT, (*noted, why.AT_MOST_ALLOWED), limits)
    return Verdict(Finding.PASSED, noted, limits)


def _noted(test: PeelTest) -> tuple[str, ...]:
    """Return what a pass must not hide."""
    notes = (
        (test.solid_in is not None, why.SOLID_JUDGED),
        (test.mode is FailureMode.AT_SCRIM, why.AT_SCRIM),
        (bool(test.seen - {Defect.VOID}), why.SEEN_TOO),
    )
    return tuple(note for is_so, note in notes if is_so)
