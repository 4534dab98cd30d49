"""How weather and supply are shown: lines of text, and plain data. Imported by ``conditions``.

Figures stand here and in JSON only; what is spoken is in ``weld`` and has none.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterable
from dataclasses import asdict
from fractions import Fraction

from assistant.weld import power_cautions, weather_cautions
from assistant.weld.cautions import Caution
from assistant.weld.power import AtGun, SourceLoad
from assistant.weld.power_cautions import Power, PowerFound
from assistant.weld.units import (
    M_PER_FT,
    Outside,
    c_from_f,
    f_difference_from_c,
    f_from_c,
    kmh_from_mph,
)
from assistant.weld.weather_cautions import Weather, WeatherFound, WeatherLimits

_NAME_WIDTH = 20
_LINE_WIDTH = 96


def weather_as_text(seen: Weather, found: WeatherFound, limits: WeatherLimits) -> list[str]:
    """Return what follows from the weather, a line each, then the cautions."""
    wanted = _difference(limits.dew_margin_c)
    rows = (
        ("Air", _temperature(seen.air_c)),
        ("Sheet", _temperature(seen.sheet_c)),
        ("Humidity", None if seen.humidity_percent is None else f"{seen.humidity_percent:g} %"),
        ("Wind", None if seen.wind_mph is None else _wind(seen.wind_mph)),
        ("Dew point", _temperature(found.dew_point_c)),
        ("Frost point", _temperature(found.frost_point_c)),
        ("Sheet above it", _margin(found.sheet_margin_c, wanted)),
        ("Wind chill", _felt(found.wind_chill_f)),
        ("Heat index", _felt(found.heat_index_f)),
        ("Heat band", _band(seen, found)),
    )
    return [*_lines(rows), *_advice(found.cautions, found.unknown, weather_cautions.NOTHING_CAUGHT)]


def power_as_text(seen: Power, found: PowerFound) -> list[str]:
    """Return what follows from the supply, a line each, then the cautions."""
    rows = (
        ("Gun", f"{_short(seen.gun.watts)} W at {_short(seen.gun.volts)} V"),
        ("Cord", _cord(seen, found)),
        ("Volts at the gun", _volts(found)),
        ("Watts at the gun", _watts(found)),
        ("Air heat left", _air_heat(found.at_gun)),
        ("Generator", _load(found.generator, "W")),
        ("Circuit", _load(found.circuit, "A")),
    )
    return [*_lines(rows), *_advice(found.cautions, found.unknown, power_cautions.NOTHING_CAUGHT)]


def weather_as_json(seen: Weather, found: WeatherFound) -> dict[str, object]:
    """Return the weather as plain data; what has no number says why not."""
    return {
        "air_c": _plain(seen.air_c),
        "sheet_c": _plain(seen.sheet_c),
        "humidity_percent": _plain(seen.humidity_percent),
        "wind_mph": _plain(seen.wind_mph),
        "in_sun": seen.in_sun,
        "damp_seen": seen.damp_seen,
        "dew_point_c": _plain(found.dew_point_c),
        "frost_point_c": _plain(found.frost_point_c),
        "sheet_margin_c": _plain(found.sheet_margin_c),
        "wind_chill_f": _plain(found.wind_chill_f),
        "heat_index_f": _plain(found.heat_index_f),
        "heat_band": found.heat_band.value if found.heat_band else None,
        **_advice_as_json(found.cautions, found.unknown),
    }


def power_as_json(seen: Power, found: PowerFound) -> dict[str, object]:
    """Return the supply as plain data; what has no number says why not."""
    return {
        "gun": {"watts": _plain(seen.gun.watts), "volts": _plain(seen.gun.volts)},
        "cord_ohm": _plain(found.cord_ohm),
        "lost_in_cord": _plain(found.lost_in_cord),
        "by_cord": _at_gun(found.by_cord),
        "by_cord_most": _at_gun(found.by_cord_most),
        "measured": _at_gun(found.measured),
        "generator": _load_as_json(found.generator),
        "circuit": _load_as_json(found.circuit),
        **_advice_as_json(found.cautions, found.unknown),
    }


def _lines(rows: Iterable[tuple[str, str | None]]) -> list[str]:
    return [f"{name:<{_NAME_WIDTH}}{text}" for name, text in rows if text is not None]


def _advice(cautions: tuple[Caution, ...], unknown: tuple[str, ...], nothing: str) -> list[str]:
    told = [_wrapped("Caution: ", each.spoken) for each in cautions] or [_wrapped("", nothing)]
    return [*told, *(_wrapped("Not known: ", each) for each in unknown)]


def _wrapped(head: str, text: str) -> str:
    return textwrap.fill(head + text, width=_LINE_WIDTH, subsequent_indent=" " * len(head))


def _advice_as_json(cautions: tuple[Caution, ...], unknown: tuple[str, ...]) -> dict[str, object]:
    return {
        "cautions": [{"say": each.say, "about": each.about} for each in cautions],
        "unknown": list(unknown),
    }


def _temperature(value_c: float | Outside | None) -> str | None:
    if value_c is None or isinstance(value_c, Outside):
        return value_c.reason if value_c else None
    return f"{f_from_c(value_c):.1f} F ({value_c:.1f} C)"


def _felt(value_f: float | Outside | None) -> str | None:
    if value_f is None or isinstance(value_f, Outside):
        return value_f.reason if value_f else None
    return f"{value_f:.0f} F ({c_from_f(value_f):.0f} C)"


def _wind(speed_mph: float) -> str:
    return f"{speed_mph:.0f} mph ({kmh_from_mph(speed_mph):.0f} km/h)"


def _difference(value_c: float) -> str:
    # Rounded down, so that it never looks like more than it is.
    shown = [
        math.floor(value * 10 + 1e-9) / 10 for value in (f_difference_from_c(value_c), value_c)
    ]
    return f"{shown[0]:.1f} F ({shown[1]:.1f} C)"


def _margin(value_c: float | Outside | None, wanted: str) -> str | None:
    if value_c is None or isinstance(value_c, Outside):
        return value_c.reason if value_c else None
    return f"{_difference(value_c)}; wanted {wanted}"


def _band(seen: Weather, found: WeatherFound) -> str | None:
    if found.heat_band is None:
        return None
    return f"{found.heat_band.value}{', with full sun' if seen.in_sun else ', in shade'}"


def _cord(seen: Power, found: PowerFound) -> str | None:
    if not seen.cords:
        return None
    names = " and ".join(
        f"{_short(each.length_m / M_PER_FT)} ft ({_short(each.length_m)} m) of "
        f"{each.conductor.name}"
        for each in seen.cords
    )
    if found.lost_in_cord is None:
        return names
    return f"{names}; loses {float(found.lost_in_cord):.1%} of the volts"


def _volts(found: PowerFound) -> str | None:
    if found.measured is not None:
        measured = found.measured
        if isinstance(measured, Outside):
            return measured.reason
        return f"{_one(measured.volts)} V measured"
    return _least_to_most(found, lambda gun: f"{_one(gun.volts)} V")


def _watts(found: PowerFound) -> str | None:
    if isinstance(found.measured, AtGun):
        return _heat(found.measured)
    return None if found.measured else _least_to_most(found, _heat)


def _heat(gun: AtGun) -> str:
    return f"{float(gun.watts):.0f} W ({float(gun.share_of_heat):.0%})"


def _least_to_most(found: PowerFound, show: Callable[[AtGun], str]) -> str | None:
    least, most = found.by_cord, found.by_cord_most
    if least is None or isinstance(least, Outside):
        return least.reason if least else None
    if most is None or isinstance(most, Outside) or most == least:
        return show(least)
    return f"{show(least)} with a hot cord, {show(most)} with a cool one"


def _air_heat(gun: AtGun | Outside | None) -> str | None:
    if gun is None or isinstance(gun, Outside):
        return None
    return f"{float(gun.air_heat_least):.0%} to {float(gun.air_heat_most):.0%}, as the fan slows"


def _load(found: SourceLoad | Outside | None, unit: str) -> str | None:
    if found is None or isinstance(found, Outside):
        return found.reason if found else None
    return (
        f"{_short(found.load)} of {_short(found.rating)} {unit} "
        f"({float(found.share):.0%}): {found.sizing.value}"
    )


def _at_gun(found: AtGun | Outside | None) -> object:
    if found is None or isinstance(found, Outside):
        return _plain(found)
    return {name: _plain(value) for name, value in asdict(found).items()}


def _load_as_json(found: SourceLoad | Outside | None) -> object:
    if found is None or isinstance(found, Outside):
        return _plain(found)
    return {
        "load": _plain(found.load),
        "rating": _plain(found.rating),
        "share": _plain(found.share),
        "sizing": found.sizing.value,
    }


def _plain(value: float | Fraction | Outside | None) -> object:
    """Return a number to four places, or why there is none."""
    if isinstance(value, Outside):
        return {"outside": value.reason}
    return None if value is None else round(float(value), 4)


def _one(value: Fraction) -> str:
    return f"{float(value):.1f}"


def _short(value: Fraction) -> str:
    return f"{float(round(value, 1)):g}"
