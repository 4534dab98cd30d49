"""Which clips are at fault, once a judge told how far each is from its words. For ``check.py``."""

from __future__ import annotations

import math
from collections import Counter

from data import Lexicon, Recording

PHONE_COST = math.log(40)
"""What any phone costs in the judge's own loop of phones, in nats."""
LEAST = 4.0
"""Nats by which other phones must be likelier before a clip is dropped."""
OF_TALK = 1.8
"""Nats on top for each phone of talk: an ear of few words is no judge of other words."""
_TALK = ("talk", "vocabulary", "prompt")
STRANGE = 0.25
"""A word in more than this share of whose clips the judge finds fault is strange to the judge."""
Scored = list[tuple[float, Recording]]
"""Recordings, each with the nats by which other phones are likelier than its words."""


def fewest_phones(recording: Recording, lexicon: Lexicon) -> int:
    """Return how many phones the words have when said as shortly as the lexicon allows."""
    return sum(min(map(len, lexicon[word])) for word in recording.words)


def excess(gap: float, recording: Recording, lexicon: Lexicon) -> float:
    """Return the nats by which other phones are likelier, less what talk is allowed."""
    slack = OF_TALK if recording.kind in _TALK else 0.0
    return gap + (PHONE_COST - slack) * fewest_phones(recording, lexicon)


def strange_words(over: Scored) -> set[str]:
    """Return the words strange to the judge: it finds fault with too many of their clips."""
    heard, bad = Counter[str](), Counter[str]()
    for nats, one in over:
        heard.update(set(one.words))
        bad.update(set(one.words) if nats > LEAST else ())
    return {word for word, count in heard.items() if bad[word] > STRANGE * count}


def faulty(over: Scored, strange: set[str]) -> list[Recording]:
    """Return the recordings to drop; none that holds a word strange to the judge."""
    return [one for nats, one in over if nats > LEAST and not strange & set(one.words)]
