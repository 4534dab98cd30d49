"""What the ear made of clips, as the benches of the ear and of answers wrote it down."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from assistant.words import grammars
from assistant.words.commands import YES_NO
from assistant.words.meaning import Measure
from assistant.words.understand import Reading, Understood, understand, within

ROOT = Path(__file__).parents[3]
EAR = ROOT / "tests" / "bench" / "results" / "ear.json"
ANSWERS = EAR.with_name("answers.json")
READ_BACK = "yes or no after a read-back"
"""The set of answers that were heard under the grammar of a read-back."""
WINDOWS = {"in": (Fraction(1, 4), Fraction(5, 2)), "number": (Fraction(1), Fraction(999))}
"""What the shipped finish weld takes for a value; others are not meant there."""
KINDS = {"widths": "in", "seam numbers": "number", "people's digits": "number"}
"""Sets in which values are said, and in which unit."""


@dataclass(frozen=True)
class Pair:
    """One clip: what was said in it, and what was heard."""

    set: str
    level: str
    """``clean``, or the voice over the noise in dB."""
    voice: str
    said: str
    """Empty where nothing may be taken for an answer."""
    heard: str | None
    """None where the gate stayed shut."""
    confidence: float


@dataclass(frozen=True)
class ValueClip:
    """A clip in which one clear value is said."""

    said: str
    meant: Measure
    heard: str | None
    confidence: float
    taken: Measure | None
    """The value that would be taken, or None where something else was heard."""

    @property
    def right(self) -> bool:
        """Whether the value that was said is the one that was heard."""
        return self.taken == self.meant

    @property
    def wrong(self) -> bool:
        """Whether another value was heard."""
        return self.taken is not None and not self.right


def read_pairs(path: Path) -> list[Pair]:
    """Return the ``pairs`` of a result; none where it has no such field.

    A row is set, level, noise, voice, said, heard, confidence.
    """
    rows = json.loads(path.read_text("utf-8")).get("pairs", [])
    return [
        Pair(group, level, voice, said, heard, confidence)
        for group, level, _, voice, said, heard, confidence in rows
    ]


def files_of_one_model(first: Path, *others: Path) -> list[Path]:
    """Return ``first``, and those of ``others`` that were heard with the same model."""
    return [first, *(path for path in others if _model(path) == _model(first))]


def _model(path: Path) -> str:
    about = json.loads(path.read_text("utf-8"))["model"] if path.is_file() else ""
    return str(about["sha256"] if isinstance(about, dict) else about)


@cache
def read(text: str, unit: str) -> Understood:
    """Return what words mean where a value of ``unit`` is asked for."""
    return understand(text, grammars.value(unit))


def value_clips(pairs: Iterable[Pair], kind: str, level: str) -> list[ValueClip]:
    """Return the clips of a set at a level in which one clear value is said."""
    unit, found = KINDS[kind], []
    for pair in pairs:
        if pair.set != kind or pair.level != level:
            continue
        meant = read(pair.said, unit)
        if isinstance(meant, Reading) and within(meant.measure, *WINDOWS[unit]):
            heard = read(pair.heard, unit) if pair.heard is not None else None
            taken = heard.measure if isinstance(heard, Reading) else None
            found.append(ValueClip(pair.said, meant.measure, pair.heard, pair.confidence, taken))
    return found


def answer_pairs(pairs: Iterable[Pair], level: str, *, yes: bool) -> list[Pair]:
    """Return the clips at a level in which yes, or no, is said to a read-back.

    Where none was heard under the grammar of a read-back: those heard to a plain question.
    """
    said = [one for one in pairs if one.level == level and one.said in YES_NO]
    said = [one for one in said if YES_NO[one.said].yes is yes]
    return [one for one in said if one.set == READ_BACK] or said
