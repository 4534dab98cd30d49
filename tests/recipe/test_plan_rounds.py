"""The plan: balanced rounds, fair voices, the same from one seed. Speech parts are faked."""

import itertools
from collections import Counter

import plan
import pytest
from texts import phrase_table
from voices import DEV, HELD_OUT

NAMES = [*HELD_OUT, "af_bella", "am_adam", "bf_alice", "ef_dora", "jf_alpha"]
LETTERS = "bdfgklmnprstvz"
WORDS = ["".join(letters) for letters in itertools.product(LETTERS, "aeiou", LETTERS)]


class FakePhonemiser:
    """Says every letter as itself, and knows some thousand words."""

    def lexicon(self) -> dict[str, str]:
        """Return words that ``fake_dictionary`` says alike."""
        return dict.fromkeys(WORDS, "tˈɛn")  # noqa: RUF001 - a phoneme sign

    def phonemes(self, text: str, end: str = "") -> str:
        """Return the text itself."""
        return text + end


@pytest.fixture
def planner(monkeypatch):
    """Return a way to make planners without the packages of speech."""
    known = {word: [["T", "EH", "N"]] for word in WORDS}
    monkeypatch.setattr(plan, "Phonemiser", FakePhonemiser)
    monkeypatch.setattr(plan, "dictionary", lambda: known)
    monkeypatch.setattr(plan, "VOCABULARY", 500)
    return lambda: plan.Planner(NAMES)


def test_every_round_is_balanced(planner):
    """A round says each command once, as many single words, and the rest as ``ROUND`` tells."""
    planning = planner()
    phrases = sorted(plan.words_of(text) for text in phrase_table())
    for _ in range(3):
        said = planning.one_round()
        commands = sorted(one["text"] for one in said if one["kind"] == "command")

        assert commands == phrases
        assert Counter(one["kind"] for one in said) == {
            "command": len(phrases),
            "word": len(phrases),
            **plan.ROUND,
        }


def test_single_words_take_turns(planner):
    """No single word is said a second time before every other was said once."""
    planning = planner()
    singles = [
        one["text"] for _ in range(3) for one in planning.one_round() if one["kind"] == "word"
    ]
    counts = Counter(singles).values()

    assert max(counts) - min(counts) <= 1


def test_training_never_hears_a_held_out_voice(planner):
    """Neither a speaker nor whoever is imitated is one of those kept for measuring."""
    said = planner().one_round()
    voices = [one["voice"] for one in said] + [one.get("speaks_like") or [] for one in said]

    assert not {name for voice in voices for name in voice} & set(HELD_OUT)
    assert {one["split"] for one in said} == {"train"}


def test_clips_to_measure_with_keep_to_their_voices(planner):
    """Dev clips are spoken by dev voices alone, plainly, every command several times."""
    clips = planner().clips(DEV, {"width": 5, "chatter": 3})
    names = {name for one in clips for name in one["voice"] if isinstance(name, str)}
    commands = Counter(one["text"] for one in clips if one["kind"] == "command")

    assert names == set(DEV)
    assert set(commands.values()) == {plan.TESTS_OF_EACH}
    assert all(one["split"] == "test" and "manner" not in one for one in clips)


def test_a_plan_comes_out_the_same(planner):
    """One seed, one plan; the next round is another."""
    first, second = planner(), planner()
    one = first.one_round()

    assert one == second.one_round()
    assert one != first.one_round()
