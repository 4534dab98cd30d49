"""The weather formulas against libraries that others wrote; each is skipped where it is absent."""

from __future__ import annotations

import itertools

import pytest

from assistant.weld import weather
from assistant.weld.units import Outside

AIR_C = range(-30, 50, 5)
HUMIDITY = (10, 25, 40, 60, 80, 95, 100)
AIR_F = range(42, 113, 5)


@pytest.mark.parametrize("air_c", AIR_C)
def test_dew_points_agree_with_a_psychrometric_library(air_c):
    """Psychrolib's dew point, and below freezing its frost point, is within 0.06 C of ours.

    Its formulas are those of the ASHRAE handbook, which take one point for both.
    """
    other = pytest.importorskip("psychrolib")
    other.SetUnitSystem(other.SI)
    compared = 0
    for humidity in HUMIDITY:
        # Below freezing the library takes humidity over ice and we, with the weather services,
        # over water; so give it the vapour itself.
        vapour_pa = humidity * weather.saturation_over_water_hpa(air_c)
        theirs = other.GetTDewPointFromVapPres(60, vapour_pa)
        dew_c, frost_c = (
            formula(air_c, humidity) for formula in (weather.dew_point_c, weather.frost_point_c)
        )
        if isinstance(dew_c, Outside) or isinstance(frost_c, Outside):
            continue
        compared += 1

        assert (dew_c if frost_c is None else frost_c) == pytest.approx(theirs, abs=0.06)
    assert compared


def test_wind_chill_agrees_with_a_meteorology_library():
    """MetPy's wind chill, which is the metric one, is ours all over the chart."""
    calc, units = metpy()
    for air_c, wind_kmh in itertools.product(range(-50, 11, 5), range(5, 81, 5)):
        theirs = calc.windchill(
            units.Quantity(air_c, "degC"), wind_kmh * units("km/h"), mask_undefined=False
        )

        assert weather.wind_chill_c(air_c, wind_kmh) == pytest.approx(
            theirs.to("degC").magnitude, abs=0.005
        )


def test_heat_index_agrees_with_a_meteorology_library():
    """MetPy's heat index is ours, but where it hands over to the regression one degree earlier."""
    calc, units = metpy()
    compared = 0
    for air_f, humidity in itertools.product(AIR_F, (5, *HUMIDITY)):
        ours = weather.heat_index_f(air_f, humidity)
        simple = 1.1 * air_f - 10.3 + 0.047 * humidity
        if isinstance(ours, Outside) or 79 <= simple < 80:
            continue
        theirs = calc.heat_index(air_f * units.degF, humidity * units.percent, mask_undefined=False)
        compared += 1

        assert ours == pytest.approx(theirs.to("degF").magnitude.item(), abs=0.05)
    assert compared > 50


def metpy():
    """Return MetPy's formulas and its units, or skip."""
    calc = pytest.importorskip("metpy.calc")
    units = pytest.importorskip("metpy.units")
    return calc, units.units
