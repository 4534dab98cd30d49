"""``lapcall hear``: what the ear makes of recordings, as one JSON line for each."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands.judging import as_json
from assistant.commands.options import (
    add_model,
    add_step,
    grammar_of,
    open_recogniser,
    print_json,
    say_missing_words,
)
from assistant.ear.ports import Heard
from assistant.words.phrase import Grammar
from assistant.words.understand import understand

if TYPE_CHECKING:
    from assistant.commands.options import Commands


def add_to(commands: Commands) -> None:
    """Add the command."""
    hear = commands.add_parser("hear", help="show what the ear makes of recordings, as JSON lines")
    hear.add_argument("files", nargs="+", type=Path, metavar="FILE.wav")
    add_step(hear)
    add_model(hear)
    hear.set_defaults(run=run_hear)


def run_hear(options: argparse.Namespace) -> int:
    """Print one line for each file."""
    from assistant.ear.wav_ear import hear_file  # noqa: PLC0415 - the recogniser loads late

    grammar = grammar_of(options)
    recogniser = open_recogniser(options)
    say_missing_words(recogniser, [grammar])
    for file in options.files:
        print_json(heard_as_json(file, hear_file(file, grammar, recogniser), grammar))
    return 0


def heard_as_json(file: Path, heard: Heard, grammar: Grammar) -> dict[str, object]:
    """Return what was heard and understood as plain data; times in seconds, rounded."""
    return {
        "file": str(file),
        "heard": heard.text,
        "confidence": round(heard.confidence, 3),
        "words": [
            {
                "word": word.word,
                "confidence": round(word.confidence, 3),
                "began_s": round(word.began_s, 2),
                "ended_s": round(word.ended_s, 2),
            }
            for word in heard.words
        ],
        "understood": as_json(understand(heard.text, grammar)),
    }
