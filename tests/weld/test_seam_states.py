"""What is proven of every foot: published bracketing, and rules that must hold for any record."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.roof import A, B, at, cut, fault, patch, probe, scrap, state_at, states, weld, work

from assistant.weld.seams import resolve, seam_order
from assistant.weld.states import Because, CoverRules, State
from assistant.weld.work import Defect, Probe, Repair, SetUp, StripTest, Weld, Work, merged

PROVEN, WAITING, SUSPECT = "proven", "waiting", "suspect"
TO_REPAIR, REPAIRED, AGAIN = "to repair", "repaired", "repaired and proven again"

# Bracketing as published for membrane liners, tracked by machine and operator
# (dnrweblink.state.co.us, 973583, page 62; lfweb.sjgov.org, 600107, page 848), with the example:
# PASS 07:00 (gun 3, A); seams S1 07:10, S2 08:00; gun 4/B seam S3 08:30; FAIL 09:30 (gun 3, A)
# -> suspect {S1, S2}, not S3. PASS 10:00 -> S1, S2 still suspect.
MORNING = (
    scrap("7:00", True),
    weld("S1", "7:10"),
    weld("S2", "8:00"),
    weld("S3", "8:30", by=B),
)


def test_a_fail_makes_suspect_what_its_hand_welded_since_its_last_pass():
    """The example: S1 and S2 are suspect at once, and the other welder's S3 is not."""
    assert states(*MORNING, scrap("9:30", False)) == [
        ("S1", "0", "end", SUSPECT),
        ("S2", "0", "end", SUSPECT),
        ("S3", "0", "end", WAITING),
    ]


def test_a_later_pass_on_scrap_clears_only_what_follows():
    """The example, one step on: after the pass of 10:00, S1 and S2 are still suspect."""
    found = states(
        *MORNING, scrap("9:30", False), scrap("10:00", True), weld("S4", "10:20"),
        scrap("12:00", True),
    )  # fmt: skip

    assert found == [
        ("S1", "0", "end", SUSPECT),
        ("S2", "0", "end", SUSPECT),
        ("S3", "0", "end", WAITING),
        ("S4", "0", "end", PROVEN),
    ]


