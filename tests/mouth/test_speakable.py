from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.mouth.wording import sentences, speakable


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        ("One and one quarter inches.", "One and one quarter inches."),
        ("Twenty-five: is that right?", "Twenty-five: is that right?"),
        ("Don't weld,\n  wait!", "Don't weld, wait!"),
        ("Don\u2019t weld; wait", "Don't weld; wait"),
        ("Ask Jos\u00e9", "Ask Jos\u00e9"),
        ("Ask Jose\u0301", "Ask Jos\u00e9"),
    ],
)
def test_words_pass(text, spoken):
    """Letters and plain punctuation pass, with single spaces and plain apostrophes."""
    assert speakable(text) == spoken


@pytest.mark.parametrize(
    "text",
    [
        "1 1/4 in",
        "Step 2",
        'one"',
        "50%",
        "a/b",
        "x = y",
        "70\u00b0",
        "\u00bd inch",
        "a (b)",
        "\u2014a",
    ],
)
def test_figures_and_signs_are_refused(text):
    """What voices read in different ways is refused, with what to do about it."""
    with pytest.raises(ValueError, match="out in words"):
        speakable(text)


@pytest.mark.parametrize("text", ["", "  ", "...", "?"])
def test_nothing_to_speak_is_refused(text):
    """A text without a word is refused."""
    with pytest.raises(ValueError, match="no word"):
        speakable(text)


@given(st.text(), st.sampled_from('0123456789\u00bc\u0663\u2460/"%\u00b0'), st.text())
def test_no_figure_gets_through(before, figure, after):
    """A figure is found wherever it stands and in whatever script."""
    with pytest.raises(ValueError, match="spoken"):
        speakable(before + figure + after)


@given(st.text("ab',.:;?!- ", min_size=1).filter(lambda text: "a" in text))
def test_parting_loses_no_word(text):
    """The sentences of a text hold all its letters, in order."""
    plain = speakable(text)
    letters = [sign for part in sentences(plain) for sign in part if sign.isalpha()]

    assert letters == [sign for sign in plain if sign.isalpha()]


def test_text_is_parted_behind_sentences():
    """A long text is parted at sentence ends, and only there."""
    assert sentences("Hot, is it? Then wait. Now: go") == ["Hot, is it?", "Then wait.", "Now: go"]
