"""Lengths, times and other amounts as they are written in a checklist, read exactly.

Imported by ``fields``. Imports ``words`` for the inch. Every function raises ``ValueError`` with
what is wrong; the caller knows what to write instead.
"""

from __future__ import annotations

import re
from fractions import Fraction

from assistant.words.meaning import MM_PER_INCH

SECONDS_PER = {"s": 1, "min": 60, "h": 3600}

_MEASURE = re.compile(r"(?P<number>[0-9./ ]*[0-9])(?P<gap> *)(?P<unit>.*)", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,9}", re.ASCII)
_DECIMAL = re.compile(r"[0-9]{1,9}\.[0-9]{1,9}", re.ASCII)
_FRACTION = re.compile(r"(?:(?P<whole>[0-9]{1,9}) )?(?P<over>[0-9]{1,9})/(?P<under>[0-9]{1,9})")


def inches(text: str) -> Fraction:
    """Read a length such as ``1 1/2 in``, ``1.5 in`` or ``38.1 mm`` in inches."""
    number, unit = _parts(text, "in or mm")
    if unit == "in":
        return _number(number)
    if unit == "mm":
        return _number(number) / MM_PER_INCH
    raise ValueError(f"'{unit}' is not a unit of length here")


def seconds(text: str) -> Fraction:
    """Read a time such as ``10 min``, ``90 s``, ``1.5 h`` or ``1.2 s`` in seconds."""
    number, unit = _parts(text, "s, min or h")
    if unit not in SECONDS_PER:
        raise ValueError(f"'{unit}' is not a unit of time here")
    return _number(number) * SECONDS_PER[unit]


def amount(text: str, unit: str) -> Fraction:
    """Read an amount such as ``-20 F`` or ``6 1/2 mark`` that is written in ``unit``, in it."""
    below = text.startswith("-")
    number, written = _parts(text[1:] if below else text, unit)
    if written not in (unit, f"{unit}s"):
        raise ValueError(f"'{written}' is not the unit that is asked for here")
    return -_number(number) if below else _number(number)


def in_inches(value: Fraction) -> str:
    """Write a length as ``inches`` reads it: ``1 3/16 in``."""
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{whole} in"
    return f"{whole} {rest} in" if whole else f"{rest} in"


def _parts(text: str, units: str) -> tuple[str, str]:
    found = _MEASURE.fullmatch(text)
    if not found:
        raise ValueError(f"'{text}' is not a number with a unit")
    if not found["unit"]:
        raise ValueError(f"'{text}' has no unit ({units})")
    if found["gap"] != " ":
        raise ValueError(f"'{text}' needs one space before the unit")
    return found["number"], found["unit"]


def _number(text: str) -> Fraction:
    """Read a whole number, a decimal or a fraction, without loss."""
    if _WHOLE.fullmatch(text) or _DECIMAL.fullmatch(text):
        return Fraction(text)
    found = _FRACTION.fullmatch(text)
    if not found:
        raise ValueError(f"'{text}' is not a number")
    over, under = int(found["over"]), int(found["under"])
    if not under:
        raise ValueError(f"'{text}' divides by nought")
    if found["whole"] and over >= under:
        raise ValueError(f"'{text}' has a fraction that is not less than one")
    return int(found["whole"] or 0) + Fraction(over, under)
