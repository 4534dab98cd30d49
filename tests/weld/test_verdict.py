"""The verdict on a strip, against the trade's table and the measurement arithmetic."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.weld import reasons as why
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import Defect, FailureMode, HeatMarks, Lean, PeelTest, Pull
from assistant.weld.verdict import Outcome, judge

F = Fraction
GOOD_WIDTH = F(5, 4)
LIMITS = WidthLimits()  # one inch to one and a half: common practice, no source
TORN, CLEAN, PARTLY = FailureMode.FILM_TEARING, FailureMode.CLEAN_PEEL, FailureMode.PARTLY
OVER, UNDER, ABOUT = Lean.OVER, Lean.UNDER, Lean.ABOUT
PASSING = (Outcome.PASS, Outcome.AT_LIMIT)


def strip(
    width=GOOD_WIDTH, mode=TORN, *, lean=None, solid=None, heat=HeatMarks.NONE, solid_lean=None
) -> PeelTest:
    """Return a strip that passes but for what is given."""
    return PeelTest(width, lean, mode, solid, heat, solid_lean)


# The trade's verdict table for limits of 1 and 1 1/2 inches: common practice, no source.
TRADE_TABLE = [
    (strip(F(15, 16)), Outcome.FAIL, (why.NARROW,)),
    (strip(F(1)), Outcome.AT_LIMIT, (why.AT_LEAST_ALLOWED,)),
    (strip(F(5, 4)), Outcome.PASS, ()),
    (strip(F(3, 2)), Outcome.AT_LIMIT, (why.AT_MOST_ALLOWED,)),
    (strip(F(25, 16)), Outcome.OUT, (why.WIDE,)),
    (strip(F(5, 4), CLEAN), Outcome.FAIL, (why.CLEAN_PEEL,)),
    (
        strip(F(5, 4), PARTLY, solid=F(7, 8)),
        Outcome.FAIL,
        (why.PARTLY_TORN, why.SOLID_NARROW),
    ),
    (strip(F(5, 4), heat=HeatMarks.BLEED_OUT), Outcome.FAIL, (why.BLED_OUT,)),
    (strip(F(5, 4), heat=HeatMarks.BURN), Outcome.FAIL, (why.BURNED,)),
    (strip(None), Outcome.NO_VERDICT, (why.WIDTH_UNKNOWN,)),
    (strip(F(5, 4), None), Outcome.NO_VERDICT, (why.MODE_UNKNOWN,)),
]


@pytest.mark.parametrize(("test", "outcome", "reasons"), TRADE_TABLE)
def test_trade_table(test, outcome, reasons):
    """Each row of the trade's table gets its verdict, and says why."""
    found = judge(test, LIMITS)

    assert (outcome, reasons) == (found.outcome, found.reasons)


# u = d / sqrt(12), w = 1.645 u, d = 1/16 in: accept [1.030, 1.470], on the rule 17/16 to 23/16.
# u by the GUM's rectangular rule, w by ISO 14253-1 (both quoted from memory), risk at the limit by
# JCGM 106.
GUARD_BAND = [
    *((n, Outcome.FAIL) for n in range(16)),
    (16, Outcome.AT_LIMIT),
    *((n, Outcome.PASS) for n in range(17, 24)),
    (24, Outcome.AT_LIMIT),
    *((n, Outcome.OUT) for n in range(25, 48)),
]


@pytest.mark.parametrize(("sixteenths", "outcome"), GUARD_BAND)
def test_every_mark_of_the_rule(sixteenths, outcome):
    """Each sixteenth from nothing to three inches falls where the guard band puts it."""
    found = judge(strip(F(sixteenths, 16)), LIMITS)

    assert outcome is found.outcome


@pytest.mark.parametrize(
    ("width", "outcome"),
    [
        (F(10296, 10000), Outcome.AT_LIMIT),
        (F(10297, 10000), Outcome.PASS),
        (F(14703, 10000), Outcome.PASS),
        (F(14704, 10000), Outcome.AT_LIMIT),
    ],
)
def test_edges_of_the_guard_band(width, outcome):
    """The band is 1.645 / sqrt(12) of a sixteenth: 0.029679 in from each limit (JCGM 106)."""
    edges = 1 + 1.645 / math.sqrt(12) / 16, 1.5 - 1.645 / math.sqrt(12) / 16

    assert (edges[0] <= width <= edges[1]) is (outcome is Outcome.PASS)
    assert outcome is judge(strip(width), LIMITS).outcome


