"""Damp, cold and heat in numbers. Imports ``units``; anything of ours may import this.

Floats, since it is physics. Where a formula was not made for the weather at hand, ``Outside`` says
so and there is no number. Nonsense (a humidity of nought) raises ``ValueError``.
"""

from __future__ import annotations

import math
from enum import Enum

from assistant.weld.units import Outside

DEW_RANGE_C = (-40.0, 50.0)
"""For which the Magnus form was fitted over water (Alduchov and Eskridge 1996)."""
CHILL_RANGE_F = (-45.0, 50.0)
CHILL_RANGE_MPH = (3.0, 60.0)
"""From the formula's least wind and highest air to the ends of the published chart (NWS 2001)."""
CHILL_RANGE_C = (-50.0, 10.0)
CHILL_RANGE_KMH = (4.8, 80.0)
"""The same for the metric chart (Canadian weather service); the wind must be over the least."""
HEAT_RANGE_F = (40.0, 112.0)
"""Up to the hottest air that the equation's page names. Below 40 F nobody uses it (from memory)."""
HEAT_CHART_ENDS_F = 137.0
"""The highest figure on the published chart of the heat index (from memory)."""

NO_DEW_POINT = Outside("The dew point formula was not made for air this hot, cold or dry.")
TOO_WARM_FOR_CHILL = Outside("It is too warm for a wind chill.")
TOO_CALM_FOR_CHILL = Outside("There is too little wind for a wind chill.")
BEYOND_CHILL_CHART = Outside("It is colder or windier than the published wind chill chart goes.")
TOO_COOL_FOR_HEAT = Outside("It is too cool for a heat index.")
BEYOND_HEAT_CHART = Outside("It is hotter than the published heat index goes.")

OUTSIDE = (
    NO_DEW_POINT,
    TOO_WARM_FOR_CHILL,
    TOO_CALM_FOR_CHILL,
    BEYOND_CHILL_CHART,
    TOO_COOL_FOR_HEAT,
    BEYOND_HEAT_CHART,
)
"""Everything that these functions say instead of a number, for rendering ahead of need."""


class HeatBand(Enum):
    """How hot it is for a person (OSHA, protective measures at each heat index)."""

    LOWER = "lower"
    MODERATE = "moderate"
    HIGH = "high"
    EXTREME = "very high to extreme"


def saturation_over_water_hpa(air_c: float) -> float:
    """Return the pressure of water vapour over water, in hPa: 6.1094 exp(17.625 t/(243.04 + t)).

    Source: Magnus form with the coefficients of Alduchov and Eskridge, J. Appl. Meteor. 35 (1996)
    601; error under 0.4 % from -40 to 50 C.
    """
    return 6.1094 * math.exp(17.625 * air_c / (243.04 + air_c))


def saturation_over_ice_hpa(air_c: float) -> float:
    """Return the pressure of water vapour over ice, in hPa: 6.1121 exp(22.587 t/(273.86 + t)).

    Source: as over water, their set for ice (coefficients from memory; the tests hold it against
    an independent library), -80 to 0 C.
    """
    return 6.1121 * math.exp(22.587 * air_c / (273.86 + air_c))


def dew_point_c(air_c: float, humidity_percent: float) -> float | Outside:
    """Return the dew point over water: c g/(b - g), g = ln(RH/100) + b t/(c + t).

    Source: the Magnus form above, solved for the temperature; b 17.625, c 243.04 C. Below freezing
    frost settles at the frost point, which is higher. Raises ``ValueError`` for a humidity that
    cannot be.
    """
    _check_humidity(humidity_percent)
    if not _within(air_c, DEW_RANGE_C):
        return NO_DEW_POINT
    vapour = math.log(humidity_percent / 100) + 17.625 * air_c / (243.04 + air_c)
    dew_c = 243.04 * vapour / (17.625 - vapour)
    return dew_c if dew_c >= DEW_RANGE_C[0] else NO_DEW_POINT


def frost_point_c(air_c: float, humidity_percent: float) -> float | Outside | None:
    """Return the temperature at which frost settles, or None where it is dew and not frost.

    Source: the vapour of the air (over water) set equal to the Magnus form over ice.
    """
    dew_c = dew_point_c(air_c, humidity_percent)
    if isinstance(dew_c, Outside):
        return dew_c
    vapour = math.log(humidity_percent / 100 * saturation_over_water_hpa(air_c) / 6.1121)
    frost_c = 273.86 * vapour / (22.587 - vapour)
    return frost_c if frost_c < 0 and dew_c < 0 else None


def sheet_margin_c(air_c: float, humidity_percent: float, sheet_c: float) -> float | Outside:
    """Return how far the sheet is above the dew point, or above the frost point where that is it.

    A difference of temperatures, negative where the sheet is below. Source: what ISO 8502-4 asks
    before painting; a borrowed rule, since no weld standard sets one.
    """
    dew_c = dew_point_c(air_c, humidity_percent)
    frost_c = frost_point_c(air_c, humidity_percent)
    settles_c = dew_c if frost_c is None else frost_c
    return settles_c if isinstance(settles_c, Outside) else sheet_c - settles_c


