"""How the bench of the ear counts: a miscount there would hide a wrong number."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench.ear.judged import Outcome, Trust, counted, judge
from bench.ear.recordings_in import Recording
from bench.ear.sets import (
    ANSWERS,
    CHATTER_READ_BACK,
    CHATTER_WIDTH,
    CHATTER_YES,
    NOT_OURS,
    NUMBER_WORDS,
    PEOPLES_DIGITS,
    READ_BACK,
    SEAM_AGAIN,
    SEAMS,
    UNASKED,
    WIDTH_AGAIN,
    WIDTHS,
    Asked,
    everything_listed,
    hearable,
    listed,
    questions,
    ten_digits,
)

from assistant.words import grammars

TRUST = Trust(answer=0.7, value=0.9)
WIDTH = Asked(WIDTHS, grammars.value("in"), "one and three eighths", 700)
TALK = Asked(CHATTER_WIDTH, grammars.value("in"), "", 700)
YES = Asked(ANSWERS, grammars.yes_no(), "yes", 500)
DIGIT = Asked(PEOPLES_DIGITS, ten_digits(), "zero", 500)


@pytest.mark.parametrize(
    ("asked", "heard", "confidence", "outcome"),
    [
        (WIDTH, "one and three eighths", 0.95, Outcome.RIGHT),
        (WIDTH, "one and three eighths inches", 0.95, Outcome.RIGHT),
        (WIDTH, "one and three eighths", 0.89, Outcome.ASKED),
        (WIDTH, "one and five eighths", 0.95, Outcome.WRONG),
        (WIDTH, "one and five eighths", 0.89, Outcome.ASKED),
        (WIDTH, "one and three eighths strong", 0.95, Outcome.WRONG),
        (WIDTH, "[unk]", 1.0, Outcome.ASKED),
        (WIDTH, "", 0.0, Outcome.ASKED),
        (WIDTH, "one and", 1.0, Outcome.ASKED),
        (WIDTH, "hold", 0.75, Outcome.WRONG),
        (WIDTH, "stop", 0.01, Outcome.WRONG),
        (TALK, "three eighths", 0.95, Outcome.WRONG),
        (TALK, "[unk]", 1.0, Outcome.ASKED),
        (TALK, "help", 0.1, Outcome.WRONG),
        (YES, "affirm", 0.7, Outcome.RIGHT),
        (YES, "no", 0.7, Outcome.WRONG),
        (YES, "no", 0.6, Outcome.ASKED),
        (DIGIT, "oh", 0.95, Outcome.RIGHT),
        (DIGIT, "four", 0.95, Outcome.WRONG),
        (DIGIT, "four", 0.8, Outcome.ASKED),
        (DIGIT, "four zero", 0.95, Outcome.ASKED),
    ],
)
def test_an_utterance_is_judged_as_the_dialogue_would(asked, heard, confidence, outcome):
    """Values need more trust than answers, stop needs none, and no phrase is ever guessed at."""
    assert judge(heard, confidence, asked).outcome(TRUST) is outcome


def test_asking_is_right_where_the_words_must_be_asked_about():
    """A phrase that the grammar knows to be unclear is heard right when Lapcall asks."""
    unclear = next(
        text
        for text in ("one two five", "one twenty five", "thirteen eighths", "six")
        if judge(text, 1.0, WIDTH).needs == "never" and grammars.value("in").readings(text)
    )
    asked = Asked(WIDTHS, grammars.value("in"), unclear, 700)

    assert judge(unclear, 1.0, asked).outcome(TRUST) is Outcome.RIGHT
    assert judge("[unk]", 1.0, asked).outcome(TRUST) is Outcome.ASKED


def test_counts_add_up_to_the_clips():
    """Every clip falls under one outcome."""
    heard = [judge(text, 0.95, WIDTH) for text in ("one and three eighths", "one inch", "[unk]")]
    counts = counted(heard, TRUST)

    assert counts == {"right": 1, "wrong": 1, "asked again": 1}


def _clip(text: str, kind: str) -> Recording:
    return Recording(text, Path("none.wav"), text, kind, "nobody")


@pytest.mark.parametrize(
    ("text", "kind", "groups"),
    [
        ("one and three eighths", "width", [WIDTHS, WIDTH_AGAIN]),
        ("ten frogs", "width", [NOT_OURS]),
        ("seam twelve", "seam", [SEAMS, SEAM_AGAIN]),
        ("affirm", "command", [ANSWERS, READ_BACK]),
        ("where are we", "command", [ANSWERS]),
        ("scrim showing", "command", [ANSWERS]),
        ("hey lapcall", "command", [UNASKED]),
        ("three eighths", "word", [NUMBER_WORDS]),
        ("forty percent", "measured", [UNASKED]),
        ("mind the ladder", "chatter", [CHATTER_WIDTH, CHATTER_YES, CHATTER_READ_BACK]),
        ("aardvark", "vocabulary", []),
        ("seven", "digit", [PEOPLES_DIGITS]),
    ],
)
def test_a_clip_is_heard_where_it_would_be_said(text, kind, groups):
    """Each kind of clip gets the grammar of the moment at which it is said, or none."""
    loose = [_clip("hey lapcall", "command"), _clip("forty percent", "measured")]
    asked = questions(loose)(_clip(text, kind))

    assert [one.group for one in asked] == groups


def test_nothing_may_be_taken_from_talk():
    """Chatter and widths in words of no grammar have no right answer."""
    asked = questions([])
    ones = [*asked(_clip("mind the ladder", "chatter")), *asked(_clip("ten frogs", "width"))]

    assert [one.said for one in ones] == ["", "", "", ""]


def test_a_list_means_its_own_phrases():
    """A grammar that is made for measuring reads each phrase as itself and nothing else."""
    grammar = listed("two", ["rain", "new gun"], ["ten percent", "two percent"])
    asked = Asked(UNASKED, grammar, "new gun", 500)
    value = Asked(UNASKED, grammar, "ten percent", 500)

    assert judge("new gun", 0.8, asked).outcome(TRUST) is Outcome.RIGHT
    assert judge("rain", 0.8, asked).outcome(TRUST) is Outcome.WRONG
    assert judge("gun", 1.0, asked).outcome(TRUST) is Outcome.ASKED
    assert judge("ten percent", 0.8, value).outcome(TRUST) is Outcome.ASKED
    assert judge("two percent", 0.95, value).outcome(TRUST) is Outcome.WRONG


def test_a_model_is_not_asked_for_words_it_lacks():
    """Clips of the bench's lists with such a word are left out; those of the product never are."""
    clips = [_clip("wind gust", "measured"), _clip("wow", "person's word"), _clip("yes", "command")]
    clips.append(_clip("one gust", "width"))

    assert "gust" in everything_listed(clips).automaton.vocabulary()
    assert [one.text for one in hearable(clips, frozenset({"gust"}))] == ["wow", "yes", "one gust"]
