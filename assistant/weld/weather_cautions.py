"""What the weather at the start of a shift calls for. Imports ``weather``, ``units``, ``cautions``.

``look_at_weather`` is pure. The thresholds are data of the job; each default names its source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from assistant.weld import cautions as about
from assistant.weld import weather
from assistant.weld.cautions import Caution
from assistant.weld.units import Outside, c_from_f, f_from_c
from assistant.weld.weather import HeatBand

_Found = TypeVar("_Found")

DAMP_SEEN = Caution(
    "There is damp on the sheet. Do not weld it. Dry it, wait, and make a test weld first.",
    about.PLAIN,
)
NEAR_DEW = Caution(
    "The sheet is near the dew point. Damp may settle in the lap. Feel it, dry it or wait, and "
    "make a test weld before the seam.",
    about.PAINTING_RULE,
)
BELOW_DEW = Caution(
    "The sheet is at or below the dew point. Damp or frost is likely on it. Wait until it is dry "
    "and warmer.",
    about.PAINTING_RULE,
)
COLD_AIR = Caution(
    "The air is cold for welding. The sheet is stiff and takes more heat. Test often, and again "
    "when it warms.",
    about.LINER_RULE,
)
LOOSE_SHEET_WIND = Caution(
    "Loose sheet is a sail in this wind. Hold it down. The wind also takes heat from the lap, so "
    "make a test weld where you weld.",
    about.PRACTICE,
)
HANDLING_WIND = Caution(
    "This is high wind for carrying material. Do not handle sheet near an edge.", about.WIND_RULE
)
HIGH_WIND = Caution("This is high wind. Stop, tie down, and come away from edges.", about.WIND_RULE)
CHILL_LONG = Caution(
    "In this wind chill skin can freeze when you stay out long. Cover skin, and warm up often.",
    about.CHILL_RULE,
)
CHILL_HALF_HOUR = Caution(
    "In this wind chill skin can freeze within half an hour. Cover all skin, and keep turns short.",
    about.CHILL_RULE,
)
CHILL_MINUTES = Caution(
    "In this wind chill skin can freeze within minutes. Put off the work, or cover all skin.",
    about.CHILL_RULE,
)
CHILL_BEYOND = Caution(
    "It is colder or windier than the wind chill chart goes. Put off the work.", about.CHILL_RULE
)
HEAT_MODERATE = Caution(
    "The heat is moderate. Drink water each quarter of an hour, rest in shade, and watch each "
    "other. The gun adds heat.",
    about.HEAT_RULE,
)
HEAT_HIGH = Caution(
    "The heat is high. Rest in shade on a plan, drink often, go easy with new people, and watch "
    "each other.",
    about.HEAT_RULE,
)
HEAT_EXTREME = Caution(
    "The heat is very high to extreme. Move the work to a cooler hour. If you must go on, keep "
    "turns short and nobody alone.",
    about.HEAT_RULE,
)
SUN_ADDS = Caution("Full sun makes it hotter, and that is counted in.", about.HEAT_RULE)

CAUTIONS = (
    DAMP_SEEN,
    NEAR_DEW,
    BELOW_DEW,
    COLD_AIR,
    LOOSE_SHEET_WIND,
    HANDLING_WIND,
    HIGH_WIND,
    CHILL_LONG,
    CHILL_HALF_HOUR,
    CHILL_MINUTES,
    CHILL_BEYOND,
    HEAT_MODERATE,
    HEAT_HIGH,
    HEAT_EXTREME,
    SUN_ADDS,
)

NO_AIR = "The air temperature was not measured, so damp, cold and heat cannot be told."
NO_SHEET = (
    "The sheet temperature was not measured, so damp on it cannot be told. "
    "At night a sheet gets colder than the air."
)
NO_HUMIDITY = "The humidity was not measured, so damp and heat cannot be told."
NO_WIND = "The wind was not measured, so wind and wind chill cannot be told."
UNKNOWN = (NO_AIR, NO_SHEET, NO_HUMIDITY, NO_WIND)

NOTHING_CAUGHT = (
    "Nothing in these figures calls for a caution. That is no promise. Look at the sheet and feel "
    "it, and let the peel test decide."
)


@dataclass(frozen=True, slots=True)
class WeatherLimits:
    """From where on a caution is given. Defaults; a job may set its own."""

    dew_margin_c: float = 3.0
    """A difference. ISO 8502-4 for painting (from memory): 3 C, which is 5.4 F."""
    cold_air_c: float = 5.0
    """DVS 2225-4 for lining membranes (from memory): at least 5 C."""
    loose_sheet_mph: float = 20.0
    """Common practice, no source."""
    handling_mph: float = 30.0
    """High wind with material in hand, as a note to US construction rules has it."""
    high_wind_mph: float = 40.0
    """High wind, the same note."""
    chill_long_c: float = -27.0
    """Frostbite when out long: Canadian weather service."""
    chill_half_hour_c: float = c_from_f(-18)
    """Frostbite within 30 minutes at -18 F: US weather service."""
    chill_minutes_c: float = -35.0
    """Frostbite in 10 to 15 minutes: Canadian weather service."""
    heat_moderate_f: float = 91.0
    """https://www.osha.gov/heat/heat-index/protective-measures; so are the next two."""
    heat_high_f: float = 103.0
    heat_extreme_f: float = 115.0
    sun_adds_f: float = 15.0
    """A difference: the most that full sun adds (OSHA, using the heat index)."""


