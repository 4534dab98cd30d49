"""Lines of a record and the values in them. Imports ``record`` and ``weld``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from assistant.record import kinds
from assistant.record.entry import Entry
from assistant.weld.due import Weather
from assistant.weld.units import KM_PER_MILE, M_PER_FT

_NUMBER = re.compile(r"-?[0-9]{1,9}(/[1-9][0-9]{0,8})?", re.ASCII)
_PER_FT: Mapping[str, Fraction] = {"ft": Fraction(1), "m": 1 / M_PER_FT}
_PER_MPH: Mapping[str, Fraction] = {
    "mph": Fraction(1),
    "km/h": 1 / KM_PER_MILE,
    "m/s": Fraction(36, 10) / KM_PER_MILE,
    "knots": Fraction(1852, 1000) / KM_PER_MILE,
}


@dataclass(frozen=True, slots=True)
class Row:
    """One line, wherever it was read."""

    id: str
    """Names it so that copies of it have one name, and no other line has it."""
    seq: int
    run: int | None
    at: datetime
    """Aware, in local time there and then."""
    kind: str
    fields: Mapping[str, object]


def rows_of(entries: Iterable[Entry]) -> tuple[Row, ...]:
    """Return the lines of a record."""
    return tuple(
        Row(
            f"{entry.seq}-{entry.digest[:16]}",
            entry.seq,
            entry.seq if entry.kind == kinds.BEGAN else _whole(entry.fields.get("run")),
            entry.local,
            entry.kind,
            entry.fields,
        )
        for entry in entries
    )


def _whole(value: object) -> int | None:
    return value if isinstance(value, int) else None


def text_of(value: object) -> str | None:
    """Return a text that is one, and not empty."""
    return value if isinstance(value, str) and value else None


def amount_of(value: object) -> Fraction | None:
    """Return the number that a record holds as text, or None for anything else."""
    if isinstance(value, str) and _NUMBER.fullmatch(value):
        return Fraction(value)
    return None


def feet_of(amount: Fraction | None, unit: object) -> Fraction | None:
    """Return a length in feet, or None where it is none."""
    return _times(amount, _PER_FT.get(str(unit)))


def _times(amount: Fraction | None, factor: Fraction | None) -> Fraction | None:
    return None if amount is None or factor is None else amount * factor


def weather_of(called: object, unit: object, amount: Fraction | None) -> Weather | None:
    """Return what a measured value says of the weather, if it does."""
    if amount is None:
        return None
    fahrenheit = {"F": amount, "C": amount * 9 / 5 + 32}.get(str(unit))
    if called == "air" and fahrenheit is not None:
        return Weather(air_f=fahrenheit)
    if called == "sheet" and fahrenheit is not None:
        return Weather(surface_f=fahrenheit)
    wind = _times(amount, _PER_MPH.get(str(unit)))
    return Weather(wind_mph=wind) if called == "wind" and wind is not None else None
