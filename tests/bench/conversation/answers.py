"""Hear answers to a read-back as they are heard there: beside every value that may be said again.

    python tests/bench/conversation/answers.py CLIPS [--shared ../shared/data]

CLIPS holds manifest.jsonl as models/recipe makes it; people's own "yes" and "no" come from
``--shared``. Each clip is heard in several stretches of noise at each level, through gate, patience
and recogniser as live. Writes tests/bench/results/answers.json, whose ``pairs`` have the form of
those of tests/bench/ear. Not part of the test suite.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from datetime import datetime, timezone
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from bench.conversation.measured import ANSWERS, READ_BACK
from bench.ear.cutting import listened, with_silence
from bench.ear.kept import as_lines
from bench.ear.levels import HELD_OUT_NOISE, Noises, at_level, to_pcm
from bench.ear.recordings_in import Recording, own_phrases, peoples_words

from assistant.ear.gate import Gate, silero
from assistant.ear.listening import Listening
from assistant.ear.recogniser import Recogniser
from assistant.words.commands import YES_NO
from assistant.words.grammars import confirm

LEVELS = ("clean", "10", "5", "0")
PATIENCE_MS = 700
"""As after a read-back (dialogue.prompts.patience_for)."""


def answers_in(options: argparse.Namespace) -> list[Recording]:
    """Return every clip in which an answer is said."""
    found = [*own_phrases(options.clips), *peoples_words(options.shared / "words")]
    return [one for one in found if one.text in YES_NO]


def heard(options: argparse.Namespace) -> Iterator[list[Any]]:
    """Yield set, level, noise, voice, said, heard and confidence of each clip in each noise."""
    noises = Noises(options.shared / "noise", HELD_OUT_NOISE)
    recogniser, gate, grammar = Recogniser(options.model), Gate(silero()), confirm("in")
    for one in answers_in(options):
        sound = one.sound()
        for level in LEVELS:
            for draw in range(1 if level == "clean" else options.draws):
                noise, mixed = at_level(f"{one.id} {draw}", sound, level, noises)
                gate.probability.forget_place()
                listening = Listening(recogniser, gate)
                pcm = with_silence(to_pcm(mixed), PATIENCE_MS)
                found = listened(pcm, listening, grammar, PATIENCE_MS, all_of_them=False)
                text, sure = (found[0].text, found[0].confidence) if found else (None, 0.0)
                yield [READ_BACK, level, noise, one.voice, one.text, text, round(sure, 4)]


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("clips", type=Path)
    parser.add_argument("--shared", type=Path, default=ROOT.parent / "shared" / "data")
    parser.add_argument("--model", type=Path, default=ROOT / "models" / "ear")
    parser.add_argument("--draws", type=int, default=6, help="stretches of noise for each clip")
    parser.add_argument("--out", type=Path, default=ANSWERS)
    options = parser.parse_args()
    rows = sorted(heard(options), key=lambda row: [str(part) for part in row])
    about = json.loads((options.model / "about.json").read_text("utf-8"))
    result = {
        "made": str(datetime.now(timezone.utc).date()),
        "model": about["sha256"],
        "clips": options.clips.resolve().name,
        "pairs": rows,
    }
    options.out.write_text(as_lines(result), encoding="utf-8")
    print(f"{options.out}: {len(rows)} answers heard")


if __name__ == "__main__":
    main()
