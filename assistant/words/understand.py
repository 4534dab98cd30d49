"""From words to one meaning, or to the question to ask. Imports the modules of ``words``.

Strict on purpose: every word must be used, and two readings are no reading.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from assistant.words.meaning import (
    Chosen,
    Command,
    Corrected,
    Done,
    Happened,
    Marked,
    Measure,
    NoteEnded,
    Position,
    Unclear,
    YesNo,
)
from assistant.words.phrase import Grammar
from assistant.words.widths import one_value

UNKNOWN_SPEECH = "[unk]"
"""What a recogniser writes for speech that is none of our words."""

_SPELLINGS = {
    "millimetre": "millimeter",
    "millimetres": "millimeters",
    "meter": "meters",
    "metre": "meters",
    "metres": "meters",
    # The lexicon of the ear knows one of each pair.
    "kilometers": "kilometer",
    "kilometre": "kilometer",
    "kilometres": "kilometer",
    "nought": "zero",
    "naught": "zero",
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One value and the words it came from."""

    measure: Measure
    said: str
    replaces: bool = False
    """It was said as a correction of what stood before."""


@dataclass(frozen=True, slots=True)
class Ask:
    """No single meaning: what to ask, and why."""

    reason: str
    question: str
    said: str


AsSaid = Command | YesNo | Done | Chosen | Marked | Position | Happened | NoteEnded
"""What needs no more than its words."""
Understood = Reading | Ask | AsSaid

NOT_OURS = "not-our-words"
NO_WORDS = "no-words"


def tidy(text: str) -> str:
    """Return ``text`` as the recogniser would write it: lower case, single spaces, no marks."""
    text = re.sub(r"[-–—,;:!?]|\.(?!\d)", " ", text.lower())  # noqa: RUF001 - dashes people type
    return " ".join(_SPELLINGS.get(word, word) for word in text.split())


def understand(text: str, grammar: Grammar) -> Understood:
    """Return the one meaning of ``text`` under ``grammar``, or the question to ask."""
    said = tidy(text)
    if not said:
        return Ask(NO_WORDS, "I heard no words. Say it again.", said)
    if UNKNOWN_SPEECH in said.split():
        return Ask(NOT_OURS, "I did not understand that.", said)
    if any(character.isdigit() for character in said):
        return Ask("figures", "Write it as it is said, in words.", said)
    found = grammar.readings(said)
    if not found:
        return _not_found(said)
    clear = [meaning for meaning in found if not isinstance(meaning, Unclear)]
    if len(found) == 1 and clear:
        return _as_understood(clear[0], said)
    if clear:
        return Ask("several-readings", "That can be read in two ways. Say it another way.", said)
    return Ask(found[0].reason, found[0].question, said)


def _as_understood(meaning: object, said: str) -> Understood:
    if isinstance(meaning, Corrected):
        return Reading(meaning.measure, said, replaces=True)
    if isinstance(meaning, Measure):
        return Reading(meaning, said)
    if isinstance(meaning, AsSaid):
        return meaning
    raise TypeError(f"a grammar gave the meaning {meaning!r}")


_ONE_VALUE = Grammar("one value", one_value())


def _not_found(said: str) -> Ask:
    words = said.split()
    for cut in range(1, len(words)):
        head, tail = " ".join(words[:cut]), " ".join(words[cut:])
        if _ONE_VALUE.readings(head) and _ONE_VALUE.readings(tail):
            return Ask("two-values", "I heard two numbers. Say only the one that counts.", said)
    return Ask(NOT_OURS, "I did not understand that.", said)


def within(measure: Measure, plausible_from: Fraction, plausible_to: Fraction) -> bool:
    """Tell whether a value lies in its plausible window, ends included."""
    return plausible_from <= measure.value_in <= plausible_to
