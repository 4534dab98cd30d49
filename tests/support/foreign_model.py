"""Makes a model of the foreign kind out of ours: one dynamic graph for run-time phrase lists."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

from assistant.ear.fst import EPSILON, Fst
from assistant.ear.lexicon import SILENCE, Lexicon, read_lexicon

UNKNOWN = "[unk]"


def foreign_model(source: Path, folder: Path, words: list[str]) -> Path:
    """Write a dynamic model that knows ``words`` and ``[unk]``; return ``folder``."""
    for part in ("am", "conf"):
        shutil.copytree(source / part, folder / part)
    lexicon = read_lexicon(source)
    known = sorted({*words, UNKNOWN})
    numbers = {word: number for number, word in enumerate(known, start=1)}
    graph = folder / "graph"
    (graph / "phones").mkdir(parents=True)
    (graph / "HCLr.fst").write_bytes(_sounds(lexicon, numbers).to_bytes())
    loop = Fst()
    state = loop.state()
    loop.final(state)
    for number in numbers.values():
        loop.arc(state, number, number, math.log(len(numbers)), state)
    (graph / "Gr.fst").write_bytes(loop.to_bytes())
    (graph / "disambig_tid.int").write_text("\n")
    rows = ["<eps>", *known, "#0", "<s>", "</s>"]
    (graph / "words.txt").write_text("".join(f"{word} {at}\n" for at, word in enumerate(rows)))
    places = "".join(f"{at} {place}\n" for at, place in enumerate(lexicon.places, start=1))
    (graph / "phones" / "word_boundary.int").write_text(places)
    return folder


def _sounds(lexicon: Lexicon, numbers: dict[str, int]) -> Fst:
    """Return the transducer from transitions to any words, with silence between them."""
    fst = Fst()
    start, ready, quiet = fst.state(), fst.state(), fst.state()
    fst.final(ready)
    silence, even = lexicon.numbers[SILENCE], math.log(2)
    for state in (start,):
        fst.skip(state, even, ready)
        fst.arc(state, 2 * silence, EPSILON, even, quiet)
    fst.arc(quiet, 2 * silence - 1, EPSILON, 0.0, quiet)
    fst.skip(quiet, 0.0, ready)
    for word, number in numbers.items():
        # A model's [unk] is some phones that no word of ours has in this order.
        ways = [[lexicon.numbers["ZH_S"]]] if word == UNKNOWN else lexicon.pronunciations(word)
        for way in ways:
            state = ready
            for place, phone in enumerate(way):
                after = fst.state()
                fst.arc(state, 2 * phone, number if place == 0 else EPSILON, 0.0, after)
                fst.arc(after, 2 * phone - 1, EPSILON, 0.0, after)
                state = after
            fst.skip(state, even, ready)
            fst.arc(state, 2 * silence, EPSILON, even, quiet)
    return fst