@pytest.mark.parametrize(
    ("mm", "outcome"),
    [
        (F(25), Outcome.FAIL),
        (F(254, 10), Outcome.AT_LIMIT),
        (F(26), Outcome.AT_LIMIT),
        (F(27), Outcome.PASS),
        (F(32), Outcome.PASS),
        (F(37), Outcome.PASS),
        (F(38), Outcome.AT_LIMIT),
        (F(381, 10), Outcome.AT_LIMIT),
        (F(39), Outcome.OUT),
    ],
)
def test_millimetres(mm, outcome):
    """A width in millimetres is judged exactly (25.4 mm to the inch, NIST SP 811)."""
    assert outcome is judge(strip(mm / F(254, 10)), LIMITS).outcome


@pytest.mark.parametrize(
    ("width", "lean", "outcome"),
    [
        (F(1), OVER, Outcome.AT_LIMIT),  # "inch strong": not below the least
        (F(1), UNDER, Outcome.ASK),  # "inch shy": below
        (F(3, 2), OVER, Outcome.ASK),  # "inch and a half heavy": above
        (F(3, 2), UNDER, Outcome.AT_LIMIT),  # "inch and a half light": in
        (F(5, 4), OVER, Outcome.PASS),
        (F(5, 4), UNDER, Outcome.PASS),
        (F(17, 16), UNDER, Outcome.ASK),  # may reach below an inch
        (F(23, 16), OVER, Outcome.ASK),  # may reach above an inch and a half
        (F(9, 8), UNDER, Outcome.AT_LIMIT),
        (F(11, 8), OVER, Outcome.AT_LIMIT),
        (F(15, 16), OVER, Outcome.ASK),
        (F(15, 16), UNDER, Outcome.FAIL),
        (F(7, 8), OVER, Outcome.FAIL),
        (F(25, 16), UNDER, Outcome.ASK),
        (F(25, 16), OVER, Outcome.OUT),
        (F(13, 8), UNDER, Outcome.OUT),
        (F(5, 4), ABOUT, Outcome.ASK),
        (F(1, 2), ABOUT, Outcome.ASK),
    ],
)
def test_hedges(width, lean, outcome):
    """A hedge that could decide the verdict is asked about; how far it reaches is disputed."""
    assert outcome is judge(strip(width, lean=lean), LIMITS).outcome


@pytest.mark.parametrize("lean", list(Lean))
@pytest.mark.parametrize(
    "flawed",
    [{"mode": CLEAN}, {"mode": PARTLY}, {"heat": HeatMarks.BURN}, {"heat": HeatMarks.BLEED_OUT}],
)
def test_flaw_is_not_asked_about(lean, flawed):
    """What fails at any width fails without a question about the width."""
    assert Outcome.FAIL is judge(strip(F(1), lean=lean, **flawed), LIMITS).outcome


@pytest.mark.parametrize(
    ("width", "solid", "lean", "outcome"),
    [
        (F(5, 4), F(7, 8), None, Outcome.FAIL),
        (F(5, 4), F(1), None, Outcome.AT_LIMIT),
        (F(11, 8), F(9, 8), None, Outcome.PASS),
        (F(25, 16), F(5, 4), None, Outcome.OUT),  # the whole bond is what is too wide
        (F(5, 4), F(9, 8), UNDER, Outcome.AT_LIMIT),
        (F(5, 4), F(17, 16), UNDER, Outcome.FAIL),
        (F(5, 4), F(1), OVER, Outcome.AT_LIMIT),
        (F(5, 4), F(9, 8), ABOUT, Outcome.NO_VERDICT),
        (F(5, 4), F(3, 2), None, Outcome.NO_VERDICT),  # wider than the whole: misheard
    ],
)
def test_solid_part_beside_a_void(width, solid, lean, outcome):
    """Where there is a void, its solid part must be wide enough, and doubt counts against it."""
    found = judge(strip(width, solid=solid, solid_lean=lean), LIMITS)

    assert outcome is found.outcome


def test_solid_part_is_told():
    """A pass beside a void does not hide the void."""
    found = judge(strip(F(11, 8), solid=F(9, 8)), LIMITS)

    assert found.reasons == (why.SOLID_JUDGED,)


def test_partly_torn_fails_whatever_is_solid():
    """A film that tore only partly fails even beside a wide solid part."""
    assert Outcome.FAIL is judge(strip(F(11, 8), PARTLY, solid=F(5, 4)), LIMITS).outcome


