"""An ear made of measured clips: says what is heard of a value or an answer, by chance."""

from __future__ import annotations

import random
from bisect import bisect
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import accumulate

from assistant.words import grammars
from assistant.words.commands import YES_NO
from assistant.words.meaning import Measure
from assistant.words.readback import alike, decimal_in_words, value_in_words

from .measured import KINDS, Pair, ValueClip, answer_pairs, value_clips

UNSEEN = 0.5
"""Clips' worth of mistakes that nobody has seen yet: half a clip (Jeffreys' prior)."""
NO_WORDS: tuple[None, float] = (None, 0.0)
Outcome = tuple[str | None, float]
"""The words that were heard, or None, and the confidence in them."""


@dataclass(frozen=True)
class Clips:
    """What was measured at one level."""

    kind: str
    values: tuple[ValueClip, ...]
    value_slips: tuple[float, ...]
    """Confidences of all values taken for others, at any level."""
    answers: dict[bool, tuple[Pair, ...]]
    """Yes -> clips of yes; no -> clips of no."""
    answer_slips: tuple[float, ...]
    """Confidences of all answers taken for something else, at any level."""
    unseen: float = UNSEEN

    @property
    def unit(self) -> str:
        """The unit in which the value is asked for."""
        return KINDS[self.kind]


def clips_of(pairs: Sequence[Pair], kind: str, level: str, unseen: float = UNSEEN) -> Clips:
    """Return what was measured of one kind of values, and of answers, at one level."""
    levels = sorted({pair.level for pair in pairs})
    everywhere = [clip for each in levels for clip in value_clips(pairs, kind, each)]
    answers = {yes: tuple(answer_pairs(pairs, level, yes=yes)) for yes in (True, False)}
    slips = [
        pair.confidence
        for each in levels
        for yes in (True, False)
        for pair in answer_pairs(pairs, each, yes=yes)
        if pair.heard and (pair.heard not in YES_NO or YES_NO[pair.heard].yes is not yes)
    ]
    return Clips(
        kind,
        tuple(value_clips(pairs, kind, level)),
        tuple(clip.confidence for clip in everywhere if clip.wrong),
        answers,
        tuple(slips),
        unseen,
    )


class _Draw:
    """Draws places by chance, with weights that are themselves drawn (a Bayesian bootstrap).

    So that shifts differ as much as clips of other voices would. The last place is what nobody has
    seen yet.
    """

    def __init__(self, count: int, unseen: float, rng: random.Random) -> None:
        weights = [rng.expovariate(1.0) for _ in range(count)]
        weights.append(rng.gammavariate(unseen, 1.0) if unseen else 0.0)
        self._ends = list(accumulate(weights))
        self._rng = rng

    def place(self) -> int:
        """Return a place."""
        return bisect(self._ends, self._rng.random() * self._ends[-1])


class Hearing:
    """One shift's ear at one level."""

    def __init__(self, clips: Clips, rng: random.Random) -> None:
        if not clips.values or not all(clips.answers.values()):
            raise ValueError(f"nothing was measured of {clips.kind} or of answers at this level")
        self._clips, self._rng = clips, rng
        self._values = _Draw(len(clips.values), clips.unseen, rng)
        self._answers = {
            yes: _Draw(len(found), clips.unseen, rng) for yes, found in clips.answers.items()
        }

    def first(self) -> tuple[Measure, str, Outcome]:
        """Return a value that is meant, how it is said, and what is heard of that."""
        place = self._values.place()
        if place < len(self._clips.values):
            clip = self._clips.values[place]
            return clip.meant, clip.said, (clip.heard, clip.confidence)
        clip = self._rng.choice(self._clips.values)
        return clip.meant, clip.said, self._slip(clip.meant)

    def again(self, meant: Measure, said: str) -> Outcome:
        """Return what is heard of a value that is said once more, as another clip fared."""
        place = self._values.place()
        if place == len(self._clips.values):
            return self._slip(meant)
        clip = self._clips.values[place]
        if clip.right:
            return said, clip.confidence
        if clip.wrong:
            return instead_of(meant, self._clips.unit, self._rng), clip.confidence
        return clip.heard, clip.confidence

    def answer(self, *, yes: bool) -> Outcome:
        """Return what is heard of a yes or a no."""
        found = self._clips.answers[yes]
        place = self._answers[yes].place()
        if place == len(found):
            slips = self._clips.answer_slips
            return ("no" if yes else "yes"), _sure(slips, self._rng)
        return found[place].heard, found[place].confidence

    def _slip(self, meant: Measure) -> Outcome:
        sure = _sure(self._clips.value_slips, self._rng)
        return instead_of(meant, self._clips.unit, self._rng), sure


def _sure(slips: Sequence[float], rng: random.Random) -> float:
    """Return how sure an unseen mistake is: as one of those seen, or surer than all of them.

    By the rule of succession the chance of the latter is one in their number and two.
    """
    place = int(rng.random() * (len(slips) + 2))
    return slips[place - 2] if place >= 2 else float(place)


def instead_of(meant: Measure, unit: str, rng: random.Random) -> str:
    """Return, in words, a value that sounds like the one that is meant."""
    others = _others(meant, unit)
    return others[int(rng.random() * len(others))]


@cache
def _others(meant: Measure, unit: str) -> tuple[str, ...]:
    found = [value_in_words(one) for one in alike(meant, grammars.value(unit))]
    if not found:
        step = Fraction(1, 16) if meant.unit == "in" else 1
        found = [value_in_words(Measure(meant.value + step, meant.unit))]
    return tuple(sorted(found))


@cache
def plainly(meant: Measure) -> str:
    """Return a value as it is said in the second way in: digit by digit."""
    if meant.unit == "number":
        return " ".join(decimal_in_words(Fraction(int(digit))) for digit in str(int(meant.value)))
    if meant.unit == "mm":
        return value_in_words(Measure(meant.value, "mm"))
    whole, _, digits = decimal_in_words(meant.value).partition(" point ")
    return f"{whole} decimal {digits or 'zero'}"
