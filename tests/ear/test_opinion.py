from __future__ import annotations

import math
from collections.abc import Hashable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ear.opinion import (
    NOTHING,
    Belief,
    Guess,
    Opinion,
    guesses_of,
    joined,
    meaning_of,
    weigh,
)
from assistant.ear.ports import HeardWord
from assistant.words import grammars

WIDTH = grammars.value("in")
YES_NO = grammars.yes_no()


def belief(*weights: float) -> Belief:
    """Return a belief in networks that count so much."""
    return Belief(1.0, 1e-3, weights, offset=0.0, slope=1.0)


def opinion(**shares: float) -> Opinion:
    """Return an opinion with these shares, each guessed in its own name."""
    return Opinion(dict(shares), {name: Guess(name, 0.0) for name in shares})


def share_of(text: str, found: Opinion) -> float:
    """Return the share of what ``text`` means as a width."""
    return found.shares.get(meaning_of(text, WIDTH), 0.0)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("inch and a quarter", "an inch and a quarter", True),
        ("three sixteenth inches", "three sixteenths", True),
        ("two inches no inch and a half", "inch and a half", True),
        ("inch and a half", "inch and a half strong", False),
        ("fifteen millimeters", "fifty millimeters", False),
        ("stop", "say again", False),
        ("[unk]", "", True),
        ("[unk]", "inch and a half", False),
    ],
)
def test_texts_that_do_the_same_have_one_meaning(one: str, other: str, same: bool):
    """Spelling and corrections make no other meaning; a hedge and another number do."""
    assert (meaning_of(one, WIDTH) == meaning_of(other, WIDTH)) is same


def test_two_ways_to_say_a_width_do_not_halve_its_share():
    """Guesses of one meaning add up, and outweigh a better one of another meaning."""
    found = weigh(
        [
            Guess("fifty millimeters", 100.0),
            Guess("an inch and a quarter", 99.8),
            Guess("inch and a quarter", 99.8),
        ],
        WIDTH,
        sharpness=1.0,
    )
    guess, share = found.best()

    assert guess.text == "an inch and a quarter"
    assert share == pytest.approx(2 * math.exp(-0.2) / (1 + 2 * math.exp(-0.2)))


def test_less_sharpness_leaves_more_doubt():
    """The same scores, believed less, give the second meaning a larger share."""
    guesses = [Guess("yes", 3.0), Guess("no", 0.0)]
    sharp, blunt = (weigh(guesses, YES_NO, s).best()[1] for s in (1.0, 0.5))

    assert sharp == pytest.approx(1 / (1 + math.exp(-3)))
    assert blunt == pytest.approx(1 / (1 + math.exp(-1.5)))


def test_all_that_is_not_ours_is_one_meaning():
    """Unknown speech and silence together may outweigh a word."""
    found = weigh([Guess("yes", 1.0), Guess("[unk]", 0.8), Guess("", 0.8)], YES_NO, 1.0)

    assert found.best()[0].text == "[unk]"
    assert set(found.shares) == {NOTHING, meaning_of("yes", YES_NO)}


def test_no_guess_at_all_means_nothing():
    """An empty answer is silence."""
    assert weigh([], YES_NO, 1.0).best() == (Guess("", 0.0), 1.0)


def test_words_are_as_sure_as_the_guesses_that_hold_them():
    """A word that all guesses hold at one time is sure; one that half of them hold is not."""
    fifty, fifteen = (HeardWord(word, 0.0, 0.3, 0.6) for word in ("fifty", "fifteen"))
    unit = HeardWord("millimeters", 0.0, 0.6, 1.2)
    found = weigh(
        [
            Guess("fifty millimeters", 0.0, (fifty, unit)),
            Guess("fifteen millimeters", 0.0, (fifteen, unit)),
        ],
        WIDTH,
        1.0,
    )

    assert [word.confidence for word in found.best()[0].words] == [0.5, 1.0]


def test_two_opinions_that_agree_are_no_less_sure():
    """Agreement keeps the share; a meaning that only one thought of loses."""
    first, second = opinion(a=0.8, b=0.2), opinion(a=0.8, c=0.2)
    guess, share = joined([first, second], belief(0.5, 0.5)).best()

    assert guess.text == "a"
    assert share > 0.95


def test_two_opinions_that_contradict_each_other_believe_neither():
    """Each is sure of another meaning: no meaning gets more than half."""
    assert joined([opinion(a=1.0), opinion(b=1.0)], belief(0.5, 0.5)).best()[1] == pytest.approx(
        0.5
    )


def test_what_both_hold_possible_beats_what_one_rules_out():
    """Two sure opinions that differ give way to what both would grant."""
    first, second = opinion(a=0.6, b=0.4), opinion(c=0.6, b=0.4)

    assert joined([first, second], belief(0.5, 0.5)).best()[0].text == "b"


def test_a_better_network_may_count_for_more():
    """Where two contradict each other, the one with more weight is rather believed."""
    guess, share = joined([opinion(a=1.0), opinion(b=1.0)], belief(0.7, 0.3)).best()

    assert guess.text == "a"
    assert share == pytest.approx(1 / (1 + 1e-3**0.4))


def test_one_opinion_is_left_as_it_is():
    """A model with one network needs no second opinion."""
    assert joined([opinion(a=0.7, b=0.3)], belief(1.0)) == opinion(a=0.7, b=0.3)


shares = st.dictionaries(st.sampled_from("abcdef"), st.floats(0.01, 1.0), min_size=1)


@given(st.lists(shares, min_size=1, max_size=3))
def test_shares_add_up(parts: list[dict[Hashable, float]]):
    """However opinions are joined, the shares are shares, and each meaning has its guess."""
    opinions = [opinion(**{k: v / sum(p.values()) for k, v in p.items()}) for p in parts]
    found = joined(opinions, belief(*[1 / len(parts)] * len(parts)))

    assert sum(found.shares.values()) == pytest.approx(1.0)
    assert set(found.shares) == set(found.guesses) == set().union(*parts)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_more_share_is_more_probable(one: float, other: float):
    """Calibration keeps the order, and stays between 0 and 1."""
    how = Belief(1.0, 1e-3, (1.0,), offset=-0.4, slope=0.8)
    low, high = (how.probability(share) for share in sorted((one, other)))

    assert 0 < low <= high < 1


def test_library_answer_is_read():
    """Text, score and the times of words; an answer in the other form holds no guesses."""
    word = {"word": "yes", "start": 0.1, "end": 0.4}
    answer = {"alternatives": [{"text": "yes", "confidence": 12.5, "result": [word]}]}

    assert guesses_of(answer) == [Guess("yes", 12.5, (HeardWord("yes", 0.0, 0.1, 0.4),))]
    assert guesses_of({"text": ""}) == []


def test_probability_of_an_even_share_is_the_offset():
    """At one half the logarithm of the odds is the offset alone."""
    how = Belief(1.0, 1e-3, (1.0,), offset=math.log(3), slope=2.0)

    assert how.probability(0.5) == pytest.approx(0.75)
    assert share_of("half", weigh([Guess("half", 0.0)], WIDTH, 1.0)) == 1.0
