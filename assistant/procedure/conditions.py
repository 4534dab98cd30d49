"""From where on the weather and the supply call for a caution, as a job file sets it.

Imported by ``loader``. Every key may be left out; ``weld`` holds the defaults and their sources.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any, TypeVar

from assistant.procedure import quantities
from assistant.procedure.fields import Fields
from assistant.weld.power_cautions import PowerLimits
from assistant.weld.units import f_difference_from_c, f_from_c
from assistant.weld.weather_cautions import WeatherLimits

_Limits = TypeVar("_Limits", WeatherLimits, PowerLimits)


@dataclass(frozen=True, slots=True)
class Conditions:
    """The limits of one job."""

    weather: WeatherLimits = field(default_factory=WeatherLimits)
    power: PowerLimits = field(default_factory=PowerLimits)


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a job file: the limit it sets, how it is read, how it may be written."""

    limit: str
    read: Callable[[str], float | Fraction | int]
    example: str


def _c(text: str) -> float:
    return float(quantities.temperature_c(text))


def _f(text: str) -> float:
    return f_from_c(_c(text))


def _difference_c(text: str) -> float:
    return float(quantities.temperature_difference_c(text))


def _difference_f(text: str) -> float:
    return f_difference_from_c(_difference_c(text))


def _mph(text: str) -> float:
    return float(quantities.speed_mph(text))


def _awg(text: str) -> int:
    awg = quantities.conductor(text).awg
    if awg is None:
        raise ValueError(f"'{text}' is not a gauge in AWG")
    return awg


WEATHER = {
    "dew-margin": Key("dew_margin_c", _difference_c, "3 C"),
    "cold-air": Key("cold_air_c", _c, "5 C"),
    "loose-sheet-wind": Key("loose_sheet_mph", _mph, "20 mph"),
    "handling-wind": Key("handling_mph", _mph, "30 mph"),
    "high-wind": Key("high_wind_mph", _mph, "40 mph"),
    "chill-long": Key("chill_long_c", _c, "-27 C"),
    "chill-half-hour": Key("chill_half_hour_c", _c, "-18 F"),
    "chill-minutes": Key("chill_minutes_c", _c, "-35 C"),
    "heat-moderate": Key("heat_moderate_f", _f, "91 F"),
    "heat-high": Key("heat_high_f", _f, "103 F"),
    "heat-extreme": Key("heat_extreme_f", _f, "115 F"),
    "sun-adds": Key("sun_adds_f", _difference_f, "15 F"),
}
POWER = {
    "volts-lost": Key("volts_lost", quantities.share, "3 %"),
    "volts-lost-much": Key("volts_lost_much", quantities.share, "5 %"),
    "least-heat": Key("least_heat", quantities.share, "90 %"),
    "over-volts": Key("over_volts", quantities.share, "5 %"),
    "unexplained-loss": Key("unexplained", quantities.share, "3 %"),
    "thinnest-cord": Key("thinnest_awg", _awg, "12 AWG"),
    "source-margin": Key("margin", quantities.share, "125 %"),
    "altitude-loss": Key("altitude_loss_per_kft", quantities.share, "4 %"),
}
_RISING = (
    ("loose-sheet-wind", "handling-wind", "high-wind"),
    ("chill-minutes", "chill-half-hour", "chill-long"),
    ("heat-moderate", "heat-high", "heat-extreme"),
    ("volts-lost", "volts-lost-much"),
)
"""Of each row the first is less than the next, or one caution would hide another."""


def conditions(job: Fields, usual: Conditions | None = None) -> Conditions:
    """Return the limits that a job file sets, and the ``usual`` ones for the rest.

    Whatever is wrong becomes a fault of the file.
    """
    usual = usual or Conditions()
    weather, power = usual.weather, usual.power
    inner = job.inner("weather", required=False)
    if inner:
        weather = _set(weather, inner, WEATHER)
    inner = job.inner("power", required=False)
    if inner:
        power = _set(power, inner, POWER)
    return Conditions(weather, power)


def _set(defaults: _Limits, fields: Fields, keys: dict[str, Key]) -> _Limits:
    found: dict[str, Any] = {}  # each value fits its limit, which only the table knows
    for name, key in keys.items():
        value = _value(fields, name, key)
        if value is not None:
            found[key.limit] = value
    limits = replace(defaults, **found)
    _check_order(limits, fields, keys)
    fields.close()
    return limits


def _value(fields: Fields, name: str, key: Key) -> float | Fraction | int | None:
    text = fields.text(name, required=False)
    if not text:
        return None
    try:
        return key.read(text)
    except ValueError as problem:
        fields.fault(name, str(problem), f"{name}: {key.example}")
        return None


def _check_order(limits: object, fields: Fields, keys: dict[str, Key]) -> None:
    for row in _RISING:
        for low, high in pairwise(row):
            if low not in keys or not (fields.has(low) or fields.has(high)):
                continue
            if getattr(limits, keys[low].limit) >= getattr(limits, keys[high].limit):
                at = high if fields.has(high) else low
                wrong = f"'{low}' is not less than '{high}'"
                fields.fault(at, wrong, f"such as {low}: {keys[low].example}")
