"""Values of a job as a voice says them. Imported by ``job``; imports ``words``."""

from __future__ import annotations

import re
from fractions import Fraction

from assistant.procedure import measures
from assistant.words.decimals import decimal_in_words
from assistant.words.meaning import Measure
from assistant.words.measured import UNITS
from assistant.words.measured_words import in_its_unit
from assistant.words.numbers import in_words
from assistant.words.readback import inches_in_words, value_in_words

_MEASURE = re.compile(r"(?P<number>-?[0-9][0-9./ ]*?) ?(?P<unit>[A-Za-z%/][A-Za-z/]*)", re.ASCII)
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?", re.ASCII)
_ONE_AND_MORE = {
    "s": ("second", "seconds"),
    "min": ("minute", "minutes"),
    "h": ("hour", "hours"),
    "W": ("watt", "watts"),
    "A": ("amp", "amps"),
    "%": ("percent", "percent"),
    "marks": ("", ""),
}


def in_words_of(data: str | int) -> str:
    """Return a value of a job in words: ``10 min`` is "ten minutes".

    What is no number with a unit that is known stays as it is.
    """
    if isinstance(data, int):
        return in_words(data) if 0 <= data < 1_000_000 else str(data)
    try:
        return _said(data)
    except (ValueError, KeyError):
        return data


def _said(text: str) -> str:
    if _NUMBER.fullmatch(text):
        return decimal_in_words(Fraction(text))
    found = _MEASURE.fullmatch(text)
    if not found:
        return text
    unit = found["unit"]
    if unit == "in":
        return inches_in_words(measures.inches(text))
    if unit == "mm":
        value = measures.amount(text, unit)
        return value_in_words(Measure(value, unit))
    value = measures.amount(f"{found['number']} {unit}", unit)
    if unit in UNITS:
        return in_its_unit(value, unit).strip()
    one, more = _ONE_AND_MORE[unit]
    return f"{decimal_in_words(value)} {one if value == 1 else more}".strip()
