"""Decide who says what, before a sound is made: clips to measure with, then training speech.

Run: ``python plan.py PARTS OUT [--rounds 120]``. Writes OUT/dev, OUT/test and OUT/corpus, each with
utts.jsonl (what will be said, in order), and into OUT/corpus lexicon.txt and vocab.txt.

Thresholds may be chosen with ``dev``; ``test`` is for the last look. Each round of training speech
holds every command once and a fair share of everything else, so speech making may stop at any time
and what is there is balanced.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from chatter import chatter
from corpus import write_rows
from manner import drawn
from pronounce import dictionary, write_lexicon
from speech import Parts, Phonemiser, vary_eighths
from texts import measured, phrase_table, seam_number, width, word_table, words_of
from vocabulary import agreed_words
from voices import DEV, HELD_OUT, Voice, held_out_speakers, names_in, training_voices

SEED = 29
SPEAKERS = 480
VOCABULARY = 6000
"""Words of talk to be refused."""
# A round of these: two fifths commands and single words, a quarter widths, the rest the others.
ROUND = {"width": 110, "seam": 28, "measured": 40, "chatter": 60, "vocabulary": 30}
DEV_SET = {"width": 450, "seam": 120, "measured": 150, "chatter": 500}
TEST_SET = {"width": 700, "seam": 200, "measured": 200, "chatter": 1500}
TESTS_OF_EACH = 4
ENDINGS = [".", ".", ".", "!", "?", "", "", ""]
LIKE_ANOTHER = 0.4
"""Share of utterances in one voice but half in the way of speaking of another."""
Utterance = dict[str, Any]


class Planner:
    """Draws texts, voices, speeds; all from one seed."""

    def __init__(self, names: list[str]) -> None:
        self._rng = random.Random(SEED)
        self._english = Phonemiser()
        self._speakers = self._endless(training_voices(names, SPEAKERS, self._rng))
        self._singles = self._endless(word_table())
        agreed = agreed_words(self._english.lexicon(), dictionary())
        self._vocabulary = self._rng.sample(agreed, VOCABULARY)
        self._loners = self._endless(self._vocabulary)
        self.known = [*phrase_table(), *word_table()]

    def _endless(self, things: list[Any]) -> Iterator[Any]:
        while True:
            yield from self._rng.sample(things, len(things))

    def _utterance(self, text: str, kind: str, voice: Voice) -> Utterance:
        rng = self._rng
        signs = self._english.phonemes(text, rng.choice(ENDINGS))
        return {
            "text": words_of(text),
            "kind": kind,
            "voice": voice.as_list(),
            "speed": round(rng.uniform(0.85, 1.25), 2),
            "phonemes": vary_eighths(signs, rng),
        }

    def _varied(self, kind: str) -> str:
        if kind == "vocabulary":
            return str(next(self._loners))
        if kind == "chatter":
            return chatter(self._rng, self.known, self._vocabulary)
        return {"width": width, "seam": seam_number, "measured": measured}[kind](self._rng)

    def _texts(self, counts: dict[str, int]) -> list[tuple[str, str]]:
        return [(self._varied(kind), kind) for kind, count in counts.items() for _ in range(count)]

    def clips(self, voices: tuple[str, ...], counts: dict[str, int]) -> list[Utterance]:
        """Return what is measured with: held-out voices and blends of them, in plain manner."""
        speakers = self._endless(held_out_speakers(voices))
        texts = [(text, "command") for text in phrase_table() for _ in range(TESTS_OF_EACH)]
        texts += [(text, "word") for text in word_table()] + self._texts(counts)
        self._rng.shuffle(texts)
        made = [self._utterance(text, kind, next(speakers)) for text, kind in texts]
        return [{**one, "split": "test"} for one in made]

    def one_round(self) -> list[Utterance]:
        """Return one round of training speech, shuffled."""
        texts = [(text, "command") for text in phrase_table()]
        texts += [(next(self._singles), "word") for _ in phrase_table()]
        texts += self._texts(ROUND)
        self._rng.shuffle(texts)
        return [self._trained(text, kind) for text, kind in texts]

    def _trained(self, text: str, kind: str) -> Utterance:
        said = {**self._utterance(text, kind, next(self._speakers)), "split": "train"}
        said["manner"] = drawn(self._rng).as_dict()
        if self._rng.random() < LIKE_ANOTHER:
            said["speaks_like"] = next(self._speakers).as_list()
        return said


def main() -> None:
    """Write the plan and the lexicon of every word in it."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("parts", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--rounds", type=int, default=120)
    asked = parser.parse_args()
    parts = Parts(asked.parts)
    parts.check()
    planner = Planner(names_in(parts.voices))
    rest = tuple(name for name in HELD_OUT if name not in DEV)
    lists = {"dev": planner.clips(DEV, DEV_SET), "test": planner.clips(rest, TEST_SET)}
    lists["corpus"] = [said for _ in range(asked.rounds) for said in planner.one_round()]
    for name, utterances in lists.items():
        (asked.out / name).mkdir(parents=True, exist_ok=True)
        numbered = [{"id": number, **one} for number, one in enumerate(utterances)]
        write_rows(asked.out / name / "utts.jsonl", numbered)
    known = {word for text in planner.known for word in text.split()}
    texts = [str(said["text"]) for utterances in lists.values() for said in utterances]
    words = known | {word for text in texts for word in text.split()}
    corpus = asked.out / "corpus"
    write_lexicon(corpus / "lexicon.txt", sorted(words), dictionary())
    (corpus / "vocab.txt").write_text("\n".join(sorted(known)) + "\n", encoding="utf-8")
    sizes = ", ".join(f"{len(said)} {name}" for name, said in lists.items())
    print(f"{sizes}; {len(words)} words in {asked.out}")


if __name__ == "__main__":
    main()
