"""How Lapcall says values: in words, and in two forms that tell confusable values apart.

Imports the modules of ``words``. The speech engine must never see a figure or a unit sign.
"""

from __future__ import annotations

from fractions import Fraction

from assistant.words.fractions import ONE_OF, in_words_of
from assistant.words.meaning import Measure
from assistant.words.numbers import digits_in_words, in_words
from assistant.words.widths import TRAILING_HEDGES


def inches_in_words(value_in: Fraction) -> str:
    """Return a width on an inch rule in words: 5/4 -> "one and one quarter inches"."""
    whole, rest = divmod(value_in, 1)
    if not rest:
        return f"{in_words(int(whole))} {'inch' if whole == 1 else 'inches'}"
    if whole:
        return f"{in_words(int(whole))} and {in_words_of(rest)} inches"
    return f"{in_words_of(rest)} of an inch"


def decimal_in_words(value: Fraction) -> str:
    """Return a number digit by digit: 5/4 -> "one point two five".

    Raises:
        ValueError: it has no finite decimal form of at most five places.
    """
    for places in range(6):
        scaled = value * 10**places
        if scaled.denominator == 1:
            whole, digits = divmod(int(scaled), 10**places)
            tail = f"{digits:0{places}d}" if places else ""
            return in_words(whole) + (f" point {digits_in_words(tail)}" if tail else "")
    raise ValueError(f"{value} has no short decimal form")


def _on_a_rule(value_in: Fraction) -> bool:
    return value_in.denominator in {1, *ONE_OF}


def value_in_words(measure: Measure) -> str:
    """Return a value once, in the form it was said in, with its hedge where it is said."""
    if measure.unit == "number":
        return in_words(int(measure.value))
    if measure.unit == "mm":
        value = f"{decimal_in_words(measure.value)} millimeters"
    elif _on_a_rule(measure.value):
        value = inches_in_words(measure.value)
    else:
        value = f"{decimal_in_words(measure.value)} inches"
    if measure.hedge is None:
        return value
    # "Minus one inch" would be another number.
    behind = measure.hedge in TRAILING_HEDGES
    return f"{value} {measure.hedge}" if behind else f"{measure.hedge} {value}"


def two_forms(measure: Measure) -> str:
    """Return a value in two forms, as sentences without the last period.

    Widths below an inch say so, since a lost "one and" is the worst mishearing; counts are
    repeated digit by digit, since fifteen and fifty sound alike.
    """
    first = value_in_words(measure)
    if measure.unit == "number":
        return f"{first}. {_sentence(digits_in_words(str(int(measure.value))))}"
    if measure.unit == "mm":
        return f"{first}. {_sentence(_digits_of(measure.value))} millimeters"
    below = ". Less than one inch" if measure.value < 1 else ""
    if below and measure.value.denominator == 16:
        second = f"{digits_in_words(str(measure.value.numerator))} over one six"
    elif measure.value.denominator == 1:
        second = decimal_in_words(measure.value) + " point zero"
    elif _on_a_rule(measure.value):
        second = decimal_in_words(measure.value)
    else:
        second = "decimal " + _digits_of(measure.value)
    return f"{first}. {_sentence(second)}{below}"


def _digits_of(value: Fraction) -> str:
    whole = digits_in_words(str(int(value)))
    _, point, tail = decimal_in_words(value).partition(" point ")
    return whole + point + tail


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def spoken(text: str) -> str:
    """Return ``text`` as a sentence: a capital in front, a period behind."""
    text = _sentence(text.strip())
    return text if text.endswith((".", "?", "!")) else text + "."
