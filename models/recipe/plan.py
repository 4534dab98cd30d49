"""Decide who says what, before a sound is made: the test set, then rounds of training speech.

Run: ``python plan.py PARTS OUT [--rounds 120]``. Writes OUT/test.jsonl and, into OUT/corpus,
utts.jsonl (the training speech in the order it will be made), lexicon.txt and vocab.txt.

Each round holds every command once and a fair share of everything else, so speech making may stop
at any time and what is there is balanced.
"""

from __future__ import annotations

import argparse
import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from chatter import chatter
from pronounce import dictionary, write_lexicon
from speech import Parts, Phonemiser, vary_eighths
from texts import phrase_table, seam_number, width, word_table, words_of
from voices import HELD_OUT, Voice, names_in, training_voices

SEED = 23
SPEAKERS = 320
TESTS_OF_EACH = 6
TEST_WIDTHS, TEST_SEAMS, TEST_CHATTER = 150, 40, 60
# A round of these: half commands and single words, a third widths, the rest numbers and chatter.
WIDTHS, SEAMS, CHATTER = 66, 18, 26
ENDINGS = [".", ".", ".", "!", "?", "", "", ""]
Utterance = dict[str, Any]


class Planner:
    """Draws texts, voices, speeds; all from one seed."""

    def __init__(self, names: list[str]) -> None:
        self._rng = random.Random(SEED)
        self._english = Phonemiser()
        self._speakers = self._endless(training_voices(names, SPEAKERS, self._rng))
        self._held = self._endless([Voice(name) for name in HELD_OUT])
        self._singles = self._endless_texts(word_table())
        self._known = [*phrase_table(), *word_table()]

    def _endless(self, voices: list[Voice]) -> Iterator[Voice]:
        while True:
            yield from self._rng.sample(voices, len(voices))

    def _endless_texts(self, texts: list[str]) -> Iterator[str]:
        while True:
            yield from self._rng.sample(texts, len(texts))

    def _utterance(self, text: str, kind: str, voice: Voice, split: str) -> Utterance:
        rng = self._rng
        signs = self._english.phonemes(text, rng.choice(ENDINGS))
        return {
            "text": words_of(text),
            "kind": kind,
            "split": split,
            "voice": voice.as_list(),
            "speed": round(rng.uniform(0.85, 1.25), 2),
            "phonemes": vary_eighths(signs, rng),
        }

    def _varied(self, kind: str) -> str:
        if kind == "width":
            return width(self._rng)
        return seam_number(self._rng) if kind == "seam" else chatter(self._rng, self._known)

    def test_set(self) -> list[Utterance]:
        """Return the test set: held-out voices, each command by several different ones."""
        made = []
        for text in phrase_table():
            for name in self._rng.sample(HELD_OUT, TESTS_OF_EACH):
                made.append(self._utterance(text, "command", Voice(name), "test"))
        for kind, count in (
            ("width", TEST_WIDTHS),
            ("seam", TEST_SEAMS),
            ("chatter", TEST_CHATTER),
        ):
            made += [
                self._utterance(self._varied(kind), kind, next(self._held), "test")
                for _ in range(count)
            ]
        return made

    def one_round(self) -> list[Utterance]:
        """Return one round of training speech, shuffled."""
        texts = [(text, "command") for text in phrase_table()]
        texts += [(next(self._singles), "word") for _ in phrase_table()]
        for kind, count in (("width", WIDTHS), ("seam", SEAMS), ("chatter", CHATTER)):
            texts += [(self._varied(kind), kind) for _ in range(count)]
        self._rng.shuffle(texts)
        return [self._utterance(text, kind, next(self._speakers), "train") for text, kind in texts]


def _write(path: Path, utterances: list[Utterance]) -> None:
    lines = [
        json.dumps({"id": number, **utterance}, ensure_ascii=False)
        for number, utterance in enumerate(utterances)
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    """Write the plan and the lexicon of every word in it."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("parts", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--rounds", type=int, default=120)
    asked = parser.parse_args()
    parts = Parts(asked.parts)
    parts.check()
    corpus: Path = asked.out / "corpus"
    corpus.mkdir(parents=True, exist_ok=True)
    planner = Planner(names_in(parts.voices))
    tests = planner.test_set()
    training = [said for _ in range(asked.rounds) for said in planner.one_round()]
    _write(asked.out / "test.jsonl", tests)
    _write(corpus / "utts.jsonl", training)
    known = {word for text in planner._known for word in text.split()}
    words = known | {word for said in [*tests, *training] for word in said["text"].split()}
    write_lexicon(corpus / "lexicon.txt", sorted(words), dictionary())
    (corpus / "vocab.txt").write_text("\n".join(sorted(known)) + "\n", encoding="utf-8")
    print(f"{len(tests)} to test, {len(training)} to train, {len(words)} words in {asked.out}")


if __name__ == "__main__":
    main()
