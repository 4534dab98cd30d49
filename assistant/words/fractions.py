"""Fractions of an inch as they are said. Imports ``numbers`` and ``phrase``.

Denominators are those of an inch rule: halves to thirty-seconds; hundredths for those who count
them. Only a denominator table makes "seven thirty seconds" one number.
"""

from __future__ import annotations

from fractions import Fraction

from assistant.words.numbers import in_words
from assistant.words.phrase import Phrase, table

ONE_OF = {
    2: ["half"],
    4: ["quarter", "fourth"],
    8: ["eighth"],
    16: ["sixteenth"],
    32: ["thirty second"],
}
"""How one part is called, by denominator; the first name is the one Lapcall says."""
MANY_OF = {
    2: ["halves"],
    4: ["quarters", "fourths"],
    8: ["eighths"],
    16: ["sixteenths"],
    32: ["thirty seconds"],
}
FINEST = 32
"""Its parts are the smallest that an inch rule shows."""
HUNDREDTHS = "hundredths"


def counted(below_one: bool) -> dict[str, Fraction]:
    """Return fractions with a spoken numerator: "three eighths", "ten sixteenths".

    With ``below_one`` only proper fractions, as they follow whole inches; else up to an inch and a
    half, since "five quarters" and "twenty sixteenths" are really said, and beyond it nobody counts
    so. Thirty-seconds are always proper.
    """
    found: dict[str, Fraction] = {}
    for parts, one in ONE_OF.items():
        for count in range(1, _most(parts, below_one) + 1):
            for name in one if count == 1 else MANY_OF[parts]:
                found[f"{in_words(count)} {name}"] = Fraction(count, parts)
    return found


def _most(parts: int, below_one: bool) -> int:
    return parts - 1 if below_one or parts == FINEST else parts * 3 // 2


def loose(below_one: bool) -> dict[str, Fraction]:
    """Return fractions with a plural left off, as they stand before a unit: "three quarter inch".

    Only there: "fifteen sixteenth" beside "fifteen sixteenths" would be two ways to hear one
    sound, and halve the recogniser's confidence in each.
    """
    found: dict[str, Fraction] = {}
    for parts in (4, 8, 16):
        for count in range(2, _most(parts, below_one) + 1):
            found[f"{in_words(count)} {ONE_OF[parts][0]}"] = Fraction(count, parts)
    return found


def single(article: bool) -> dict[str, Fraction]:
    """Return one part without a number: "a quarter", "an eighth", or bare "quarter"."""
    found: dict[str, Fraction] = {}
    for parts, names in ONE_OF.items():
        if parts == FINEST and not article:
            continue  # "thirty second" alone is a time or an ordinal
        for name in names:
            lead = ("an " if name[0] in "aeiou" else "a ") if article else ""
            found[lead + name] = Fraction(1, parts)
    return found


def hundredths() -> dict[str, Fraction]:
    """Return "one hundredth" to "ninety nine hundredths"."""
    found = {f"{in_words(count)} {HUNDREDTHS}": Fraction(count, 100) for count in range(2, 100)}
    found["one hundredth"] = Fraction(1, 100)
    return found


def after_and() -> Phrase:
    """Return a proper fraction as it follows "and": "a quarter", "three eighths", "eighth"."""
    return table({**counted(True), **single(True), **single(False), **hundredths()})


def after_whole() -> Phrase:
    """Return a proper fraction as it follows whole inches without "and".

    A bare "half" or "quarter" is left out: "one half" is not one and a half.
    """
    return table({**counted(True)})


def after_hedge() -> Phrase:
    """Return a proper fraction as it follows "and a strong": "quarter", "three eighths"."""
    return table({**counted(True), **single(False)})


def alone() -> Phrase:
    """Return a fraction that stands by itself, improper ones too."""
    lumber = {"five quarter": Fraction(5, 4)}
    return table({**counted(False), **lumber, **single(True), **single(False), **hundredths()})


def in_words_of(value: Fraction) -> str:
    """Return a proper fraction in words as Lapcall says it, such as "three eighths".

    Raises:
        ValueError: its denominator is not on an inch rule.
    """
    parts = value.denominator
    if parts not in ONE_OF or not 0 < value < 1:
        raise ValueError(f"{value} is not a fraction on an inch rule")
    count = value.numerator
    return f"{in_words(count)} {(ONE_OF if count == 1 else MANY_OF)[parts][0]}"
