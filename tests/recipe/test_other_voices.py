"""Speech of other engines: the parts that need no engine, and no download."""

import random

import other_engines as engines
import other_voices as others
import pytest
from texts import phrase_table, word_table

VOCABULARY = [f"other{letter}" for letter in "abcdefghijklmnopqrstuvwxyz"]


@pytest.mark.parametrize(
    ("text", "table", "wanted"),
    [
        ("tear the sheet", engines.ESPEAK_SPELLINGS, "tare the sheet"),
        ("film tearing bond", engines.ESPEAK_SPELLINGS, "film tearing bond"),
        ("a fishmouth.", engines.ESPEAK_SPELLINGS, "a fish mouth."),
        ("scrim showing", engines.FLITE_SPELLINGS, "scrimm showing"),
        ("hey lapcall!", engines.RESPELLED, "hey lap call!"),
        ("five eighths, no, a half", engines.FLITE_SPELLINGS, "five eighths, no, a half"),
    ],
)
def test_only_whole_words_are_respelled(text, table, wanted):
    """A word is spelled for the ear; words that merely hold it, and punctuation, stay."""
    assert engines.respelled(text, table) == wanted


def test_a_round_says_every_phrase_and_word():
    """No phrase is missing from a round, and number words come more often than others."""
    rng = random.Random(1)  # noqa: S311 - chance, not secrets
    texts = [text for text, _ in others.round_texts(rng, VOCABULARY)]

    assert {*phrase_table(), *word_table()} <= set(texts)
    assert texts.count("seven") > texts.count("wrinkle")


def test_a_plan_grows_without_changing(tmp_path):
    """More rounds keep the ones already planned, so that speech made of them stays right."""
    plan, engine = tmp_path / "utts.jsonl", engines.Flite()
    first = others.extend_plan(plan, "flite", engine, VOCABULARY, 1)
    both = others.extend_plan(plan, "flite", engine, VOCABULARY, 2)

    assert both[: len(first)] == first
    assert [said["id"] for said in both] == list(range(2 * len(first)))
    assert {tuple(said["manner"]) for said in both} == {("stretch", "pitch", "size")}
