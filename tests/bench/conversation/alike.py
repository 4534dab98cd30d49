"""Which of our value words sound alike: by their phones, and by what the ear made of them.

    python tests/bench/conversation/alike.py [--pairs FILE ...]

Writes assistant/words/sounds_alike.py. Phones come from models/ear/lexicon.txt; what was heard
comes from the ``pairs`` of tests/bench/results/ear.json and of any other file named.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from pathlib import Path

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from bench.conversation.measured import EAR, Pair, read_pairs

from assistant.words.fractions import MANY_OF, ONE_OF
from assistant.words.numbers import DIGITS, TEENS, TENS
from assistant.words.phones import ALIKE_UP_TO, apart

HEARD_FROM = 2
"""So often must one word have been heard for another to count."""
SURE_FROM = 0.3


def value_words() -> frozenset[str]:
    """Return the words that make a value: digits, teens, tens, parts of an inch."""
    parts = [name for names in (*ONE_OF.values(), *MANY_OF.values()) for name in names]
    return frozenset({*DIGITS, *TEENS, *TENS, *(word for name in parts for word in name.split())})


def lexicon(path: Path) -> dict[str, list[list[str]]]:
    """Return every pronunciation of every word, as phones."""
    found: dict[str, list[list[str]]] = defaultdict(list)
    for line in path.read_text("utf-8").splitlines():
        word, *phones = line.split()
        found[word].append(phones)
    return found


def by_phones(said: Mapping[str, list[list[str]]]) -> dict[tuple[str, str], float]:
    """Return the pairs of value words whose nearest pronunciations sound alike."""
    found = {}
    for one, other in combinations(sorted(value_words() & said.keys()), 2):
        distance = min(apart(a, b) for a in said[one] for b in said[other])
        if distance <= ALIKE_UP_TO:
            found[one, other] = round(distance, 2)
    return found


def by_ear(pairs: Iterable[Pair]) -> dict[tuple[str, str], int]:
    """Return the pairs of value words that were heard for each other, and how often."""
    words, found = value_words(), Counter[tuple[str, str]]()
    for pair in pairs:
        if pair.heard and pair.said and pair.confidence >= SURE_FROM:
            for one, other in exchanged(pair.said.split(), pair.heard.split()):
                if one in words and other in words:
                    found[min(one, other), max(one, other)] += 1
    return {pair: count for pair, count in sorted(found.items()) if count >= HEARD_FROM}


def exchanged(said: Sequence[str], heard: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield (said, heard) where all words but one were heard as said."""
    if len(said) == len(heard):
        changed = [(a, b) for a, b in zip(said, heard, strict=True) if a != b]
        if len(changed) == 1:
            yield changed[0]


def text(phones: Mapping[tuple[str, str], float], heard: Mapping[tuple[str, str], int]) -> str:
    """Return the module that holds both tables."""
    near = "".join(f'    ("{one}", "{two}"): {at},\n' for (one, two), at in phones.items())
    taken = "".join(f'    ("{one}", "{two}"): {n},\n' for (one, two), n in heard.items())
    return f'''"""Value words that sound alike. Imports nothing of ours.

Made by tests/bench/conversation/alike.py; make it anew instead of changing it here.
"""

from __future__ import annotations

BY_PHONES: dict[tuple[str, str], float] = {{
{near}}}
"""How far apart the nearest pronunciations of models/ear/lexicon.txt are: edits over phones, a
vowel for a vowel or a like consonant being half an edit. Up to {ALIKE_UP_TO}."""
BY_EAR: dict[tuple[str, str], int] = {{
{taken}}}
"""How often our own ear took one for the other, all else in the phrase being heard as said: clips
of voices that training did not use, clean to 0 dB, from confidence {SURE_FROM} on. At least
{HEARD_FROM} times."""
'''


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lexicon", type=Path, default=ROOT / "models" / "ear" / "lexicon.txt")
    parser.add_argument("--pairs", type=Path, nargs="*", default=[EAR])
    parser.add_argument(
        "--out", type=Path, default=ROOT / "assistant" / "words" / "sounds_alike.py"
    )
    options = parser.parse_args()
    pairs = [pair for path in options.pairs for pair in read_pairs(path)]
    options.out.write_text(text(by_phones(lexicon(options.lexicon)), by_ear(pairs)), "utf-8")
    print(f"{options.out}: from {len(pairs)} clips")


if __name__ == "__main__":
    main()
