"""What a question with a value asks for: quantity, unit, window, name. Imported by ``steps``.

Imports ``words`` for the quantities that can be understood.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from assistant.procedure import measures
from assistant.procedure.fields import Fields
from assistant.words.grammars import UNITS
from assistant.words.measured import QUANTITIES

NO_WINDOW = (Fraction(0), Fraction(0))


@dataclass(frozen=True, slots=True)
class Asked:
    """What the keys of one question say; empty or nought where a fault was reported."""

    quantity: str
    unit: str
    window: tuple[Fraction, Fraction]
    called: str


def asked(fields: Fields) -> Asked:
    """Read ``of``, ``unit``, ``plausible`` and ``called``."""
    name = fields.one_of("of", tuple(QUANTITIES), required=False)
    quantity = QUANTITIES.get(name)
    unknown = fields.has("of") and quantity is None
    unit = fields.text("unit")
    units = tuple(quantity.plausible) if quantity else UNITS
    if unknown:
        unit = ""
    elif unit and unit not in units:
        instead = " or ".join(f"unit: {one}" for one in units)
        of_what = f"'{name}'" if quantity else "a question without 'of'"
        fields.fault("unit", f"'{unit}' is not a unit of {of_what}", instead)
        unit = ""
    window = _window(fields, unit, required=not fields.has("of"))
    called = fields.spoken("called", required=not fields.has("of"))
    if quantity:
        called = called or quantity.called
        window = window or quantity.plausible.get(unit)
    return Asked(name, unit, window or NO_WINDOW, called)


def _window(fields: Fields, unit: str, *, required: bool) -> tuple[Fraction, Fraction] | None:
    inner = fields.inner("plausible", required=required)
    if not inner or not unit:
        return None
    low, high = end(inner, "from", unit), end(inner, "to", unit)
    inner.close()
    if low is not None and high is not None and low > high:
        inner.fault("from", "'from' is more than 'to'", "the smaller value as from")
        return NO_WINDOW
    return low or Fraction(0), high or Fraction(0)


def end(inner: Fields, key: str, unit: str) -> Fraction | None:
    """Read one end of a window in ``unit``."""
    if unit == "in":
        return inner.inches(key)
    if unit == "number":
        return inner.count(key)
    text = inner.text(key)
    if not text:
        return None
    try:
        return measures.amount(text, unit)
    except ValueError as error:
        inner.fault(key, str(error), f"{key}: 1 {unit}")
        return None
