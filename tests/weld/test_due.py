"""When a peel test is due: why, since when, and what a rule file can and cannot switch off."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.roof import A, at

from assistant.weld.due import DueRules, Happening, Kind, Weather, Why, due
from assistant.weld.work import PARTS, SetUp

F = Fraction
ALL = DueRules(
    ends=frozenset(Kind) - {Kind.USED, Kind.PASSED, Kind.FAILED, Kind.WELDED, Kind.WEATHER},
    changes=frozenset(PARTS),
    hours=F(5),
    feet=F(500),
    air_f=F(15),
    surface_f=F(20),
    wind_mph=F(10),
    sun=True,
)
FULL = SetUp("A", "gun 3", "40 mm", "7", "silicone", "generator", "lot 1")


def happened(kind: Kind, clock: str, by: SetUp | None = A, **more: object) -> Happening:
    """Return one happening."""
    return Happening(f"{kind.value} {clock}", at(clock), kind, by, **more)  # type: ignore[arg-type]


def passed(clock: str, by: SetUp = A) -> Happening:
    """Return a passing strip."""
    return happened(Kind.PASSED, clock, by)


def whys(clock: str, *things: Happening, rules: DueRules = ALL, by: SetUp = A):
    """Return why a test is due, and since when."""
    return [(each.why, each.what, f"{each.since:%H:%M}") for each in
            due(at(clock), things, rules, by).reasons]  # fmt: skip


def changed(part: str) -> SetUp:
    """Return the full set-up with one part another."""
    return SetUp(**{**{name: getattr(FULL, name) for name in PARTS}, part: "another"})


# When a new test weld is due: common practice (associationdatabase.co, MRMagazineDecember2022,
# page 12): each start, after lunch, on restart, on change or concern. A failed test or a void:
# common practice, no source. Hours and feet: as for membrane liners (lfweb.sjgov.org, 600292, page
# 90; 600297, page 332). Weather: a judgement, no number is published.
CASES = [
    ("nothing since the pass", [passed("7:00")], []),
    ("no strip ever", [happened(Kind.USED, "7:00")], [(Why.NO_TEST, "", "07:00")]),
    ("a break", [passed("7:00"), happened(Kind.BREAK, "9:30")], [(Why.BREAK, "", "09:30")]),
    ("cooled down", [passed("7:00"), happened(Kind.COOL_DOWN, "9:30")],
     [(Why.COOL_DOWN, "", "09:30")]),
    ("power lost", [passed("7:00"), happened(Kind.POWER_LOST, "9:30")],
     [(Why.POWER_LOST, "", "09:30")]),
    ("rain, for everybody", [passed("7:00"), happened(Kind.RAIN, "9:30", None)],
     [(Why.RAIN, "", "09:30")]),
    ("a void", [passed("7:00"), happened(Kind.VOID, "9:30")], [(Why.VOID, "", "09:30")]),
    ("doubt", [passed("7:00"), happened(Kind.DOUBT, "9:30")], [(Why.DOUBT, "", "09:30")]),
    ("something changes, not said into what", [passed("7:00"), happened(Kind.CHANGING, "9:30")],
     [(Why.CHANGED, "", "09:30")]),
    ("a fail", [passed("7:00"), happened(Kind.FAILED, "9:30")], [(Why.FAILED, "", "09:30")]),
    ("a fail, then a pass", [passed("7:00"), happened(Kind.FAILED, "9:30"), passed("9:50")], []),
    ("another's break", [passed("7:00"), happened(Kind.BREAK, "9:30", SetUp("B", "gun 4"))], []),
    ("another's pass", [passed("7:00"), happened(Kind.BREAK, "9:30"),
                        passed("9:40", SetUp("B", "gun 4"))], [(Why.BREAK, "", "09:30")]),
    ("this gun in another's hand",
     [passed("7:00"), happened(Kind.USED, "9:30", SetUp("B", "gun 3"))],
     [(Why.CHANGED, "welder", "09:30")]),
    ("another gun in this hand", [passed("7:00"), happened(Kind.USED, "9:30", SetUp("A", "gun 4"))],
     [(Why.CHANGED, "gun", "09:30")]),
    ("two reasons, the older first",
     [passed("7:00"), happened(Kind.RAIN, "9:40", None), happened(Kind.BREAK, "9:30")],
     [(Why.BREAK, "", "09:30"), (Why.RAIN, "", "09:40")]),
    ("feet, when they are reached",
     [passed("7:00"), *(happened(Kind.WELDED, f"{hour}:00", feet=F(200)) for hour in (8, 9, 10))],
     [(Why.FEET, "", "10:00")]),
    ("feet since the last pass only",
     [passed("7:00"), happened(Kind.WELDED, "8:00", feet=F(499)), passed("8:10"),
      happened(Kind.WELDED, "9:00", feet=F(499))], []),
    ("a pass and a break at one moment: the break counts",
     [passed("7:00"), passed("9:30"), happened(Kind.BREAK, "9:30")], [(Why.BREAK, "", "09:30")]),
]  # fmt: skip


@pytest.mark.parametrize(("why", "things", "expected"), CASES)
def test_a_test_is_due(why, things, expected):
    """Each thing that ends a proof is told with since when."""
    assert whys("11:00", *things) == expected, why


@pytest.mark.parametrize(("clock", "expected"), [("11:59", []), ("12:00", ["12:00"])])
def test_hours_run_out_to_the_minute(clock, expected):
    """Five hours after the pass, and not before, a test is due."""
    assert [since for _, _, since in whys(clock, passed("7:00"))] == expected


@pytest.mark.parametrize("part", [part for part in PARTS if part not in ("welder", "gun")])
def test_any_part_of_the_set_up_that_changes(part):
    """A change is told with its part, whether it was used since or is about to be."""
    used = happened(Kind.USED, "9:30", changed(part))
    about = whys("11:00", passed("7:00", FULL), by=changed(part))

    assert whys("11:00", passed("7:00", FULL), used, by=FULL)[0] == (Why.CHANGED, part, "09:30")
    assert about == [(Why.CHANGED, part, "11:00")]


def test_what_was_never_stated_is_no_change():
    """A dial that is told for the first time ends nothing."""
    known = SetUp("A", "gun 3", dial="7")

    assert whys("11:00", passed("7:00"), happened(Kind.USED, "9:30", known)) == []


def weather(clock: str, **read: object) -> Happening:
    """Return readings."""
    return happened(Kind.WEATHER, clock, None, weather=Weather(**read))  # type: ignore[arg-type]


WEATHER = [
    ([weather("6:50", air_f=F(60)), passed("7:00"), weather("9:00", air_f=F(74))], []),
    ([weather("6:50", air_f=F(60)), passed("7:00"), weather("9:00", air_f=F(75))], ["air"]),
    ([passed("7:00"), weather("8:00", air_f=F(60)), weather("9:00", air_f=F(45))], ["air"]),
    ([weather("6:50", surface_f=F(60)), passed("7:00"), weather("9:00", surface_f=F(80))],
     ["surface"]),
    ([weather("6:50", wind_mph=F(2)), passed("7:00"), weather("9:00", wind_mph=F(12))], ["wind"]),
    ([weather("6:50", sun=True), passed("7:00"), weather("9:00", sun=False)], ["sun"]),
    ([weather("6:50", air_f=F(60)), passed("7:00"), weather("8:00", air_f=F(80)), passed("8:10"),
      weather("9:00", air_f=F(85))], []),
]  # fmt: skip


@pytest.mark.parametrize(("things", "expected"), WEATHER)
def test_weather_that_moved_by_the_threshold(things, expected):
    """Readings are compared with those of the pass, and with nothing older."""
    assert [what for _, what, _ in whys("11:00", *things)] == expected


def test_no_rule_leaves_out_the_day_and_the_fail():
    """With an empty rule file a new day and a failed test still make a test due."""
    none = DueRules()
    next_day = due(at("7:00", day=5), [passed("7:00")], none, A)

    assert [each.why for each in next_day.reasons] == [Why.NEW_DAY]
    assert whys("11:00", passed("7:00"), happened(Kind.FAILED, "9:30"), rules=none)
    assert whys("11:00", rules=none)[0][0] is Why.NO_TEST
    assert whys("18:00", passed("7:00"), happened(Kind.BREAK, "9:30"), rules=none) == []


MILD = Weather(air_f=F(60))
HAPPENINGS = st.lists(
    st.builds(
        lambda number, kind, minutes, by: Happening(
            f"{number}", at("7:00") + timedelta(minutes=minutes), kind, by, F(50), MILD
        ),
        st.integers(0, 10**6),
        st.sampled_from(Kind),
        st.integers(0, 300),
        st.sampled_from([A, FULL, SetUp("B", "gun 3"), None]),
    ),
    max_size=8,
    unique_by=lambda each: each.id,
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(HAPPENINGS, st.randoms(use_true_random=False))
def test_the_order_of_happenings_makes_no_difference(things, shuffle):
    """Records merged in any order say the same."""
    mixed = shuffle.sample(things, len(things))

    assert due(at("13:00"), mixed, ALL, A) == due(at("13:00"), things, ALL, A)


@settings(max_examples=200, deadline=None)
@given(HAPPENINGS)
def test_only_a_pass_makes_a_due_test_not_due(things):
    """Whatever else happens, a test that is due stays due."""
    before = due(at("12:00"), things, ALL, A)
    later = [Happening("later", at("12:30"), kind, A) for kind in Kind if kind is not Kind.PASSED]
    for one in later:
        if before.due:
            assert due(at("13:00"), [*things, one], ALL, A).due