CASES = {
    "between two passes": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", True)],
        [("1", "0", "100", PROVEN)],
    ),
    "since the last pass": (
        [scrap("7:00", True), weld("1", "8:00", 100)],
        [("1", "0", "100", WAITING)],
    ),
    "no pass before it, so a pass behind it proves nothing": (
        [weld("1", "8:00", 100), scrap("9:00", True)],
        [("1", "0", "100", WAITING)],
    ),
    "welded after a fail and before the next pass": (
        [scrap("7:00", False), weld("1", "8:00", 100), scrap("9:00", True)],
        [("1", "0", "100", SUSPECT)],
    ),
    "no verdict proves nothing and accuses nothing": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", None)],
        [("1", "0", "100", WAITING)],
    ),
    "the pass of another hand proves nothing": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", True, B)],
        [("1", "0", "100", WAITING)],
    ),
    "a fail whose hand was not stated accuses every hand": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", False, SetUp())],
        [("1", "0", "100", SUSPECT)],
    ),
    "a pass at the very moment of the weld does not stand behind it": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("8:00", True)],
        [("1", "0", "100", WAITING)],
    ),
    "a fail at the very moment of the weld does": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("8:00", False)],
        [("1", "0", "100", SUSPECT)],
    ),
    "of two tests at one moment the failed one counts": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", True),
         replace(scrap("9:00", False), id="second")],
        [("1", "0", "100", SUSPECT)],
    ),
    "a cut that passes clears what was welded before it, and leaves a hole to repair": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", False),
         cut("1", 40, "9:40", True)],
        [("1", "0", "159/4", PROVEN), ("1", "159/4", "161/4", TO_REPAIR),
         ("1", "161/4", "100", SUSPECT)],
    ),
    "welded the other way round, it clears the other end": (
        [scrap("7:00", True), weld("1", "8:00", 0, start=100), scrap("9:00", False),
         cut("1", 40, "9:40", True)],
        [("1", "0", "159/4", SUSPECT), ("1", "159/4", "161/4", TO_REPAIR),
         ("1", "161/4", "100", PROVEN)],
    ),
    "a cut that fails long after two passes spoils the whole length between them": (
        [scrap("7:00", True), weld("1", "8:00", 50), weld("2", "8:30", 50), scrap("9:00", True),
         cut("1", 25, "15:00", False)],
        [("1", "0", "99/4", SUSPECT), ("1", "99/4", "101/4", TO_REPAIR),
         ("1", "101/4", "50", SUSPECT), ("2", "0", "50", SUSPECT)],
    ),
    "two cuts that pass to either side bound it (ten feet, lfweb.sjgov.org, 600107, page 848)": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", True),
         cut("1", 50, "15:00", False), cut("1", 40, "15:20", True), cut("1", 60, "15:40", True)],
        [("1", "0", "159/4", PROVEN), ("1", "159/4", "161/4", TO_REPAIR),
         ("1", "161/4", "199/4", SUSPECT), ("1", "199/4", "201/4", TO_REPAIR),
         ("1", "201/4", "239/4", SUSPECT), ("1", "239/4", "241/4", TO_REPAIR),
         ("1", "241/4", "100", PROVEN)],
    ),
    "a cut nobody placed clears nothing, and the seam is open somewhere": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", False),
         cut("1", None, "9:40", True)],
        [("1", "0", "100", TO_REPAIR)],
    ),
    "a marked void is to be repaired whatever the tests say": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", True), fault("1", 50, "9:30")],
        [("1", "0", "99/2", PROVEN), ("1", "99/2", "101/2", TO_REPAIR),
         ("1", "101/2", "100", PROVEN)],
    ),
    "where a void is marked without its place, the whole seam is in question": (
        [scrap("7:00", True), weld("1", "8:00", 100), scrap("9:00", True),
         fault("1", None, "9:30")],
        [("1", "0", "100", TO_REPAIR)],
    ),
    "a probe that goes in is a fault along all that was probed": (
        [scrap("7:00", True), weld("1", "8:00", 9), scrap("9:00", True),
         probe("1", 0, 9, "9:30", clean=False)],
        [("1", "0", "9", TO_REPAIR)],
    ),
    "a clean probe does not prove a weld": (
        [scrap("7:00", True), weld("1", "8:00", 9), probe("1", 0, 9, "9:30")],
        [("1", "0", "9", WAITING)],
    ),
    "a repair waits for its tests and its probe": (
        [scrap("7:00", True), weld("1", "8:00", 9), scrap("9:00", True), fault("1", 5, "9:30"),
         patch("1", 4, 6, "9:40")],
        [("1", "0", "4", PROVEN), ("1", "4", "6", REPAIRED), ("1", "6", "9", PROVEN)],
    ),
    "tested but not probed it is still only repaired": (
        [scrap("7:00", True), weld("1", "8:00", 9), patch("1", 4, 6, "9:40"), scrap("10:00", True)],
        [("1", "0", "4", PROVEN), ("1", "4", "6", REPAIRED), ("1", "6", "9", PROVEN)],
    ),
    "probed before it was made does not count": (
        [scrap("7:00", True), weld("1", "8:00", 9), probe("1", 0, 9, "9:00"),
         patch("1", 4, 6, "9:40"), scrap("10:00", True)],
        [("1", "0", "4", PROVEN), ("1", "4", "6", REPAIRED), ("1", "6", "9", PROVEN)],
    ),
    "tested and probed over its whole length it is proven again": (
        [scrap("7:00", True), weld("1", "8:00", 9), fault("1", 5, "9:30"), patch("1", 4, 6, "9:40"),
         scrap("10:00", True), probe("1", 4, 5, "10:10"), probe("1", 5, 6, "10:20")],
        [("1", "0", "4", PROVEN), ("1", "4", "6", AGAIN), ("1", "6", "9", PROVEN)],
    ),
    "a repair of a suspect length clears only what it covers": (
        [scrap("7:00", True), weld("1", "8:00", 9), scrap("9:00", False), scrap("9:30", True),
         patch("1", 0, 6, "9:40"), scrap("10:00", True), probe("1", 0, 6, "10:10")],
        [("1", "0", "6", AGAIN), ("1", "6", "9", SUSPECT)],
    ),
    "a repair made by a failing set-up is suspect itself": (
        [scrap("7:00", True), weld("1", "8:00", 9), patch("1", 4, 6, "8:30"),
         scrap("9:00", False)],
        [("1", "0", "9", SUSPECT)],
    ),
    "a void marked after the repair opens it again": (
        [scrap("7:00", True), weld("1", "8:00", 9), patch("1", 0, 9, "8:30"), scrap("9:00", True),
         probe("1", 0, 9, "9:10"), fault("1", 5, "9:30")],
        [("1", "0", "9/2", AGAIN), ("1", "9/2", "11/2", TO_REPAIR), ("1", "11/2", "9", AGAIN)],
    ),
    "a failed cut through two welds accuses both hands": (
        [scrap("7:00", True), scrap("7:01", True, B), weld("1", "8:00", 9),
         weld("1", "8:10", 20, by=B, start=5), cut("1", 6, "9:00", False)],
        [("1", "0", "23/4", SUSPECT), ("1", "23/4", "25/4", TO_REPAIR),
         ("1", "25/4", "9", SUSPECT), ("1", "9", "20", SUSPECT)],
    ),
    "of two welds over each other the worse one counts": (
        [scrap("7:00", True), weld("1", "8:00", 9), scrap("9:00", False), scrap("9:30", True),
         weld("1", "9:40", 20, start=5), scrap("10:00", True)],
        [("1", "0", "9", SUSPECT), ("1", "9", "20", PROVEN)],
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_each_foot_is_what_the_tests_beside_it_make_of_it(case):
    """Between passes proven, since the last waiting, beside a fail suspect, until repaired."""
    things, expected = CASES[case]

    assert states(*things) == expected


def test_a_job_may_not_ask_for_the_probe():
    """By job rule a repair is proven again by its tests alone."""
    things = work(
        scrap("7:00", True), weld("1", "8:00", 9), patch("1", 0, 9, "9:40"), scrap("10:00", True)
    )
    cover = resolve(things, CoverRules(probe_repairs=False))

    assert [stretch.state for stretch in cover.stretches] == [State.PROVEN_AGAIN]


def test_what_lies_on_no_weld_is_named():
    """A fault, a cut or a probe beyond all welds is not lost in silence."""
    things = work(
        scrap("7:00", True), weld("1", "8:00", 9), fault("1", 20, "9:00"), fault("2", 3, "9:00"),
        cut("3", 1, "9:00", True),
    )  # fmt: skip

    assert resolve(things).unplaced == ("cut 3 1", "void 1 20", "void 2 3")


def test_a_failed_cut_from_nowhere_still_accuses():
    """A cut that fails on a seam nobody recorded makes its hand's welding suspect by its time."""
    lost = StripTest("lost", at("9:00"), False, A, seam="9", at_ft=Fraction(3))
    cover = resolve(work(scrap("7:00", True), weld("1", "8:00", 9), lost))

    assert [stretch.state for stretch in cover.stretches] == [State.SUSPECT]


def test_seams_are_ordered_as_people_order_them():
    """Numbers by size, then names."""
    assert sorted(["12", "S1", "9", "100", "not heard, 07:10"], key=seam_order) == [
        "9", "12", "100", "S1", "not heard, 07:10",
    ]  # fmt: skip


def test_one_id_for_two_things_is_refused():
    """Records that contradict each other are not merged in silence."""
    one = scrap("7:00", True)
    with pytest.raises(ValueError, match="two different things"):
        merged(work(one), work(replace(one, passed=False)))


# ---- whatever a record holds

HANDS = (A, B, SetUp("A", None), SetUp())
FEET = st.integers(0, 36).map(lambda third: Fraction(third, 3))
SEAMS = st.sampled_from(["1", "2"])
MINUTES = st.integers(0, 20)


def _time(minutes: int):
    return at("7:00") + timedelta(minutes=minutes)


@st.composite
def welds(draw, minutes=MINUTES):
    """Return a weld, now and then backward or of unknown length."""
    start, end = draw(FEET), draw(st.none() | FEET)
    number = draw(st.integers(0, 10**6))
    hand = draw(st.sampled_from(HANDS))
    return Weld(f"w{number}", _time(draw(minutes)), draw(SEAMS), hand, start, end)


@st.composite
def strip_tests(draw, minutes=MINUTES):
    """Return a test on scrap or a cut."""
    seam = draw(st.none() | SEAMS)
    place = draw(st.none() | FEET) if seam else None
    passed = draw(st.sampled_from([True, True, False, None]))
    number, hand = draw(st.integers(0, 10**6)), draw(st.sampled_from(HANDS))
    return StripTest(f"t{number}", _time(draw(minutes)), passed, hand, seam, place)


@st.composite
def others(draw, kind, minutes=MINUTES):
    """Return a probe, a fault or a repair."""
    name = f"{kind.__name__}{draw(st.integers(0, 10**6))}"
    moment, seam, low, high = _time(draw(minutes)), draw(SEAMS), draw(FEET), draw(FEET)
    if kind is Probe:
        return Probe(name, moment, seam, draw(st.booleans()), min(low, high), max(low, high))
    if kind is Defect:
        return Defect(name, moment, seam, "void", draw(st.none() | st.just(low)))
    hand = draw(st.sampled_from(HANDS))
    return Repair(name, moment, seam, min(low, high), max(low, high), hand)


def works(minutes=MINUTES, most=6):
    """Return work of every kind, each thing with an id of its own."""

    def unique(things):
        return st.lists(things, max_size=most, unique_by=lambda thing: thing.id).map(tuple)

    return st.builds(
        Work,
        unique(welds(minutes)),
        unique(strip_tests(minutes)),
        unique(others(Probe, minutes)),
        unique(others(Defect, minutes)),
        unique(others(Repair, minutes)),
    )


PLACES = [Fraction(step, 12) for step in range(12 * 14)]


def welded_at(done: Work, seam: str, feet: Fraction) -> bool:
    """Tell, from the records alone, whether something was welded at a place."""
    for each in (*done.welds, *done.repairs):
        end = Fraction(10**6) if each.to_ft is None else each.to_ft
        if each.seam == seam and min(each.from_ft, end) <= feet < max(each.from_ft, end):
            return True
    return False


@settings(max_examples=150, deadline=None)
@given(works())
def test_the_states_cover_every_welded_foot_exactly_once(done):
    """Wherever something was welded there is one state, and elsewhere none."""
    cover = resolve(done)
    for seam in ("1", "2"):
        for feet in PLACES:
            assert (state_at(cover, seam, feet) is not None) is welded_at(done, seam, feet)


@settings(max_examples=150, deadline=None)
@given(works(), works(), st.randoms(use_true_random=False))
def test_the_order_of_merging_makes_no_difference(one, other, shuffle: random.Random):
    """Two records merged in any order, with copies, resolve to the same."""
    try:
        straight = merged(one, other)
    except ValueError:
        return  # the same id was drawn for two things
    mixed = merged(other, one, other)

    def mix(things):
        return tuple(shuffle.sample(things, len(things)))

    shuffled = Work(
        mix(mixed.welds), mix(mixed.tests), mix(mixed.probes), mix(mixed.defects),
        mix(mixed.repairs),
    )  # fmt: skip

    assert resolve(shuffled).stretches == resolve(straight).stretches


LATER = st.integers(30, 50)
GOOD = (State.PROVEN, State.PROVEN_AGAIN)


@settings(max_examples=200, deadline=None)
@given(works(), works(LATER, 3))
def test_a_suspect_is_never_proven_without_a_test_of_it_or_a_repair(done, later):
    """Later welds, probes, faults and strips of scrap leave every suspect foot unproven."""
    scraps = tuple(test for test in later.tests if test.seam is None)
    try:
        more = merged(done, Work(later.welds, scraps, later.probes, later.defects))
    except ValueError:
        return
    before, after = resolve(done), resolve(more)
    for seam in ("1", "2"):
        for feet in PLACES[::2]:
            if state_at(before, seam, feet) in (State.SUSPECT, State.TO_REPAIR):
                assert state_at(after, seam, feet) not in GOOD


@settings(max_examples=100, deadline=None)
@given(works(), strip_tests(LATER))
def test_a_failing_test_never_makes_a_foot_better(done, test):
    """One more failed test proves nothing that was not proven before."""
    failed = replace(test, id="failed", passed=False)
    before = resolve(done)
    after = resolve(replace(done, tests=(*done.tests, failed)))
    for seam in ("1", "2"):
        for feet in PLACES[::2]:
            if state_at(before, seam, feet) not in GOOD:
                assert state_at(after, seam, feet) not in GOOD


def test_the_reasons_name_their_tests():
    """A stretch says by which tests or marks it is what it is."""
    things = (scrap("7:00", True), weld("1", "8:00", 9), scrap("9:00", True))
    proven = resolve(work(*things)).stretches[0]

    assert (proven.because, proven.by) == (
        Because.BETWEEN_PASSES, ("scrap 7:00", "scrap 9:00"),
    )  # fmt: skip
    assert proven.hand == ("A", "gun 3")