@dataclass(frozen=True, slots=True)
class Weather:
    """What was measured; None is what was not."""

    air_c: float | None = None
    humidity_percent: float | None = None
    sheet_c: float | None = None
    wind_mph: float | None = None
    in_sun: bool = False
    damp_seen: bool = False


@dataclass(frozen=True, slots=True)
class WeatherFound:
    """What follows; None where too little was measured (or, for frost, where it is dew)."""

    dew_point_c: float | Outside | None
    frost_point_c: float | Outside | None
    sheet_margin_c: float | Outside | None
    wind_chill_f: float | Outside | None
    heat_index_f: float | Outside | None
    heat_band: HeatBand | None
    """Reckoned with sun where there is sun."""
    cautions: tuple[Caution, ...]
    unknown: tuple[str, ...]
    """What was not measured, so that nobody takes silence for good weather."""


def look_at_weather(seen: Weather, limits: WeatherLimits | None = None) -> WeatherFound:
    """Return what follows from the weather, and the cautions, worst damp first.

    Sources: each formula names its own in ``weather``. Raises ``ValueError`` for what cannot be.
    """
    limits = limits or WeatherLimits()
    air_f = None if seen.air_c is None else f_from_c(seen.air_c)
    dew = _of_both(weather.dew_point_c, seen.air_c, seen.humidity_percent)
    frost = _of_both(weather.frost_point_c, seen.air_c, seen.humidity_percent)
    heat = _of_both(weather.heat_index_f, air_f, seen.humidity_percent)
    chill = _of_both(weather.wind_chill_f, air_f, seen.wind_mph)
    margin = None
    if seen.air_c is not None and seen.humidity_percent is not None and seen.sheet_c is not None:
        margin = weather.sheet_margin_c(seen.air_c, seen.humidity_percent, seen.sheet_c)
    band = _band(heat, limits.sun_adds_f if seen.in_sun else 0, limits)
    found = (
        *((DAMP_SEEN,) if seen.damp_seen else ()),
        *_of_dew(margin, limits),
        *_of_cold(seen.air_c, chill, limits),
        *_of_wind(seen.wind_mph, limits),
        *_of_heat(band, seen.in_sun),
    )
    return WeatherFound(dew, frost, margin, chill, heat, band, found, _unknown(seen, dew))


def _of_both(
    formula: Callable[[float, float], _Found], first: float | None, second: float | None
) -> _Found | None:
    return None if first is None or second is None else formula(first, second)


def _of_dew(margin_c: float | Outside | None, limits: WeatherLimits) -> tuple[Caution, ...]:
    if not isinstance(margin_c, float):
        return ()
    if margin_c <= 0:
        return (BELOW_DEW,)
    return (NEAR_DEW,) if margin_c < limits.dew_margin_c else ()


def _of_cold(
    air_c: float | None, chill_f: float | Outside | None, limits: WeatherLimits
) -> tuple[Caution, ...]:
    cold = (COLD_AIR,) if air_c is not None and air_c < limits.cold_air_c else ()
    if chill_f == weather.BEYOND_CHILL_CHART:
        return (*cold, CHILL_BEYOND)
    if chill_f is None or isinstance(chill_f, Outside):
        return cold
    for from_c, caution in (
        (limits.chill_minutes_c, CHILL_MINUTES),
        (limits.chill_half_hour_c, CHILL_HALF_HOUR),
        (limits.chill_long_c, CHILL_LONG),
    ):
        if c_from_f(chill_f) <= from_c:
            return (*cold, caution)
    return cold


def _of_wind(wind_mph: float | None, limits: WeatherLimits) -> tuple[Caution, ...]:
    steps = (
        (limits.high_wind_mph, HIGH_WIND),
        (limits.handling_mph, HANDLING_WIND),
        (limits.loose_sheet_mph, LOOSE_SHEET_WIND),
    )
    if wind_mph is None:
        return ()
    return tuple(caution for from_mph, caution in steps if wind_mph >= from_mph)[:1]


def _band(
    index_f: float | Outside | None, sun_adds_f: float, limits: WeatherLimits
) -> HeatBand | None:
    """Return the band; where two touch, the hotter one. Beyond the chart is the hottest."""
    if index_f == weather.BEYOND_HEAT_CHART:
        return HeatBand.EXTREME
    if index_f is None or isinstance(index_f, Outside):
        return None
    felt_f = index_f + sun_adds_f
    if felt_f > limits.heat_extreme_f:
        return HeatBand.EXTREME
    if felt_f >= limits.heat_high_f:
        return HeatBand.HIGH
    return HeatBand.MODERATE if felt_f >= limits.heat_moderate_f else HeatBand.LOWER


def _of_heat(band: HeatBand | None, in_sun: bool) -> tuple[Caution, ...]:
    of_band = {
        HeatBand.MODERATE: HEAT_MODERATE,
        HeatBand.HIGH: HEAT_HIGH,
        HeatBand.EXTREME: HEAT_EXTREME,
    }
    if band not in of_band:
        return ()
    return (of_band[band], SUN_ADDS) if in_sun else (of_band[band],)


def _unknown(seen: Weather, dew: float | Outside | None) -> tuple[str, ...]:
    asked = (
        (seen.air_c, NO_AIR),
        (seen.sheet_c, NO_SHEET),
        (seen.humidity_percent, NO_HUMIDITY),
        (seen.wind_mph, NO_WIND),
    )
    missing = tuple(sentence for value, sentence in asked if value is None)
    return (*missing, dew.reason) if isinstance(dew, Outside) else missing
