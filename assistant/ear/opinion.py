"""What the recogniser's guesses mean together, and how sure that is. Imports ``words``, ``ports``.

Two word sequences may have one meaning ("inch and a half", "an inch and a half"): together they are
one opinion. So are all sequences that mean nothing to us. Two networks may each have an opinion of
one utterance; what only one of them believes is not believed. Pure: decides nothing about trust.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assistant.ear.ports import HeardWord
from assistant.words.meaning import Corrected
from assistant.words.phrase import Grammar
from assistant.words.understand import UNKNOWN_SPEECH, tidy

NOTHING = "nothing of ours"
"""The meaning of noise, chatter and silence."""
_NEGLIGIBLE = 1e-4
"""A guess with a smaller share beside the best one is not worth reading."""
_LEAST = 1e-6
"""No share is nearer to 0 or 1 where a probability is made of it."""


@dataclass(frozen=True, slots=True)
class Belief:
    """How far guesses are to be believed; models/recipe/calibrate.py chooses these."""

    sharpness: float
    """How much a better score counts: 1 is what the network itself believes."""
    missed: float
    """The share that a network is taken to give to a meaning that it did not think of; the smaller
    it is, the more a single network can veto."""
    weights: tuple[float, ...]
    """How much each network counts; they add up to 1."""
    offset: float
    """With ``slope`` it makes a probability p of a share s: logit p = offset + slope * logit s."""
    slope: float

    def probability(self, share: float) -> float:
        """Return how likely a meaning with this share of the opinion is right, 0 to 1."""
        share = min(max(share, _LEAST), 1 - _LEAST)
        return 1 / (1 + math.exp(-self.offset - self.slope * math.log(share / (1 - share))))


ONE_NETWORK = Belief(1.0, 3e-3, (1.0,), offset=-0.98, slope=0.98)
TWO_NETWORKS = Belief(1.0, 3e-3, (0.5, 0.5), offset=-0.38, slope=1.0)


def belief(networks: int) -> Belief:
    """Return how far to believe so many networks."""
    return ONE_NETWORK if networks == 1 else TWO_NETWORKS


@dataclass(frozen=True, slots=True)
class Guess:
    """One sequence of words that an utterance may be."""

    text: str
    score: float
    """Natural logarithm of how well it fits, up to a constant that all guesses share."""
    words: tuple[HeardWord, ...] = ()


@dataclass(frozen=True, slots=True)
class Opinion:
    """What an utterance may mean."""

    shares: Mapping[Hashable, float]
    """How likely each meaning is, before calibration; they add up to 1."""
    guesses: Mapping[Hashable, Guess]
    """The best guess of each meaning."""

    def best(self) -> tuple[Guess, float]:
        """Return the best guess of the likeliest meaning, and the share of that meaning."""
        meaning = max(self.shares, key=self.shares.__getitem__)
        return self.guesses[meaning], self.shares[meaning]


def guesses_of(answer: Mapping[str, Any]) -> list[Guess]:
    """Return what the library's answer (``alternatives`` with text, words and score) holds."""
    return [
        Guess(
            one["text"],
            float(one["confidence"]),
            tuple(
                HeardWord(word["word"], 0.0, word["start"], word["end"])
                for word in one.get("result", ())
            ),
        )
        for one in answer.get("alternatives", ())
    ]


def meaning_of(text: str, grammar: Grammar) -> Hashable:
    """Return something that is equal for all texts that do the same in the conversation."""
    said = tidy(text)
    if not said or UNKNOWN_SPEECH in said.split():
        return NOTHING
    # A correction puts the same into the record as the plain value.
    found = [m.measure if isinstance(m, Corrected) else m for m in grammar.readings(said)]
    return tuple(found) or NOTHING


def weigh(guesses: Sequence[Guess], grammar: Grammar, sharpness: float) -> Opinion:
    """Return the opinion that ``guesses`` add up to.

    A guess weighs exp(``sharpness`` * score): networks are surer than they should be, so it is
    less than 1.
    """
    ranked = sorted(guesses or [Guess("", 0.0)], key=lambda guess: -guess.score)
    weighed = [(g, math.exp(sharpness * (g.score - ranked[0].score))) for g in ranked]
    weighed = [(guess, weight) for guess, weight in weighed if weight >= _NEGLIGIBLE]
    weights: dict[Hashable, float] = {}
    best: dict[Hashable, Guess] = {}
    for guess, weight in weighed:
        meaning = meaning_of(guess.text, grammar)
        weights[meaning] = weights.get(meaning, 0.0) + weight
        best.setdefault(meaning, guess)
    return Opinion(
        _shared(weights), {meaning: _with_shares(g, weighed) for meaning, g in best.items()}
    )


def _with_shares(guess: Guess, weighed: Sequence[tuple[Guess, float]]) -> Guess:
    """Give each word of ``guess`` the share of all guesses that hold it at about the same time."""
    total = sum(weight for _, weight in weighed)

    def share(word: HeardWord) -> float:
        return sum(weight for other, weight in weighed if _holds(other, word)) / total

    return replace(guess, words=tuple(replace(w, confidence=share(w)) for w in guess.words))


def _holds(guess: Guess, word: HeardWord) -> bool:
    return any(
        other.word == word.word and other.began_s < word.ended_s and other.ended_s > word.began_s
        for other in guess.words
    )


def joined(opinions: Sequence[Opinion], how: Belief) -> Opinion:
    """Return the opinion of all networks together: the weighted geometric mean of their shares."""
    best: dict[Hashable, Guess] = {}
    for opinion in reversed(opinions):
        best.update(opinion.guesses)
    weights = {
        meaning: math.prod(
            max(how.missed, opinion.shares.get(meaning, 0.0)) ** weight
            for opinion, weight in zip(opinions, how.weights, strict=True)
        )
        for meaning in best
    }
    return Opinion(_shared(weights), best)


def _shared(weights: Mapping[Hashable, float]) -> dict[Hashable, float]:
    total = sum(weights.values())
    return {meaning: weight / total for meaning, weight in weights.items()}
