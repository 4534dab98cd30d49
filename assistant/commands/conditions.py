"""``lapcall weather`` and ``lapcall power``: what a shift begins with, as text or JSON."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from assistant.commands import conditions_told as told
from assistant.commands.options import print_json
from assistant.errors import UsageProblem
from assistant.procedure import quantities
from assistant.procedure.conditions import Conditions
from assistant.procedure.loader import load_conditions
from assistant.weld.power import Cord, Gun
from assistant.weld.power_cautions import Power, look_at_power
from assistant.weld.units import M_PER_FT
from assistant.weld.weather_cautions import Weather, look_at_weather

if TYPE_CHECKING:
    from assistant.commands.options import Commands

_Read = TypeVar("_Read")


def add_to(commands: Commands) -> None:
    """Add both commands."""
    sky = commands.add_parser("weather", help="dew point, wind chill, heat, and their cautions")
    # Else "-5C" is taken for an option that does not exist.
    sky._negative_number_matcher = re.compile(r"-[0-9].*")
    sky.add_argument("--air", metavar="TEMPERATURE", help="in the shade: 68F or 20C")
    sky.add_argument("--humidity", metavar="PERCENT", help="such as 80")
    sky.add_argument("--sheet", metavar="TEMPERATURE", help="on the sheet itself: 67F or 19C")
    sky.add_argument("--wind", metavar="SPEED", help="such as 15mph, 24km/h or 7m/s")
    sky.add_argument("--sun", action="store_true", help="people work in full sun")
    sky.add_argument("--damp", action="store_true", help="damp is seen or felt on the sheet")
    _add_shared(sky)
    sky.set_defaults(run=run_weather)
    supply = commands.add_parser("power", help="volts and heat at the gun, and their cautions")
    supply.add_argument("--watts", required=True, help="on the plate of the gun: 1600W")
    supply.add_argument("--volts", required=True, help="on the plate of the gun: 120V")
    supply.add_argument(
        "--cord",
        nargs=2,
        action="append",
        metavar=("LENGTH", "GAUGE"),
        help="such as 100ft 12, or 50m 2.5mm2; once for each cord",
    )
    supply.add_argument("--source", metavar="VOLTS", help="at the outlet while the gun heats")
    supply.add_argument("--measured", metavar="VOLTS", help="at the gun while it heats")
    supply.add_argument("--wire", metavar="TEMPERATURE", help="of the cord (else 75C and 20C)")
    supply.add_argument("--generator", metavar="WATTS", help="what it gives for hours: 2000W")
    supply.add_argument(
        "--also", action="append", metavar="WATTS", help="what else runs on it; once for each"
    )
    supply.add_argument("--altitude", metavar="HEIGHT", help="of the generator: 5000ft")
    supply.add_argument("--circuit", metavar="AMPS", help="of the outlet: 20A")
    supply.add_argument("--holds-heat", action="store_true", help="the gun controls its own heat")
    _add_shared(supply)
    supply.set_defaults(run=run_power)


def _add_shared(command: argparse.ArgumentParser) -> None:
    command.add_argument("--job", type=Path, metavar="FILE", help="job file with limits of its own")
    command.add_argument("--json", action="store_true", help="print one JSON object")


def run_weather(options: argparse.Namespace) -> int:
    """Print what follows from the weather."""
    if not any((options.air, options.humidity, options.sheet, options.wind, options.damp)):
        raise UsageProblem(
            "There is nothing to go by. Measure and write, for example: "
            "lapcall weather --air 68F --humidity 80 --sheet 67F --wind 12mph"
        )
    temperature = quantities.temperature_c
    seen = Weather(
        air_c=_float(_read(options.air, "--air", temperature, "68F or 20C")),
        humidity_percent=_float(_read(options.humidity, "--humidity", _percent, "80")),
        sheet_c=_float(_read(options.sheet, "--sheet", temperature, "67F or 19C")),
        wind_mph=_float(_read(options.wind, "--wind", quantities.speed_mph, "15mph or 24km/h")),
        in_sun=options.sun,
        damp_seen=options.damp,
    )
    limits = _limits(options).weather
    found = look_at_weather(seen, limits)
    if options.json:
        print_json(told.weather_as_json(seen, found))
    else:
        print("\n".join(told.weather_as_text(seen, found, limits)))
    return 0


def run_power(options: argparse.Namespace) -> int:
    """Print what follows from the supply."""
    if options.altitude and not options.generator:
        raise UsageProblem("--altitude is of a generator. Name its watts too: --generator 2000W.")
    volts, watts = quantities.volts, quantities.watts
    altitude_m = _read(options.altitude, "--altitude", quantities.length_m, "5000ft or 1500m")
    seen = Power(
        gun=Gun(
            watts=_needed(options.watts, "--watts", watts, "1600W"),
            volts=_needed(options.volts, "--volts", volts, "120V"),
            holds_heat=options.holds_heat,
        ),
        cords=tuple(_cord(length, gauge) for length, gauge in options.cord or ()),
        source_volts=_read(options.source, "--source", volts, "118V"),
        measured_volts=_read(options.measured, "--measured", volts, "112V"),
        wire_c=_read(options.wire, "--wire", quantities.temperature_c, "20C or 68F"),
        generator_w=_read(options.generator, "--generator", watts, "2000W or 2kW"),
        also_w=tuple(_needed(each, "--also", watts, "1000W") for each in options.also or ()),
        altitude_ft=Fraction(0) if altitude_m is None else altitude_m / M_PER_FT,
        circuit_a=_read(options.circuit, "--circuit", quantities.amps, "20A"),
    )
    found = look_at_power(seen, _limits(options).power)
    if options.json:
        print_json(told.power_as_json(seen, found))
    else:
        print("\n".join(told.power_as_text(seen, found)))
    return 0


def _limits(options: argparse.Namespace) -> Conditions:
    return load_conditions(options.job) if options.job else Conditions()


def _cord(length: str, gauge: str) -> Cord:
    wire = _needed(gauge, "--cord", quantities.conductor, "--cord 100ft 12")
    length_m = _needed(length, "--cord", quantities.length_m, "--cord 100ft 12")
    if not length_m:
        raise UsageProblem("--cord: a cord is longer than nought. Leave --cord out without one.")
    return Cord(wire, length_m)


def _percent(text: str) -> Fraction:
    percent = quantities.share(text) * 100
    if not 0 < percent <= 100:
        raise ValueError("a humidity lies above 0 and at most at 100 percent")
    return percent


def _float(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def _read(
    text: str | None, option: str, read: Callable[[str], _Read], example: str
) -> _Read | None:
    return None if text is None else _needed(text, option, read, example)


def _needed(text: str, option: str, read: Callable[[str], _Read], example: str) -> _Read:
    try:
        return read(text)
    except ValueError as problem:
        raise UsageProblem(f"{option} {text}: {problem}. Write it like {example}.") from None