def humidity_percent(air_c: float, dew_c: float) -> float | Outside:
    """Return the relative humidity over water: 100 es(td)/es(t).

    Source: the Magnus form above. Raises ``ValueError`` for a dew point above the air.
    """
    if not dew_c <= air_c:
        raise ValueError("a dew point cannot be above the air temperature")
    if not (_within(air_c, DEW_RANGE_C) and _within(dew_c, DEW_RANGE_C)):
        return NO_DEW_POINT
    return 100 * saturation_over_water_hpa(dew_c) / saturation_over_water_hpa(air_c)


def most_humidity_percent(air_c: float, sheet_c: float, margin_c: float) -> float | Outside:
    """Return the humidity at which the sheet is just ``margin_c`` above dew or frost point.

    Source: the Magnus form at (sheet - margin), over ice below freezing; at most 100.
    """
    settles_c = sheet_c - margin_c
    if not (_within(air_c, DEW_RANGE_C) and _within(settles_c, DEW_RANGE_C)):
        return NO_DEW_POINT
    over = saturation_over_ice_hpa if settles_c < 0 else saturation_over_water_hpa
    return min(100.0, 100 * over(settles_c) / saturation_over_water_hpa(air_c))


def wind_chill_f(air_f: float, wind_mph: float) -> float | Outside:
    """Return the wind chill: 35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16 (F, mph).

    Source: US weather service, 2001; a bare face, wind at 33 ft. For air of at most 50 F and at
    least 3 mph (range from memory). It says nothing of the sheet: things do not cool below the air.
    """
    outside = _outside_chill(air_f, CHILL_RANGE_F, wind_mph, CHILL_RANGE_MPH)
    if outside:
        return outside
    speed = wind_mph**0.16
    return float(35.74 + 0.6215 * air_f - 35.75 * speed + 0.4275 * air_f * speed)


def wind_chill_c(air_c: float, wind_kmh: float) -> float | Outside:
    """Return the wind chill: 13.12 + 0.6215 T - 11.37 V^0.16 + 0.3965 T V^0.16 (C, km/h).

    Source: Canadian weather service. For air of at most 10 C and over 4.8 km/h (range from memory).
    """
    outside = _outside_chill(air_c, CHILL_RANGE_C, wind_kmh, CHILL_RANGE_KMH)
    if outside or wind_kmh == CHILL_RANGE_KMH[0]:
        return outside or TOO_CALM_FOR_CHILL
    speed = wind_kmh**0.16
    return float(13.12 + 0.6215 * air_c - 11.37 * speed + 0.3965 * air_c * speed)


def heat_index_f(air_f: float, humidity_percent: float) -> float | Outside:
    """Return how hot the air feels, in shade and light wind.

    Source: https://www.wpc.ncep.noaa.gov/html/heatindex_equation.shtml. First the simple formula;
    from 80 F up the regression, less in dry air, more in very damp air. Full sun can add 15 F.
    Raises ``ValueError`` for a humidity that cannot be.
    """
    _check_humidity(humidity_percent)
    if air_f > HEAT_RANGE_F[1]:
        return BEYOND_HEAT_CHART
    if not _within(air_f, HEAT_RANGE_F):
        return TOO_COOL_FOR_HEAT
    simple_f = 0.5 * (air_f + 61 + 1.2 * (air_f - 68) + 0.094 * humidity_percent)
    if simple_f < 80:
        return simple_f
    index_f = bare_heat_index_f(air_f, humidity_percent)
    if humidity_percent < 13:
        # Air this dry gets here from 81 F up only, so the root is of a number above nought.
        index_f -= (13 - humidity_percent) / 4 * math.sqrt((17 - abs(air_f - 95)) / 17)
    if humidity_percent > 85 and 80 <= air_f <= 87:
        index_f += (humidity_percent - 85) / 10 * (87 - air_f) / 5
    return index_f if index_f <= HEAT_CHART_ENDS_F else BEYOND_HEAT_CHART


def bare_heat_index_f(air_f: float, humidity_percent: float) -> float:
    """Return the regression behind the printed chart, without corrections and without a range.

    Source: the page named above. The chart and the corrected equation differ by up to 2.3 F.
    """
    t, r = air_f, humidity_percent
    return (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t * t
        - 0.05481717 * r * r
        + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r
        - 0.00000199 * t * t * r * r
    )


def _check_humidity(percent: float) -> None:
    if not 0 < percent <= 100:
        raise ValueError("a humidity lies above 0 and at most at 100 percent")


def _within(value: float, ends: tuple[float, float]) -> bool:
    return ends[0] <= value <= ends[1]


def _outside_chill(
    air: float, air_ends: tuple[float, float], wind: float, wind_ends: tuple[float, float]
) -> Outside | None:
    if not wind >= 0:
        raise ValueError("a wind is not less than nought")
    if air > air_ends[1]:
        return TOO_WARM_FOR_CHILL
    if wind < wind_ends[0]:
        return TOO_CALM_FOR_CHILL
    within = _within(air, air_ends) and _within(wind, wind_ends)
    return None if within else BEYOND_CHILL_CHART
