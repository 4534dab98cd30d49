"""Which clips are dropped once a judge has told how far each is from its words."""

import faults
import pytest
from data import Recording

LEXICON = {
    "no": [["N", "OW"]],
    "and": [["AH", "N", "D"], ["AH", "N"]],
    "lapcall": [["L", "AE", "P", "K", "AO", "L"]],
}
COST = faults.PHONE_COST


def clip(words: str, kind: str = "command", number: int = 0) -> Recording:
    """Return a clip of these words."""
    return Recording(0, 16_000, tuple(words.split()), kind, "someone", "made", number)


@pytest.mark.parametrize(
    ("gap", "words", "kind", "nats"),
    [
        (0.0, "no", "command", 2 * COST),
        (-2 * COST, "no", "command", 0.0),
        (-2 * COST + 5, "no", "command", 5.0),
        (0.0, "and", "width", 2 * COST),
        (0.0, "no and", "word", 4 * COST),
        (0.0, "no", "talk", 2 * (COST - faults.OF_TALK)),
        (0.0, "no", "vocabulary", 2 * (COST - faults.OF_TALK)),
        (0.0, "no", "prompt", 2 * (COST - faults.OF_TALK)),
    ],
)
def test_excess_charges_other_phones_for_each_phone_of_the_words(gap, words, kind, nats):
    """Other phones pay as many prices as the words have at least; for talk they pay less."""
    assert faults.excess(gap, clip(words, kind), LEXICON) == pytest.approx(nats)


@pytest.mark.parametrize(
    ("bad", "good", "strange"),
    [(0, 4, False), (1, 3, False), (1, 2, True), (4, 0, True), (25, 75, False), (26, 74, True)],
)
def test_a_word_is_strange_when_over_a_quarter_of_its_clips_are_at_fault(bad, good, strange):
    """Faults in many clips of a word tell of the judge, not of the clips."""
    over = [(9.0, clip("lapcall"))] * bad + [(0.0, clip("lapcall"))] * good

    assert faults.strange_words(over) == ({"lapcall"} if strange else set())


def test_a_word_said_twice_in_a_clip_counts_once():
    """Only clips are counted, not words."""
    over = [(9.0, clip("no no no")), *[(0.0, clip("no"))] * 3]

    assert faults.strange_words(over) == set()


def test_clips_with_strange_words_stay():
    """A clip goes when it is at fault and the judge knows all its words."""
    over = [
        (faults.LEAST + 0.1, clip("no", number=1)),
        (faults.LEAST, clip("no", number=2)),
        (50.0, clip("lapcall no", number=3)),
        (float("inf"), clip("and", number=4)),
    ]

    assert [one.number for one in faults.faulty(over, {"lapcall"})] == [1, 4]
