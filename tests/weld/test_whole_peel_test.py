"""The whole peel test: how it was cut, held, pulled and what was seen, and what decides."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.strips import LIMITS, TESTS, F, strip

from assistant.weld import reasons as why
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import Defect, FailureMode, HeatMarks, Lean, Pull
from assistant.weld.verdict import FAILING, OUTCOMES, PASSING, Finding, Outcome, judge

# Modes: film tearing good, clean peel bad, scrim-reinforced sheet that splits at the scrim good
# (the weld held; public writing on reinforced geomembrane seams), break at the clamp invalid
# (from memory of the locus-of-break codes). The rest: common practice, no source.
FINDINGS = [
    ({}, Finding.PASSED, ()),
    ({"width_in": F(1)}, Finding.AT_LIMIT, (why.AT_LEAST_ALLOWED,)),
    ({"width_in": F(3, 2)}, Finding.AT_LIMIT, (why.AT_MOST_ALLOWED,)),
    ({"width_in": F(15, 16)}, Finding.NARROW, (why.NARROW,)),
    ({"width_in": F(25, 16)}, Finding.WIDE, (why.WIDE,)),
    ({"solid_in": F(7, 8)}, Finding.NARROW, (why.SOLID_NARROW,)),
    ({"mode": FailureMode.CLEAN_PEEL}, Finding.BY_MODE, (why.CLEAN_PEEL,)),
    ({"mode": FailureMode.PARTLY}, Finding.BY_MODE, (why.PARTLY_TORN,)),
    ({"mode": FailureMode.AT_SCRIM}, Finding.PASSED, (why.AT_SCRIM,)),
    ({"mode": FailureMode.AT_GRIP}, Finding.INVALID, (why.AT_GRIP,)),
    ({"mode": FailureMode.AT_GRIP, "width_in": None}, Finding.INVALID, (why.AT_GRIP,)),
    ({"pull": Pull.JERKED}, Finding.INVALID, (why.JERKED,)),
    ({"across": False}, Finding.INVALID, (why.CUT_ALONG,)),
    ({"heat": HeatMarks.BURN}, Finding.BY_DEFECT, (why.BURNED,)),
    ({"heat": HeatMarks.BLEED_OUT}, Finding.BY_DEFECT, (why.BLED_OUT,)),
    ({"defects": frozenset({Defect.BURN})}, Finding.BY_DEFECT, (why.BURNED,)),
    ({"defects": frozenset({Defect.DIRT})}, Finding.BY_DEFECT, (why.DIRTY,)),
    ({"defects": frozenset({Defect.FISHMOUTH})}, Finding.BY_DEFECT, (why.FISHMOUTH,)),
    ({"defects": frozenset({Defect.MISSED})}, Finding.BY_DEFECT, (why.MISSED,)),
    ({"defects": frozenset({Defect.WRINKLE})}, Finding.PASSED, (why.SEEN_TOO,)),
    ({"defects": frozenset({Defect.VOID})}, Finding.NO_VERDICT, (why.SOLID_UNKNOWN,)),
    (
        {"defects": frozenset({Defect.VOID}), "solid_in": F(9, 8)},
        Finding.PASSED,
        (why.SOLID_JUDGED,),
    ),
    ({"pull": None}, Finding.NO_VERDICT, (why.PULL_UNKNOWN,)),
    ({"across": None}, Finding.NO_VERDICT, (why.CUT_UNKNOWN,)),
    ({"lean": Lean.ABOUT}, Finding.ASK, (why.ONLY_ABOUT,)),
    # A jerk, a grip or a cut never excuse what fails.
    (
        {"pull": Pull.JERKED, "mode": FailureMode.CLEAN_PEEL},
        Finding.BY_MODE,
        (why.CLEAN_PEEL, why.JERKED),
    ),
    (
        {"mode": FailureMode.AT_GRIP, "heat": HeatMarks.BURN},
        Finding.BY_DEFECT,
        (why.BURNED, why.AT_GRIP),
    ),
    ({"across": False, "width_in": F(7, 8)}, Finding.NARROW, (why.NARROW, why.CUT_ALONG)),
    # No mark of the rule gives an invalid strip its proof back, so it is not asked for.
    ({"pull": Pull.JERKED, "lean": Lean.ABOUT}, Finding.INVALID, (why.JERKED,)),
]


@pytest.mark.parametrize(("changed", "finding", "reasons"), FINDINGS)
def test_what_decides_and_why(changed, finding, reasons):
    """Each answer leads to its finding, with its reasons."""
    found = judge(strip(**changed), LIMITS)

    assert (finding, reasons) == (found.finding, found.reasons)


def test_every_finding_is_shown():
    """The table has a row for each finding, and each finding leads to an outcome."""
    assert {row[1] for row in FINDINGS} == set(Finding) == set(OUTCOMES)


def test_every_reason_belongs_to_what_is_no_plain_pass():
    """Whatever is not a plain pass says why in at least one sentence."""
    for changed, finding, reasons in FINDINGS:
        assert reasons or finding is Finding.PASSED, changed


@pytest.mark.parametrize(
    ("least", "width", "outcome"),
    [
        (None, F(1, 2), Outcome.PASS),
        (F(1), F(15, 16), Outcome.INVALID),
        (F(1), F(1), Outcome.PASS),
        (F(1), F(2), Outcome.PASS),
        (F(1), None, Outcome.PASS),
        (F(50 * 10, 254), F(1), Outcome.INVALID),  # 50 mm for reinforced sheet in DVS 2226-3
    ],
)
def test_the_strip_must_be_as_wide_as_the_job_asks(least, width, outcome):
    """A strip that is too narrow proves nothing, where the job asks for a width of the strip."""
    limits = replace(LIMITS, strip_least_in=least)

    assert outcome is judge(strip(strip_in=width), limits).outcome


@given(TESTS)
def test_a_jerk_or_a_wrong_cut_neither_passes_nor_excuses(test):
    """With a jerk or a cut along the weld nothing passes, and what failed still fails."""
    before = judge(replace(test, pull=Pull.STEADY, across=True), LIMITS).outcome
    for spoiled in (replace(test, pull=Pull.JERKED), replace(test, across=False)):
        after = judge(spoiled, LIMITS).outcome
        known = spoiled.pull is not None and spoiled.across is not None

        assert after not in PASSING
        assert before not in FAILING or not known or after in FAILING


@given(TESTS, st.sampled_from(list(Defect)))
def test_a_defect_more_never_helps(test, defect):
    """What fails without a defect fails with it, and what passes may only stop passing."""
    before = judge(test, LIMITS).outcome
    after = judge(replace(test, defects=test.defects | {defect}), LIMITS).outcome

    assert after not in PASSING or before in PASSING
    assert before not in FAILING or after in FAILING or defect is Defect.VOID


@given(TESTS)
def test_what_is_unknown_never_passes(test):
    """A pass knows all that a pass rests on."""
    if judge(test, LIMITS).outcome in PASSING:
        assert None not in (test.width_in, test.mode, test.heat, test.pull, test.across)


# ---- more uncertainty never widens the pass band

STEPS = st.sampled_from([F(1, 64), F(1, 32), F(1, 16), F(1, 8), F(1, 4), F(10, 254)])
EDGES = st.integers(1, 2)


@given(TESTS, st.tuples(STEPS, STEPS), st.tuples(EDGES, EDGES), st.fractions(0, 3))
def test_more_uncertainty_never_widens_the_pass_band(test, steps, edges, coverage):
    """A coarser rule, more edges or a wider guard never make a plain pass of what was none."""
    finer = WidthLimits(F(1), F(3, 2), min(steps), min(edges), F(3, 2))
    coarser = WidthLimits(F(1), F(3, 2), max(steps), max(edges), F(3, 2) + coverage)
    before, after = judge(test, finer).outcome, judge(test, coarser).outcome

    assert after is not Outcome.PASS or before is Outcome.PASS
    # The limits themselves are not moved: it is as much of a fail with any rule.
    assert (before in PASSING, before in FAILING) == (after in PASSING, after in FAILING)
