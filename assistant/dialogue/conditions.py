"""What the weather and the supply of a run call for, in sentences. Imports ``procedure``, ``weld``.

A checklist asks for the figures and has a ``Look`` behind them. Nothing is decided here: what was
answered goes to ``weld``, and its cautions come back, each with where its rule comes from.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from assistant.dialogue.progress import answer_of
from assistant.dialogue.state import State
from assistant.procedure.model import AskValue, Look
from assistant.weld import cautions, power, power_cautions, weather, weather_cautions
from assistant.weld.cautions import Caution
from assistant.weld.power import BY_AWG, Cord
from assistant.weld.power_cautions import Power, look_at_power
from assistant.weld.units import KM_PER_MILE, M_PER_FT, c_from_f
from assistant.weld.weather_cautions import Weather, look_at_weather

_TO_C: dict[str, Callable[[float], float]] = {"C": float, "F": c_from_f}
_MPH_PER = {
    "mph": Fraction(1),
    "km/h": 1 / KM_PER_MILE,
    "m/s": Fraction(36, 10) / KM_PER_MILE,
    "knots": Fraction(1852, 1000) / KM_PER_MILE,
}
_M_PER = {"m": Fraction(1), "ft": M_PER_FT}
_OF_WEATHER = frozenset({"air-temperature", "sheet-temperature", "humidity", "wind"})

Measured = Mapping[str, tuple[Fraction, str]]
"""Quantity (``words.measured``) -> the value and its unit."""


def looked(state: State, step: Look) -> tuple[tuple[Caution, ...], tuple[str, ...]]:
    """Return the cautions that the answers so far call for, and all that is said of it.

    Nothing is said of what the checklist does not ask for.
    """
    asked = {each.quantity for each in state.procedure.steps if isinstance(each, AskValue)}
    measured = measured_in(state)
    found: tuple[Caution, ...] = ()
    unknown: tuple[str, ...] = ()
    if asked & _OF_WEATHER:
        sky = look_at_weather(_weather(measured), step.weather)
        found, unknown = sky.cautions, sky.unknown
    if step.gun is not None:
        supply = look_at_power(_power(measured, step), step.power)
        found, unknown = (*found, *supply.cautions), (*unknown, *supply.unknown)
    if not asked & _OF_WEATHER and step.gun is None:
        return (), ()
    return found, in_sentences(found, unknown)


def in_sentences(found: tuple[Caution, ...], unknown: tuple[str, ...]) -> tuple[str, ...]:
    """Return what is said of it; where a rule comes from is said once, behind its first caution."""
    told = [part for each in found for part in (each.say, each.about)]
    return tuple(dict.fromkeys([*(told or [weather_cautions.NOTHING_CAUGHT]), *unknown]))


def measured_in(state: State) -> Measured:
    """Return what this run has measured; a question asked twice counts with its latest answer."""
    found = {}
    for step in state.procedure.steps:
        answer = answer_of(state.progress, step.id)
        if isinstance(step, AskValue) and step.quantity and answer:
            found[step.quantity] = (Fraction(str(answer["answer"])), str(answer["unit"]))
    return found


def _weather(measured: Measured) -> Weather:
    humidity = measured.get("humidity")
    wind = measured.get("wind")
    return Weather(
        air_c=_in_c(measured.get("air-temperature")),
        humidity_percent=float(humidity[0]) if humidity else None,
        sheet_c=_in_c(measured.get("sheet-temperature")),
        wind_mph=float(wind[0] * _MPH_PER[wind[1]]) if wind else None,
    )


def _in_c(measured: tuple[Fraction, str] | None) -> float | None:
    return None if measured is None else _TO_C[measured[1]](float(measured[0]))


def _power(measured: Measured, step: Look) -> Power:
    if step.gun is None:
        raise ValueError("without a gun there is no supply to look at")
    volts = measured.get("volts")
    length, gauge = measured.get("cord-length"), measured.get("cord-gauge")
    cords: tuple[Cord, ...] = ()
    if length and gauge:
        cords = (Cord(BY_AWG[int(gauge[0])], length[0] * _M_PER[length[1]]),)
    return Power(step.gun, cords, measured_volts=volts[0] if volts else None)


def every_sentence() -> tuple[str, ...]:
    """Return all that such a step can say, so that it can be rendered ahead of need."""
    every = (*weather_cautions.CAUTIONS, *power_cautions.CAUTIONS)
    outside = (*weather.OUTSIDE, *power.OUTSIDE)
    return (
        *(each.say for each in every),
        *cautions.ABOUT,
        *(each.reason for each in outside),
        *weather_cautions.UNKNOWN,
        *power_cautions.UNKNOWN,
        weather_cautions.NOTHING_CAUGHT,
    )
