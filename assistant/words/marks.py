"""Marks on the seam, and what happens to a set-up: said at any time while Lapcall is awake.

Imports ``attention``, ``meaning``, ``numbers`` and ``phrase``. Every phrase differs by four phones
or more from any answer, command, number or width, so that neither is heard as the other: "note"
alone is next to "no", "rain" next to "ten", and "break" is as short as an answer. A test holds
them to it.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from assistant.words.attention import called
from assistant.words.meaning import Happened, Marked, Position
from assistant.words.numbers import counted_to_999, digits_in_words, in_words
from assistant.words.phrase import Grammar, Opt, Phrase, any_of, say, seq, table

DEFECTS: dict[str, str] = {
    "void": "void",
    "bleed out": "bleed-out",
    "wrinkle": "wrinkle",
    "burn": "burn",
    "stitch marks": "stitch-marks",
    "fishmouth": "fishmouth",
}
"""What can be marked, as it is said, and as the record calls it."""
HAPPENED: dict[str, Happened] = {
    "power was lost": Happened("power-lost"),
    "it is raining": Happened("rain"),
    "changing gun": Happened("changing", "gun"),
    "taking a break": Happened("break"),
}
"""What can end the validity of a set-up, as it is said, and as the record calls it."""
END_OF_NOTE = "end of note"
FARTHEST_FT = Fraction(400)
"""No seam is longer: four rolls of a hundred feet end to end (common practice, no source)."""
_HALF = Fraction(1, 2)


def marks() -> Phrase:
    """Return "mark a void at twelve and a half feet"; without a position it has to be asked."""
    place = seq(say("at", None), feet()).means(lambda parts: parts[1])
    return seq(say("mark", None), Opt(say("a", None)), table({**DEFECTS}), Opt(place)).means(
        lambda parts: Marked(parts[2], parts[3])
    )


def happenings() -> Phrase:
    """Return what may happen to a set-up."""
    return table({**HAPPENED})


@lru_cache(maxsize=1)
def kept_always() -> Grammar:
    """Return what is worth keeping the sound of wherever it is said."""
    return Grammar("marks and events", called(any_of(marks(), happenings())))


def feet() -> Phrase:
    """Return a distance along the seam in feet, halves allowed; means an exact ``Fraction``."""
    counted = seq(_number(), table({"feet": None, "foot": None})).means(lambda parts: parts[0])
    return any_of(counted, table({"half a foot": _HALF, "a half foot": _HALF}))


def _number() -> Phrase:
    whole = any_of(counted_to_999(), say("zero", 0))
    half = say("and a half", _HALF)
    return seq(whole, Opt(half, Fraction(0))).means(lambda parts: parts[0] + parts[1])


def position() -> Phrase:
    """Return the answer to "At how many feet?": there the unit may be left out."""
    return seq(Opt(say("at", None)), any_of(feet(), _number())).means(
        lambda parts: Position(parts[1])
    )


def corrected_position() -> Phrase:
    """Return a position after a read-back, with or without "no" in front; never without a unit."""
    lead = table(dict.fromkeys(("no", "wrong", "at", "no at", "wrong at")))
    return seq(Opt(lead), feet()).means(lambda parts: Position(parts[1]))


def called_out(what: str) -> str:
    """Return how a defect is marked: "mark a void", but "mark stitch marks"."""
    return f"mark {what}" if what.endswith("s") else f"mark a {what}"


def defect_in_words(what: str) -> str:
    """Return how Lapcall says a defect, given its name in the record."""
    return next(said for said, name in DEFECTS.items() if name == what)


def feet_in_words(position_ft: Fraction) -> str:
    """Return a position in words: 25/2 -> "twelve and one half feet".

    Raises:
        ValueError: it is no multiple of half a foot from 0 to 999.
    """
    whole, rest = divmod(position_ft, 1)
    if rest not in (0, _HALF):
        raise ValueError(f"no words for {position_ft} feet")
    if position_ft == _HALF:
        return "one half of a foot"
    half = " and one half" if rest else ""
    return f"{in_words(int(whole))}{half} {'foot' if position_ft == 1 else 'feet'}"


def feet_by_digits(position_ft: Fraction) -> str:
    """Return a position digit by digit: 25/2 -> "one two point five"; tells fifteen from fifty."""
    whole, rest = divmod(position_ft, 1)
    return digits_in_words(str(int(whole))) + (" point five" if rest else "")
