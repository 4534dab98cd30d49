"""Make training speech with other engines, for variety: people differ more than one network does.

Run: ``python other_voices.py flite LEXICON OUT [--rounds 6]``, where LEXICON is what ``plan.py``
wrote: talk to be refused takes its words from there. Writes a corpus (``corpus.py``) into
OUT/flite. Can be stopped and started again; more rounds are drawn from the phrases that
``texts.py`` holds by then.
"""

from __future__ import annotations

import argparse
import json
import random
from pathlib import Path
from typing import Any

from chatter import chatter
from corpus import Corpus, rows_of
from data import read_lexicon
from other_engines import ENGINES, Engine
from speech import RATE, Sound, finished, to_int16
from texts import ONES, TENS, measured, phrase_table, seam_number, width, word_table, words_of

SEED = 31
WIDTHS, SEAMS, MEASURED, CHATTER, VOCABULARY = 60, 20, 25, 25, 12
NUMBERS_AGAIN = 2
"""How often each number word is said in a round beside once among the single words."""
LONGEST = 7 * RATE
"""Longer clips are not trained on."""
_SHORTEST = RATE // 5
_ENDINGS = [".", ".", ".", "!", "?", "", "", ""]
_RATE_STEP = 50
Utterance = dict[str, Any]


def other_words(lexicon: Path) -> list[str]:
    """Return the words of a lexicon that none of our phrases holds."""
    ours = {word for text in [*phrase_table(), *word_table()] for word in text.split()}
    return sorted(word for word in read_lexicon(lexicon) if len(word) > 2 and word not in ours)


def round_texts(rng: random.Random, vocabulary: list[str]) -> list[tuple[str, str]]:
    """Return one round as (text, kind), shuffled: all phrases and single words, and the varied."""
    known = [*phrase_table(), *word_table()]
    texts = [(text, "command") for text in phrase_table()]
    texts += [(text, "word") for text in word_table()]
    texts += [(text, "word") for text in [*ONES, *TENS, "oh"] for _ in range(NUMBERS_AGAIN)]
    texts += [(width(rng), "width") for _ in range(WIDTHS)]
    texts += [(seam_number(rng), "seam") for _ in range(SEAMS)]
    texts += [(measured(rng), "measured") for _ in range(MEASURED)]
    texts += [(chatter(rng, known, vocabulary), "chatter") for _ in range(CHATTER)]
    texts += [(word, "vocabulary") for word in rng.sample(vocabulary, VOCABULARY)]
    rng.shuffle(texts)
    return texts


def planned_round(
    name: str, engine: Engine, vocabulary: list[str], number: int, first_id: int
) -> list[Utterance]:
    """Return round ``number`` of an engine; the same arguments and phrases give the same."""
    rng = random.Random(f"{SEED} {name} {number}")
    voices, shares = list(engine.voices), list(engine.voices.values())
    planned = []
    for place, (text, kind) in enumerate(round_texts(rng, vocabulary)):
        voice = rng.choices(voices, shares)[0]
        planned.append(
            {
                "id": first_id + place,
                "text": words_of(text),
                "kind": kind,
                "split": "train",
                "voice": [name, voice],
                "said": text + rng.choice(_ENDINGS),
                "round": number,
                "manner": {k: round(v, 3) for k, v in engine.manner(voice, rng).items()},
            }
        )
    return planned


def extend_plan(
    path: Path, name: str, engine: Engine, vocabulary: list[str], rounds: int
) -> list[Utterance]:
    """Return all utterances planned in a file, after planning rounds until there are ``rounds``."""
    planned: list[Utterance] = rows_of(path)
    for number in range(planned[-1]["round"] + 1 if planned else 0, rounds):
        fresh = planned_round(name, engine, vocabulary, number, len(planned))
        with path.open("a", encoding="utf-8") as plan:
            plan.writelines(json.dumps(said) + "\n" for said in fresh)
        planned += fresh
    return planned


def spoken(engine: Engine, said: Utterance) -> Sound:
    """Return one utterance at 16 kHz, its ends trimmed, its speaker as small as planned."""
    sound, rate = engine.say(said["said"], said["voice"][1], said["manner"])
    heard_rate = round(rate * said["manner"]["size"] / _RATE_STEP) * _RATE_STEP
    return finished(sound, made_rate=heard_rate)


def main() -> None:
    """Plan what is missing, then make what is not there yet."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("engine", choices=list(ENGINES))
    parser.add_argument("lexicon", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--rounds", type=int, default=6)
    asked = parser.parse_args()
    engine = ENGINES[asked.engine]()
    folder: Path = asked.out / asked.engine
    folder.mkdir(parents=True, exist_ok=True)
    plan, vocabulary = folder / "utts.jsonl", other_words(asked.lexicon)
    planned = extend_plan(plan, asked.engine, engine, vocabulary, asked.rounds)
    corpus = Corpus(folder, 0)
    for said in planned:
        if said["id"] in corpus.made:
            continue
        sound = spoken(engine, said)
        if not _SHORTEST <= len(sound) < LONGEST:
            print(f"left out, {len(sound) / RATE:.1f} s: {said['voice']} {said['text']}")
            continue
        corpus.add(said["id"], to_int16(sound))
    print(f"{asked.engine}: {len(corpus.made)} clips, {corpus.samples / RATE / 60:.1f} minutes")


if __name__ == "__main__":
    main()
