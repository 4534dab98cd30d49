"""The suspect list of a failed test, and where to cut next until what is bad is bounded."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.roof import A, B, cut, patch, scrap, told, weld, work

from assistant.weld.seams import resolve
from assistant.weld.states import State
from assistant.weld.suspects import CutRules, Place, Way, accused
from assistant.weld.work import StripTest

F = Fraction
STEPS = CutRules(Way.STEPS)
HALVING = CutRules(Way.HALVING, bounded_ft=F(5))
PASS = scrap("7:00", True)


def lists(*things: object, rules: CutRules = STEPS):
    """Return what is accused."""
    return accused(resolve(work(*things)), rules)


def places(*things: object, rules: CutRules = STEPS) -> list[tuple[str, object]]:
    """Return where to cut next, as seam and feet."""
    return [(place.seam, place.at_ft) for one in lists(*things, rules=rules) for place in one.cuts]


def test_the_list_comes_at_once_and_names_hand_and_test():
    """The example of bracketing: S1 and S2 of gun 3 in A's hand, S3 of gun 4 not."""
    found = lists(
        PASS, weld("S1", "7:10"), weld("S2", "8:00"), weld("S3", "8:30", by=B),
        scrap("9:30", False), scrap("10:00", True),
    )  # fmt: skip

    assert [(one.hand, one.failed) for one in found] == [(A.hand, ("scrap 9:30",))]
    assert [stretch.seam for stretch in found[0].suspects] == ["S1", "S2"]
    assert found[0].feet is None


def test_nothing_is_accused_where_nothing_was_welded_since_the_pass():
    """A first strip that fails accuses nobody."""
    assert lists(PASS, scrap("9:30", False), weld("1", "10:00", 9, by=B)) == ()


def test_two_fails_with_no_pass_between_are_one_list():
    """A second failed strip adds to the first list, with what was welded between them."""
    found = lists(
        PASS, weld("1", "8:00", 50), scrap("9:00", False), weld("2", "9:10", 30),
        scrap("9:30", False),
    )  # fmt: skip

    assert [one.failed for one in found] == [("scrap 9:00", "scrap 9:30")]
    assert found[0].feet == 80


# Ten feet to either side, and on until both pass (lfweb.sjgov.org, 600107, page 848).
BEFORE = (PASS, weld("1", "8:00", 100), scrap("9:00", True))
TEN_FEET = [
    ("first cuts", [cut("1", 50, "15:00", False)], [("1", F(40)), ("1", F(60))]),
    (
        "one side failed again: ten feet farther there",
        [cut("1", 50, "15:00", False), cut("1", 40, "15:10", False), cut("1", 60, "15:20", True)],
        [("1", F(30))],
    ),
    (
        "both sides pass: bounded, no more cuts",
        [
            cut("1", 50, "15:00", False), cut("1", 40, "15:10", False),
            cut("1", 60, "15:20", True), cut("1", 30, "15:30", True),
        ],
        [],
    ),
    ("the pass of the morning bounds the near side", [cut("1", 8, "15:00", False)], [("1", F(18))]),
]  # fmt: skip


@pytest.mark.parametrize(("why", "cuts", "next_cuts"), TEN_FEET)
def test_ten_feet_to_either_side_until_both_pass(why, cuts, next_cuts):
    """The published way steps outward from the failed place."""
    assert places(*BEFORE, *cuts) == next_cuts, why


def test_ten_feet_run_on_into_the_seam_welded_before():
    """A step goes along what the hand welded, over the end of a seam."""
    things = (PASS, weld("1", "8:00", 50), weld("2", "8:30", 4), scrap("9:00", False))

    assert places(*things) == [("1", F(44))]


def test_ten_feet_of_a_seam_whose_length_nobody_told():
    """They are counted from its end, or from its start, whichever is known."""
    late = lists(PASS, weld("1", "8:00"), scrap("9:00", False), weld("2", "9:10"))[0]

    assert late.cuts == (
        Place("1", None, F(0), None, before_end_ft=F(10)),
        Place("2", F(10), F(0), None),
    )


def test_what_is_bounded_is_the_poor_length():
    """Between two passing cuts nothing more is cut; what is left is to be repaired."""
    cuts = [cut("1", feet, f"15:{feet - 10}", feet != 50) for feet in (40, 50, 60)]
    only = lists(*BEFORE, *cuts)[0]

    assert only.bounded
    assert [told(stretch)[1:3] for stretch in only.suspects] == [
        ("161/4", "199/4"),
        ("201/4", "239/4"),
    ]


def test_a_repaired_length_is_accused_no_more():
    """Once it is welded again, its list is shorter by it."""
    cuts = [cut("1", feet, f"15:{feet - 10}", feet != 50) for feet in (40, 50, 60)]

    assert lists(*BEFORE, *cuts, patch("1", 39, 61, "16:00")) == ()


def test_halving_begins_in_the_middle():
    """Half of what is suspect lies on either side of the cut."""
    assert places(PASS, weld("1", "8:00", 100), scrap("9:00", False), rules=HALVING) == [
        ("1", F(50))
    ]


def test_halving_takes_the_middle_run_where_feet_are_unknown():
    """Without lengths it is the runs that are halved."""
    things = [weld(str(number), f"8:0{number}") for number in range(1, 6)]
    cuts = lists(PASS, *things, scrap("9:00", False), rules=HALVING)[0].cuts

    assert [(place.seam, place.at_ft) for place in cuts] == [("3", None)]


def _search(bad_from: Fraction, rules: CutRules) -> tuple[int, Fraction]:
    """Cut as told, on 128 ft that went bad at ``bad_from``; return cuts made and suspect feet."""
    done: list[object] = [PASS, weld("1", "8:00", 128), scrap("9:00", False)]
    for count in range(1, 60):
        found = lists(*done, rules=rules)
        cuts = [place.at_ft for one in found for place in one.cuts]
        if not cuts:
            return count - 1, sum((one.feet or F(0) for one in found), F(0))
        feet = cuts[0]
        test = cut("1", feet, "9:00", feet < bad_from)
        done.append(StripTest(f"cut {count}", test.at, test.passed, seam="1", at_ft=feet))
    raise AssertionError("the cuts never ended")


@settings(max_examples=60, deadline=None)
@given(st.fractions(0, 128, max_denominator=16))
def test_halving_bounds_the_bad_end_in_few_cuts(bad_from):
    """128 ft shrink to five in at most five cuts, and all that is bad stays suspect."""
    count, suspect = _search(bad_from, HALVING)

    assert count <= 5
    assert suspect <= 128 - bad_from + 5


@settings(max_examples=40, deadline=None)
@given(st.fractions(0, 128, max_denominator=16))
def test_steps_come_to_an_end_too(bad_from):
    """Stepping back by ten feet needs up to twelve cuts for the same seam."""
    count, suspect = _search(bad_from, STEPS)

    assert count <= 13
    assert suspect <= 128 - bad_from + 10


def test_every_suspect_foot_is_on_a_list():
    """The lists hold exactly what the states call suspect."""
    things = work(
        PASS, weld("1", "8:00", 50), weld("2", "8:20", 30, by=B), scrap("9:00", False),
        scrap("9:10", False, B), weld("1", "9:20", 70, start=50), cut("1", 20, "9:30", True),
    )  # fmt: skip
    cover = resolve(things)
    listed = sum((one.feet or F(0) for one in accused(cover)), F(0))

    assert listed == sum((stretch.feet or F(0) for stretch in cover.of(State.SUSPECT)), F(0)) > 0
