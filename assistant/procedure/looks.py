"""Reads a step that looks at weather and supply. Imported by ``steps``."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from assistant.procedure import quantities
from assistant.procedure.conditions import Conditions, conditions
from assistant.procedure.fields import Fields
from assistant.weld.power import Gun


def look(fields: Fields) -> tuple[Conditions, Gun | None]:
    """Return the limits that the step sets, and the gun whose supply it looks at, if any."""
    fields.one_of("look", ("conditions",))
    return conditions(fields), _gun(fields)


def _gun(fields: Fields) -> Gun | None:
    inner = fields.inner("gun", required=False)
    if not inner:
        return None
    watts = _above_nought(inner, "watts", quantities.watts)
    volts = _above_nought(inner, "volts", quantities.volts)
    inner.close()
    return Gun(watts, volts) if watts and volts else None


def _above_nought(fields: Fields, key: str, read: Callable[[str], Fraction]) -> Fraction | None:
    text = fields.text(key)
    try:
        return read(text) if text else None
    except ValueError as problem:
        fields.fault(key, str(problem))
        return None
