"""What training draws on, and how often."""

import json
from collections import Counter

import data
import numpy as np
import pytest
from corpus import Corpus, write_rows
from data import Draws, Recording
from voices import HELD_OUT

LEXICON = {"yes": [["Y", "EH", "S"]], "no": [["N", "OW"]], "ten": [["T", "EH", "N"]]}


def clips(text: str, kind: str, count: int, speaker: str = "a") -> list[Recording]:
    """Return so many recordings of a text, each half a second long, each elsewhere."""
    words = tuple(text.split())
    begin = 1_000_000 * hash_of(text + speaker)
    return [Recording(begin + at, 8000, words, kind, speaker, "made", at) for at in range(count)]


def hash_of(text: str) -> int:
    """Return a number for a text, the same in every run."""
    return sum(place * ord(letter) for place, letter in enumerate(text, 1))


def test_a_rare_word_is_drawn_as_often_as_a_common_one():
    """Three recordings of a word weigh as much as three hundred of another."""
    draws = Draws([*clips("yes", "command", 3), *clips("no", "command", 300)], 5)
    said = Counter(word for _ in range(2000) for word in draws.example().words)

    assert said["yes"] == pytest.approx(said["no"], rel=0.15)


def test_kinds_are_drawn_by_their_shares():
    """However many recordings a kind has, its share of the examples stays."""
    everything = [
        *clips("yes", "command", 900),
        *clips("inch", "width", 30),
        *clips("talk", "talk", 3),
    ]
    draws = Draws(everything, 6)
    first = Counter(
        one.recordings[0].kind for one in (draws.example() for _ in range(6000)) if one.recordings
    )
    total = sum(data.SHARES[kind] for kind in first)

    assert set(first) == {"command", "width", "talk"}
    for kind, count in first.items():
        assert count / first.total() == pytest.approx(data.SHARES[kind] / total, abs=0.03)


def test_some_examples_are_noise_alone():
    """A few hold no speech, so that the network learns to keep quiet."""
    draws = Draws(clips("yes", "command", 3), 7)
    empty = sum(not draws.example().recordings for _ in range(3000))

    assert 60 < empty < 190


def test_digits_are_joined_within_one_person():
    """Up to four digits follow each other, all by the same person."""
    spoken = [
        clip for who in "abc" for text in ("yes", "no") for clip in clips(text, "digit", 9, who)
    ]
    draws = Draws(spoken, 8)
    drawn = [one for one in (draws.example() for _ in range(500)) if one.recordings]

    assert all(len({clip.speaker for clip in one.recordings}) == 1 for one in drawn)
    assert {len(one.recordings) for one in drawn} == {1, 2, 3, data.PIECES}


def test_a_seed_draws_the_same():
    """Two drawers of one seed agree, another seed does not."""
    everything = [*clips("yes", "command", 50), *clips("no", "word", 50)]
    one, same, other = (Draws(everything, seed) for seed in (1, 1, 2))
    drawn = [one.example() for _ in range(50)]

    assert drawn == [same.example() for _ in range(50)]
    assert drawn != [other.example() for _ in range(50)]


def test_a_batch_holds_what_its_examples_say():
    """Each row tells where its recordings begin, and what they say."""
    everything = [*clips("yes", "command", 5), *clips("no", "width", 5)]
    batch = next(Draws(everything, 3).batches(rows=16, at_once=2))
    begins = {one.start: one for one in everything}

    assert len(batch.texts) == 16
    for row, text in enumerate(batch.texts):
        pieces = [begins[start] for start in batch.starts[row] if start]
        assert tuple(word for piece in pieces for word in piece.words) == text
        assert bool(batch.spoken[row]) == bool(text)


@pytest.fixture
def folder(tmp_path):
    """A data folder with one corpus: two clips that may train, and one of each that may not."""
    said = [
        {"text": "yes", "kind": "command", "split": "train", "voice": ["free"]},
        {"text": "no", "kind": "command", "split": "train", "voice": ["free"]},
        {"text": "ten", "kind": "word", "split": "test", "voice": ["free"]},
        {"text": "ten", "kind": "word", "split": "train", "voice": [HELD_OUT[0], "free", 0.5]},
        {"text": "unheard of", "kind": "chatter", "split": "train", "voice": ["free"]},
        {"text": "ten", "kind": "word", "split": "train", "voice": ["free"]},
    ]
    made = tmp_path / "made"
    made.mkdir()
    write_rows(made / "utts.jsonl", [{"id": number, **one} for number, one in enumerate(said)])
    corpus = Corpus(made, 0)
    for number in range(len(said)):
        length = data.LONGEST if number == len(said) - 1 else 100
        corpus.add(number, np.full(length, number + 1, np.int16))
    with (made / "w0.jsonl").open("a") as listed:
        listed.write("[9, 12")
    return tmp_path


def test_only_what_may_train_is_loaded(folder):
    """Test clips, held-out voices, unknown words, long clips and torn lines are left out."""
    samples, found = data.load(folder, LEXICON)

    assert [one.words for one in found] == [("yes",), ("no",)]
    assert all(
        set(samples[one.start : one.start + one.length]) == {one.number + 1} for one in found
    )


def test_dropped_clips_are_left_out_unless_all_are_asked_for(folder):
    """What the check dropped trains nothing, but the next check hears it again."""
    (folder / "made" / "dropped.json").write_text(json.dumps([0]))

    assert [one.number for one in data.load(folder, LEXICON)[1]] == [1]
    assert [one.number for one in data.load(folder, LEXICON, every=True)[1]] == [0, 1]


def test_sound_without_words_is_refused(folder):
    """A corpus that does not tell what is said in it stops everything, and says which it is."""
    (folder / "made" / "utts.jsonl").unlink()

    with pytest.raises(SystemExit, match=r"made has sound but no utts\.jsonl"):
        data.load(folder, LEXICON)
