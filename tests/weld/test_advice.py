"""What to check first: the trade's causes in the order that the strip speaks for."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from support.strips import LIMITS, TESTS, F, strip

from assistant.weld.advice import (
    FIRST,
    REMEDIES,
    Again,
    Around,
    Cause,
    first_in_words,
    to_check,
)
from assistant.weld.strip import Defect, FailureMode, HeatMarks, Pull
from assistant.weld.verdict import PASSING, Outcome, judge

CLEAN, PARTLY = FailureMode.CLEAN_PEEL, FailureMode.PARTLY


def checked(around=(), **changed) -> list[Cause | Again]:
    """Return what to check after a strip that is good but for what is given."""
    test = strip(**changed)
    return list(to_check(test, judge(test, LIMITS), frozenset(around)))


def seen(*defects) -> dict[str, frozenset[Defect]]:
    """Return the defects as an answer."""
    return {"defects": frozenset(defects)}


# Cold weld: too little heat, too fast, low voltage, dirt, damp. Bleed-out, burn: too hot.
# Wrinkle: raised gun, wind, tension. Stitch marks: roller edge. Common practice, no source.
@pytest.mark.parametrize(
    ("changed", "first"),
    [
        ({"mode": CLEAN}, Cause.FAST),
        ({"width_in": F(7, 8)}, Cause.FAST),
        ({"width_in": F(1)}, Cause.FAST),  # at the limit it is told too
        ({"width_in": F(7, 4)}, Cause.SLOW),
        ({"width_in": F(3, 2)}, Cause.SLOW),
        ({"heat": HeatMarks.BURN}, Cause.SLOW),
        ({"heat": HeatMarks.BLEED_OUT}, Cause.SLOW),
        ({"heat": HeatMarks.BLEED_OUT, "width_in": F(7, 8)}, Cause.SLOW),
        ({"mode": PARTLY}, Cause.ROLLER),
        ({"solid_in": F(7, 8)}, Cause.ROLLER),
        ({"width_in": F(7, 8), **seen(Defect.STITCH_MARKS)}, Cause.ROLLER),
        ({"width_in": F(7, 8), **seen(Defect.WRINKLE)}, Cause.RAISED),
        ({"mode": CLEAN, **seen(Defect.DIRT)}, Cause.DIRT),
        (seen(Defect.FISHMOUTH), Cause.LAP),
        (seen(Defect.WRINKLE), Cause.RAISED),  # passed, and still told
        ({"mode": FailureMode.AT_GRIP}, Again.GRIP),
        ({"pull": Pull.JERKED}, Again.PULL),
        ({"across": False}, Again.CUT),
        ({"width_in": None}, Again.READ),
    ],
)
def test_the_likeliest_cause_comes_first(changed, first):
    """What the strip shows decides what is looked at first."""
    assert checked(**changed)[0] is first


def test_a_clean_peel_names_every_cold_cause():
    """All that makes a weld peel clean is named, and nothing that makes it too hot."""
    cold = {Cause.FAST, Cause.PINCHED, Cause.POWER, Cause.DIRT, Cause.DAMP, Cause.RAISED}

    assert set(checked(mode=CLEAN)) == cold


@pytest.mark.parametrize(
    ("around", "first"),
    [
        ([Around.LOW_POWER], Cause.POWER),
        ([Around.DAMP], Cause.DAMP),
        ([Around.SOILED], Cause.DIRT),
        ([Around.COLD_SHEET], Cause.FAST),
        ([Around.WIND], Cause.FAST),
    ],
)
def test_what_is_known_besides_moves_its_cause_up(around, first):
    """After a clean peel, a doubtful source or a damp sheet is what to look at first."""
    assert checked(around, mode=CLEAN)[0] is first


def test_what_is_known_besides_makes_no_cause_of_its_own():
    """Low power explains no strip that came out too hot."""
    assert checked([Around.LOW_POWER], heat=HeatMarks.BURN) == [Cause.SLOW]


def test_a_hot_strip_is_not_told_to_go_slower():
    """Heat marks speak against cold causes, whatever else the strip shows."""
    found = checked(heat=HeatMarks.BURN, mode=CLEAN)

    assert found.index(Cause.SLOW) == 0
    assert Cause.POWER not in found


def test_a_plain_pass_has_nothing_to_check():
    """Where all is well nothing is said."""
    assert checked() == []
    assert checked(width_in=F(17, 16)) == []


def test_a_jerk_beside_a_clean_peel_is_told_last():
    """What to do otherwise with the next strip comes behind the causes of a failed weld."""
    assert checked(mode=CLEAN, pull=Pull.JERKED)[-1] is Again.PULL


@given(TESTS, st.frozensets(st.sampled_from(list(Around))))
def test_every_strip_that_did_not_pass_gets_something_to_check(test, around):
    """No welder is left with a fail and nothing to look at; each check comes once."""
    verdict = judge(test, LIMITS)
    assume(verdict.outcome is not Outcome.PASS)
    found = to_check(test, verdict, around)

    assert found
    assert len(set(found)) == len(found)


@given(TESTS)
def test_one_sentence_is_said_unless_it_passed(test):
    """The spoken advice is one of the sentences rendered ahead, and none after a pass."""
    verdict = judge(test, LIMITS)
    said = first_in_words(test, verdict)

    assert (said in FIRST.values()) is (verdict.outcome not in PASSING)


@given(TESTS, st.sampled_from(list(Around)))
def test_what_is_known_besides_never_changes_which_causes(test, known):
    """Circumstances put causes in another order; they take none away and add none."""
    verdict = judge(test, LIMITS)

    assert set(to_check(test, verdict)) == set(to_check(test, verdict, frozenset({known})))


def test_every_check_can_be_said():
    """Each check has its sentence, short and in words, and each cause its remedy."""
    assert set(FIRST) == {*Cause, *Again}
    assert set(REMEDIES) == set(Cause)
    for sentence in [*FIRST.values(), *REMEDIES.values()]:
        assert sentence.endswith(".")
        assert not any(character.isdigit() for character in sentence)
    assert max(len(sentence.split()) for sentence in FIRST.values()) <= 12