@pytest.mark.parametrize(
    "unknown", [{"width": None}, {"mode": None}, {"heat": None}, {"unheard": True}]
)
@pytest.mark.parametrize("mode", [mode for mode in FailureMode if mode is not FailureMode.AT_GRIP])
@pytest.mark.parametrize("heat", list(HeatMarks))
def test_unknown_is_no_verdict(unknown, mode, heat):
    """Whatever else is known, a thing that was not heard leaves no verdict."""
    known = {"width": F(5, 4), "mode": mode, "heat": heat, **unknown}
    test = PeelTest(
        known["width"], None, known["mode"], None, known["heat"], None, "unheard" in known
    )

    assert Outcome.NO_VERDICT is judge(test, LIMITS).outcome


def test_unknown_width_does_not_hide_a_clean_peel():
    """A clean peel is told even where its width was not heard."""
    found = judge(strip(None, CLEAN), LIMITS)

    assert found.reasons == (why.WIDTH_UNKNOWN, why.CLEAN_PEEL)


def test_limits_of_another_sheet():
    """Limits are data: two inches are too wide for one sheet and a pass for another."""
    wider = WidthLimits(F(3, 2), F(5, 2), F(1, 8))

    assert Outcome.PASS is judge(strip(F(2)), wider).outcome
    assert Outcome.OUT is judge(strip(F(2)), LIMITS).outcome
    assert wider is judge(strip(F(2)), wider).limits


def test_coarse_rule_leaves_no_plain_pass():
    """Limits closer together than the rule can tell are never passed without a mark."""
    close = WidthLimits(F(1), F(17, 16), F(1, 8))
    outcomes = {judge(strip(F(n, 64)), close).outcome for n in range(64, 69)}

    assert {Outcome.AT_LIMIT} == outcomes


def test_limits_upside_down_never_pass():
    """Limits that contradict each other let nothing through."""
    upside_down = WidthLimits(F(3, 2), F(1))
    outcomes = {judge(strip(F(n, 16)), upside_down).outcome for n in range(48)}

    assert outcomes.isdisjoint(PASSING)


@pytest.mark.parametrize("sentence", why.REASONS)
def test_reasons_can_be_spoken(sentence):
    """Reasons are whole sentences without figures."""
    assert sentence.endswith(".")
    assert sentence[0].isupper()
    assert not any(character.isdigit() for character in sentence)


def test_all_reasons_are_listed():
    """Every reason that any strip can get is in the list that is rendered ahead of need."""
    widths = [None, *(F(n, 16) for n in (14, 16, 20, 24, 26))]
    leans, modes, heats = [None, *Lean], [None, *FailureMode], [None, *HeatMarks]
    tests = [
        PeelTest(width, lean, mode, solid, heat, None, unheard)
        for width, lean, mode, solid, heat, unheard in itertools.product(
            widths, leans, modes, [None, F(7, 8), F(9, 8)], heats, [False, True]
        )
    ]
    tests += [replace(strip(), defects=frozenset({defect})) for defect in Defect]
    tests += [replace(strip(), pull=pull) for pull in (None, *Pull)]
    tests += [replace(strip(), across=across) for across in (None, False, True)]
    tests += [replace(strip(), strip_in=F(1, 2))]
    limits = replace(LIMITS, strip_least_in=F(1))
    found = {reason for test in tests for reason in judge(test, limits).reasons}

    assert set(why.REASONS) == found


LEANS = st.sampled_from([None, *Lean])
WIDTHS = st.one_of(st.none(), st.fractions(0, 3))


@given(
    st.builds(
        PeelTest,
        width_in=WIDTHS,
        lean=LEANS,
        mode=st.sampled_from([None, *FailureMode]),
        solid_in=WIDTHS,
        heat=st.sampled_from([None, *HeatMarks]),
        solid_lean=LEANS,
    )
)
@example(strip(F(5, 4)))
@example(strip(F(1), lean=UNDER))
def test_nothing_passes_that_should_not(test):
    """A pass always has film tearing, no heat marks, and all it can mean inside the limits."""
    passed = judge(test, LIMITS).outcome in PASSING
    width, solid = test.width_in, test.solid_in

    assert not passed or (
        test.mode in (TORN, FailureMode.AT_SCRIM)
        and test.heat is HeatMarks.NONE
        and test.lean is not ABOUT
        and width is not None
        and 1 <= width <= F(3, 2)
        and not (test.lean is UNDER and width < F(9, 8))
        and not (test.lean is OVER and width > F(11, 8))
        and (solid is None or solid >= 1)
    )
