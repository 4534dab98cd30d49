"""Writes the shipped lexicon: how each word that may be used in a checklist is said.

    python models/recipe/lexicon.py models/ear/lexicon.txt

Needs pocketsphinx, whose wheel holds the CMU dictionary. The words are those of words.txt beside
this file and every word that Lapcall's own grammars and checklists can say.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from pronounce import dictionary, write_lexicon

ROOT = Path(__file__).resolve().parents[2]
WORDS = Path(__file__).with_name("words.txt")
TRADE = {
    "delaminated": ["D IY L AE M AH N EY T AH D", "D IY L AE M AH N EY D AH D"],
    "flashings": ["F L AE SH IH NG Z"],
    "ponding": ["P AA N D IH NG"],
    "puckered": ["P AH K ER D"],
    "unbonded": ["AH N B AA N D AH D", "AH N B AA N D IH D"],
}
"""Words of the roof that the dictionary lacks."""


def wanted_words() -> list[str]:
    """Return all words, sorted."""
    sys.path.insert(0, str(ROOT))
    from assistant.words import grammars  # noqa: PLC0415 - found only with the path above

    said = {*WORDS.read_text("utf-8").split()}
    moments = [grammars.yes_no(), grammars.done(), grammars.on_hold(), grammars.numbered(99)]
    for unit in grammars.UNITS:
        moments += [grammars.value(unit), grammars.value_plainly(unit), grammars.confirm(unit)]
    for grammar in moments:
        said |= grammar.automaton.vocabulary()
    return sorted(said)


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("lexicon", type=Path)
    options = parser.parse_args()
    words = wanted_words()
    ours = {word: [way.split() for way in ways] for word, ways in TRADE.items()}
    write_lexicon(options.lexicon, words, {**dictionary(), **ours})
    print(f"{len(words)} words in {options.lexicon}")


if __name__ == "__main__":
    main()
