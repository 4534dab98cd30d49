"""Reads a step that looks at weather and supply. Imported by ``steps``."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from assistant.procedure import quantities
from assistant.procedure.conditions import Conditions, conditions
from assistant.procedure.fields import Fields
from assistant.weld.power import Gun

LOOKS = ("conditions", "tests", "suspects")


def look(fields: Fields, job: Conditions) -> tuple[str, Conditions, Gun | None]:
    """Return what is looked at, the limits for it, and the gun whose supply is looked at, if any.

    What the step does not set counts as the job has it.
    """
    of = fields.one_of("look", LOOKS)
    if of != "conditions":
        return of, job, None
    return of, conditions(fields, job), _gun(fields)


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
