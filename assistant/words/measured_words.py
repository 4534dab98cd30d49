"""How measured values beside widths are said, for ``readback``. Imports modules of ``words``."""

from __future__ import annotations

from fractions import Fraction

from assistant.words.decimals import decimal_in_words, digit_by_digit
from assistant.words.measured import UNITS
from assistant.words.numbers import digits_in_words, in_words

INCHES_PER_FOOT = 12


def in_its_unit(value: Fraction, unit: str) -> str:
    """Return a value with its unit in words: -5 F -> "minus five degrees fahrenheit"."""
    feet, inches = _feet_and_inches(value, unit)
    if inches:
        return f"{_with_unit(feet, in_words(int(feet)), unit)} {_inches(inches)}"
    return _with_unit(value, number_alone(value, unit)[0], unit)


def by_digits(value: Fraction, unit: str) -> str:
    """Return a value digit by digit, with its unit: 72 F -> "seven two degrees fahrenheit"."""
    feet, inches = _feet_and_inches(value, unit)
    if inches:
        return f"{_with_unit(feet, digits_in_words(str(feet)), unit)} {_inches(inches)}"
    return _with_unit(value, number_alone(value, unit)[1], unit)


def number_alone(value: Fraction, unit: str) -> tuple[str, str]:
    """Return a value without its unit: counted, and digit by digit."""
    if _feet_and_inches(value, unit)[1]:
        return in_its_unit(value, unit), by_digits(value, unit)
    sign, size = ("minus " if value < 0 else ""), abs(value)
    counted, singly = decimal_in_words(size), digit_by_digit(size)
    if unit in ("mark", "ft") and size.denominator == 2 and size > 1:
        counted = f"{in_words(int(size))} and a half"
    return sign + counted, sign + singly


def _with_unit(value: Fraction | int, number: str, unit: str) -> str:
    name = UNITS[unit].one if abs(value) == 1 else UNITS[unit].many
    return f"{number} {name}".strip()


def _feet_and_inches(value: Fraction, unit: str) -> tuple[int, int]:
    """Return whole feet and inches where feet alone are not said shortly; else noughts."""
    inches = value * INCHES_PER_FOOT
    if unit != "ft" or value.denominator in (1, 2) or inches.denominator != 1:
        return 0, 0
    return divmod(int(inches), INCHES_PER_FOOT)


def _inches(count: int) -> str:
    return f"{in_words(count)} {'inch' if count == 1 else 'inches'}"
