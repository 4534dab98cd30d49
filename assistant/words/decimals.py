"""Numbers with a point as they are said. Imports ``numbers`` and ``phrase``.

"one point two five", "one point twenty five" and "point three seventy five" all occur; the second
way into a value takes single digits only, for fifteen and fifty sound alike.
"""

from __future__ import annotations

from fractions import Fraction

from assistant.words.numbers import DIGITS, digit_string, digits_in_words, from_table, in_words
from assistant.words.phrase import Opt, Phrase, any_of, say, seq, table

MARKS = ("point", "decimal")
ZERO = {"zero": 0, "oh": 0}


def places(pairs: bool = True) -> Phrase:
    """Return what follows the point, as a string of one to four digits.

    With ``pairs`` the last two may be counted: "twenty five", "three seventy five".
    """
    singly = digit_string(1, 4)
    if not pairs:
        return singly
    pair = from_table(10, 99).means(str)
    behind_one = seq(table(DIGITS).means(str), pair).means("".join)
    return any_of(singly, pair, behind_one)


def decimal(whole: Phrase, places: Phrase) -> Phrase:
    """Return ``whole``, a word for the point, and ``places``; means an exact ``Fraction``.

    ``whole`` must mean a whole number; behind an ``Opt`` of it "point five" is read too.
    """
    mark = table(dict.fromkeys(MARKS))
    return seq(whole, mark, places).means(lambda parts: _joined(parts[0], parts[2]))


def _joined(whole: int, digits: str) -> Fraction:
    return whole + Fraction(int(digits), 10 ** len(digits))


def and_parts(number: Phrase) -> Phrase:
    """Return a whole ``number`` that may have a tenth or a half behind it, as a ``Fraction``."""
    mark = table(dict.fromkeys(MARKS))
    tenth = seq(mark, table(DIGITS)).means(lambda parts: Fraction(parts[1], 10))
    half = say("and a half", Fraction(1, 2))
    return seq(number, Opt(any_of(tenth, half), Fraction(0))).means(
        lambda parts: parts[0] + parts[1]
    )


def decimal_in_words(value: Fraction) -> str:
    """Return a number that is not negative in words: 5/4 -> "one point two five".

    Raises:
        ValueError: it has no finite decimal form of at most five places.
    """
    for count in range(6):
        scaled = value * 10**count
        if scaled.denominator == 1:
            whole, digits = divmod(int(scaled), 10**count)
            tail = f"{digits:0{count}d}" if count else ""
            return in_words(whole) + (f" point {digits_in_words(tail)}" if tail else "")
    raise ValueError(f"{value} has no short decimal form")


def digit_by_digit(value: Fraction) -> str:
    """Return a number that is not negative digit by digit: 51/2 -> "two five point five".

    Raises:
        ValueError: as ``decimal_in_words``.
    """
    whole = digits_in_words(str(int(value)))
    _, point, tail = decimal_in_words(value).partition(" point ")
    return whole + point + tail
