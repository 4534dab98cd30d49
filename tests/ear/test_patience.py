from __future__ import annotations

import random

import pytest

from assistant.ear.patience import PatienceSettings, Standing, patience_ms, standing
from assistant.ear.ports import Heard
from assistant.words import grammars
from assistant.words.phrase import Grammar

SETTINGS = PatienceSettings(whole_ms=300, afterthought_ms=700, part_factor=1.5, sure_from=0.7)
YES_NO, WIDTH, SEAM = grammars.yes_no(), grammars.value("in"), grammars.value("number")
CONFIRM, PLAINLY = grammars.confirm("in"), grammars.value_plainly("in")
CHOICE = grammars.choice({"scrim": ("scrim",), "showing": ("scrim showing", "showing")})


@pytest.mark.parametrize(
    ("grammar", "text", "expected"),
    [
        (YES_NO, "yes", Standing.WHOLE),
        (YES_NO, "that is right", Standing.WHOLE),
        (YES_NO, "that is", Standing.PART),
        (YES_NO, "stop", Standing.WHOLE),  # "stop stop" means no more
        (YES_NO, "hold", Standing.WHOLE),  # nor does "hold on"
        (YES_NO, "", Standing.NOT_UNDERSTOOD),
        (YES_NO, "[unk]", Standing.NOT_UNDERSTOOD),
        (YES_NO, "yes [unk]", Standing.NOT_UNDERSTOOD),
        (YES_NO, "inch", Standing.NOT_UNDERSTOOD),
        (WIDTH, "stop", Standing.WHOLE),
        (WIDTH, "one", Standing.MAY_GO_ON),
        (WIDTH, "inch", Standing.MAY_GO_ON),
        (WIDTH, "one and", Standing.PART),
        (WIDTH, "one and a", Standing.PART),
        (WIDTH, "one and three", Standing.PART),
        (WIDTH, "one and three sixteenths", Standing.AFTERTHOUGHT),
        (WIDTH, "inch and a quarter", Standing.AFTERTHOUGHT),
        (WIDTH, "inch and a quarter strong", Standing.AFTERTHOUGHT),
        (WIDTH, "inch and a quarter no", Standing.PART),
        (WIDTH, "half an", Standing.PART),
        (WIDTH, "one point", Standing.PART),
        (WIDTH, "one point two", Standing.MAY_GO_ON),  # another digit
        (WIDTH, "forty", Standing.MAY_GO_ON),  # millimeters
        (WIDTH, "forty millimeters", Standing.AFTERTHOUGHT),
        (SEAM, "seam", Standing.PART),
        (SEAM, "forty", Standing.MAY_GO_ON),
        (SEAM, "forty two", Standing.WHOLE),
        (CONFIRM, "yes", Standing.WHOLE),
        (CONFIRM, "no", Standing.MAY_GO_ON),  # and then the width once more
        (PLAINLY, "one decimal two", Standing.MAY_GO_ON),
        (CHOICE, "scrim", Standing.MAY_GO_ON),
        (CHOICE, "scrim showing", Standing.WHOLE),
    ],
)
def test_standing_of_words_in_a_grammar(grammar: Grammar, text: str, expected: Standing):
    """How far words have come is read off the grammar they were heard under."""
    assert standing(text, grammar) is expected


@pytest.mark.parametrize(
    ("text", "confidence", "damaged", "asked_ms", "expected_ms"),
    [
        ("stop", 1.0, False, 1200, 300),
        ("stop", 0.7, False, 1200, 300),
        ("stop", 0.69, False, 1200, 1200),  # too unsure to cut anybody short
        ("stop", 1.0, True, 1200, 1200),
        ("stop", 1.0, False, 200, 200),  # never longer than asked for
        ("one", 1.0, False, 1200, 1200),
        ("one and", 1.0, False, 1200, 1800),
        ("one and", 0.2, False, 1200, 1200),
        ("inch and a half", 1.0, False, 1200, 700),
        ("inch and a half", 1.0, False, 500, 500),
        ("[unk]", 1.0, False, 1200, 1200),
        ("", 0.0, False, 1200, 1200),
    ],
)
def test_patience_follows_standing(
    text: str, confidence: float, damaged: bool, asked_ms: int, expected_ms: int
):
    """Nothing to follow: short; something must follow: long; unsure: as asked for."""
    heard = Heard(text, confidence=confidence, damaged=damaged)

    assert patience_ms(heard, WIDTH, asked_ms, SETTINGS) == expected_ms


@pytest.mark.parametrize("grammar", [YES_NO, WIDTH, SEAM, CONFIRM, PLAINLY, CHOICE])
def test_no_beginning_of_a_phrase_is_cut_short(grammar: Grammar):
    """Inside any phrase, patience is short only where all that follows is an afterthought."""
    rng = random.Random(7)  # noqa: S311 - phrases to try, no secrets
    for _ in range(200):
        words = grammar.phrase.pick(rng)
        for count in range(1, len(words)):
            said = " ".join(words[:count])
            span_ms = patience_ms(Heard(said), grammar, 1200, SETTINGS)
            same = grammar.readings(said) == grammar.readings(" ".join(words))

            assert span_ms >= (300 if same else 700), (said, words)
            assert span_ms <= 1800


@pytest.mark.parametrize("grammar", [YES_NO, WIDTH, SEAM, CONFIRM, PLAINLY, CHOICE])
def test_what_is_a_part_can_be_finished_only_by_more_words(grammar: Grammar):
    """Part and whole agree with what the grammar itself can read."""
    rng = random.Random(8)  # noqa: S311 - phrases to try, no secrets
    for _ in range(200):
        words = grammar.phrase.pick(rng)
        for count in range(1, len(words) + 1):
            said = " ".join(words[:count])

            assert (standing(said, grammar) is Standing.PART) == (not grammar.readings(said))
