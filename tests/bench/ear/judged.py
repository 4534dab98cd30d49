"""What became of an utterance: right, wrong, asked again, or not even noticed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from assistant.words.meaning import Command
from assistant.words.understand import Ask, Reading, Understood, understand

from .sets import Asked

NO_TRUST_NEEDED = -1.0


class Outcome(Enum):
    """What an utterance led to."""

    RIGHT = "right"
    WRONG = "wrong"
    """Taken for a value or an answer that was not said."""
    ASKED = "asked again"
    SHUT = "gate shut"
    """The gate found no speech."""


@dataclass(frozen=True)
class Trust:
    """From which confidence on an engine is believed."""

    answer: float
    value: float


@dataclass(frozen=True)
class Judged:
    """What an engine's words mean: accepted from ``needs`` on, and then right or not.

    ``needs`` names the threshold: "answer", "value", "none" (accepted whatever the confidence), or
    "never" where the words make Lapcall ask.
    """

    needs: str
    right: bool
    confidence: float

    def outcome(self, trust: Trust) -> Outcome:
        """Return what this leads to at an operating point."""
        if self.needs == "shut":
            return Outcome.SHUT
        if self.needs == "never":
            # Where what was said must itself be asked about, asking is right.
            return Outcome.RIGHT if self.right else Outcome.ASKED
        least = {"answer": trust.answer, "value": trust.value, "none": NO_TRUST_NEEDED}[self.needs]
        if self.confidence < least:
            return Outcome.ASKED
        return Outcome.RIGHT if self.right else Outcome.WRONG


SHUT = Judged("shut", False, 0.0)


def judge(text: str, confidence: float, asked: Asked) -> Judged:
    """Return what an engine's ``text``, in words, leads to under what was asked."""
    understood = understand(text, asked.grammar)
    meant = understand(asked.said, asked.grammar) if asked.said else None
    if isinstance(understood, Ask):
        # Only words of ours that are unclear by themselves are asked about rightly.
        both = isinstance(meant, Ask) and bool(asked.grammar.readings(text))
        return Judged("never", both, confidence)
    return Judged(_needs(understood), same(understood, meant), confidence)


def _needs(understood: Understood) -> str:
    if understood is Command.STOP:
        # The dialogue obeys it at any confidence.
        return "none"
    return "value" if isinstance(understood, Reading) else "answer"


def same(understood: Understood, meant: Understood | None) -> bool:
    """Tell whether two meanings put the same into the record, whatever words they came from."""
    if isinstance(understood, Reading) and isinstance(meant, Reading):
        return understood.measure == meant.measure
    return understood == meant


def counted(judged: Iterable[Judged], trust: Trust) -> Counter[str]:
    """Return how many utterances came to each outcome, by its name."""
    return Counter(one.outcome(trust).value for one in judged)
