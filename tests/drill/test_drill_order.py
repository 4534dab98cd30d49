"""Which question comes next."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.drill.model import Told
from assistant.drill.order import AFTER_RIGHT, AFTER_WRONG, next_question

IDS = tuple(f"q{place}" for place in range(60))


def asked(answer_wrong: str, count: int, seed: int = 0) -> list[str]:
    """Return what is asked in a drill in which one question alone is answered wrongly."""
    told: list[Told] = []
    for _ in range(count):
        name = next_question(IDS, told, seed)
        told.append(Told(name, name != answer_wrong))
    return [one.question for one in told]


def test_a_wrong_answer_comes_again_soon_and_with_others_between() -> None:
    """Two other questions lie between a wrong answer and its question."""
    order = asked(answer_wrong="q3", count=120)
    places = [place for place, name in enumerate(order) if name == "q3"]
    gaps = [later - earlier for earlier, later in pairwise(places)]

    assert len(places) > 10
    assert set(gaps) == {AFTER_WRONG}


def test_a_right_answer_comes_again_later_and_later() -> None:
    """With each right answer in a row, twice as many others pass until its question is due."""
    told: list[Told] = []
    gaps = []
    for _ in range(4):
        told += [Told("another", True)] * (len(told) % 2)  # a turn in which new ones may wait
        told.append(Told("q0", True))
        since = len(told)
        while next_question(("q0", "never-asked"), told, 0) != "q0":
            told.append(Told("another", True))
        gaps.append(len(told) - since + 1)

    assert gaps == [AFTER_RIGHT, 2 * AFTER_RIGHT, 4 * AFTER_RIGHT, 8 * AFTER_RIGHT]


def test_new_questions_and_right_ones_take_turns() -> None:
    """Who answers all rightly has met every question within twice as many, and repeated some."""
    order = asked(answer_wrong="", count=2 * len(IDS))

    assert set(order) == set(IDS)
    assert len(set(order[: len(IDS)])) < len(IDS)


@pytest.mark.parametrize("seed", range(5))
def test_at_first_each_question_is_asked_once(seed: int) -> None:
    """As long as nothing is due again, none comes twice; the seed decides the order."""
    order = asked(answer_wrong="", count=AFTER_RIGHT, seed=seed)

    assert len(set(order)) == AFTER_RIGHT
    assert seed == 0 or order != asked(answer_wrong="", count=AFTER_RIGHT)


def test_the_order_is_the_same_on_every_machine() -> None:
    """The same seed gives the same order; these are the first three of seed nought."""
    assert asked(answer_wrong="", count=3) == asked(answer_wrong="", count=3)
    assert asked(answer_wrong="", count=3) == FIRST_OF_SEED_0


FIRST_OF_SEED_0 = ["q22", "q45", "q6"]


@given(
    st.lists(st.sampled_from(IDS), min_size=1, unique=True),
    st.lists(st.tuples(st.sampled_from(IDS), st.booleans()), max_size=40),
    st.integers(),
)
def test_there_is_always_a_next_question_and_no_two_in_a_row(
    ids: list[str], told: list[tuple[str, bool]], seed: int
) -> None:
    """Whatever was answered, one of the ids is next, and not the last one unless it is alone."""
    history = [Told(name, right) for name, right in told]
    found = next_question(ids, history, seed)

    assert found in ids
    assert len(ids) == 1 or not history or found != history[-1].question
