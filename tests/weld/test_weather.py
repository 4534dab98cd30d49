"""Dew point, wind chill and heat index against published figures.

"A-E" is the Magnus form with the coefficients of Alduchov and Eskridge (1996); its table values
agree with the set of WMO No. 8 within 0.01 C and with an independent library within 0.02 C.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.weld import weather
from assistant.weld.units import (
    Outside,
    c_difference_from_f,
    c_from_f,
    f_difference_from_c,
    f_from_c,
    kmh_from_mph,
    mph_from_kmh,
)

AIR_C = st.floats(-40, 50)
HUMIDITY = st.floats(0.5, 100)

# A-E, tolerance 0.05 C.
DEW_C = [
    (5, 90, 3.50), (10, 70, 4.78), (15, 60, 7.30), (20, 50, 9.26), (20, 80, 16.44),
    (25, 50, 13.86), (25, 60, 16.70), (30, 55, 19.98), (30, 70, 23.93), (35, 40, 19.39),
    (40, 30, 19.14), (0, 80, -3.04),
]  # fmt: skip


@pytest.mark.parametrize(("air_c", "humidity", "dew_c"), DEW_C)
def test_dew_points(air_c, humidity, dew_c):
    """Air and humidity give the dew point of the tables."""
    assert weather.dew_point_c(air_c, humidity) == pytest.approx(dew_c, abs=0.05)


# A-E, rounded to 0.1 C; columns are humidities of 50, 60, 70, 80 and 90 percent.
DEW_TABLE_C = {
    10: (0.0, 2.6, 4.8, 6.7, 8.4),
    15: (4.7, 7.3, 9.6, 11.6, 13.4),
    20: (9.3, 12.0, 14.4, 16.4, 18.3),
    25: (13.9, 16.7, 19.1, 21.3, 23.2),
    30: (18.4, 21.4, 23.9, 26.2, 28.2),
}


@pytest.mark.parametrize("air_c", DEW_TABLE_C)
def test_dew_point_table(air_c):
    """A row of the table comes out, each to its last digit."""
    found = [weather.dew_point_c(air_c, humidity) for humidity in (50, 60, 70, 80, 90)]

    assert found == pytest.approx(DEW_TABLE_C[air_c], abs=0.0501)


# A-E in Fahrenheit, to 0.1 F; the last pair is printed by a weather page, to 1 F.
DEW_F = [
    (40, 80, 34.3, 0.06), (50, 70, 40.6, 0.06), (60, 60, 46.1, 0.06), (70, 50, 50.5, 0.06),
    (80, 70, 69.3, 0.06), (90, 60, 74.3, 0.06), (75, 35, 45, 0.55),
]  # fmt: skip


@pytest.mark.parametrize(("air_f", "humidity", "dew_f", "within"), DEW_F)
def test_dew_points_in_fahrenheit(air_f, humidity, dew_f, within):
    """The same holds for air in Fahrenheit."""
    found = weather.dew_point_c(c_from_f(air_f), humidity)

    assert f_from_c(found) == pytest.approx(dew_f, abs=within)


def test_frost_settles_before_dew():
    """Below freezing frost settles, and at a higher temperature than the dew point (A-E)."""
    assert weather.frost_point_c(0, 80) == pytest.approx(-2.68, abs=0.05)


def test_no_frost_above_freezing():
    """Where dew settles there is no frost point."""
    assert weather.frost_point_c(20, 80) is None


@pytest.mark.parametrize(
    ("air_c", "vapour_hpa"),
    [(0, 6.109), (10, 12.260), (20, 23.334), (25, 31.617), (30, 42.367), (40, 73.747)],
)
def test_vapour_pressures(air_c, vapour_hpa):
    """Pressures over water are those of A-E."""
    assert weather.saturation_over_water_hpa(air_c) == pytest.approx(vapour_hpa, abs=0.0006)


@pytest.mark.parametrize(
    ("air_c", "dew_c", "humidity"),
    [(20, 10, 52.5), (25, 15, 53.8), (30, 20, 55.1), (10, 0, 49.8), (15, 15, 100)],
)
def test_humidity_from_dew_point(air_c, dew_c, humidity):
    """The way back from a dew point gives the humidity (A-E, to 0.1)."""
    assert weather.humidity_percent(air_c, dew_c) == pytest.approx(humidity, abs=0.051)


@pytest.mark.parametrize("humidity", [0, -1, 100.1, float("nan")])
def test_impossible_humidity_is_refused(humidity):
    """A humidity of nought, below it or above a hundred is no measurement."""
    with pytest.raises(ValueError, match="humidity"):
        weather.dew_point_c(20, humidity)
    with pytest.raises(ValueError, match="humidity"):
        weather.heat_index_f(90, humidity)


def test_dew_above_air_is_refused():
    """No dew point lies above the air."""
    with pytest.raises(ValueError, match="above the air"):
        weather.humidity_percent(20, 21)


@pytest.mark.parametrize(
    ("air_c", "humidity"), [(51, 50), (-41, 50), (20, 0.5), (float("nan"), 50)]
)
def test_no_dew_point_outside_the_fit(air_c, humidity):
    """Outside -40 to 50 C the formula says so: air, or the dew point itself."""
    assert weather.dew_point_c(air_c, humidity) == weather.NO_DEW_POINT


# Surface at least 3 C above the dew point: ISO 8502-4, a rule for painting. Tolerance 0.01 C.
MARGINS_C = [
    (20, 80, 19.4, 2.96), (20, 80, 19.5, 3.06), (10, 70, 7.7, 2.92), (10, 70, 7.9, 3.12),
    (30, 70, 26.9, 2.97), (30, 70, 27.0, 3.07),
]  # fmt: skip


@pytest.mark.parametrize(("air_c", "humidity", "sheet_c", "margin_c"), MARGINS_C)
def test_margins(air_c, humidity, sheet_c, margin_c):
    """The margin is the sheet less the dew point."""
    found = weather.sheet_margin_c(air_c, humidity, sheet_c)

    assert found == pytest.approx(margin_c, abs=0.01)


@pytest.mark.parametrize(("sheet_f", "margin_f"), [(66.9, 5.3), (67.1, 5.5)])
def test_margin_is_a_difference(sheet_f, margin_f):
    """In Fahrenheit the margin is converted without the 32: 3 C is 5.4 F."""
    found = weather.sheet_margin_c(c_from_f(68), 80, c_from_f(sheet_f))

    assert f_difference_from_c(found) == pytest.approx(margin_f, abs=0.05)
    assert f_difference_from_c(3) == pytest.approx(5.4)
    assert c_difference_from_f(5.4) == pytest.approx(3)


def test_margin_below_freezing_is_above_frost():
    """A sheet between dew point and frost point has frost on it, so it has no margin."""
    assert weather.sheet_margin_c(0, 80, -2.9) < 0


# The most humidity with a margin of 3 C (A-E, to 0.1).
MOST_HUMIDITY = [(10, 10, 81.6), (20, 20, 82.9), (25, 25, 83.5), (20, 18, 72.9), (15, 12, 67.4)]


@pytest.mark.parametrize(("air_c", "sheet_c", "humidity"), MOST_HUMIDITY)
def test_most_humidity(air_c, sheet_c, humidity):
    """Beyond this humidity the sheet is too near the dew point."""
    assert weather.most_humidity_percent(air_c, sheet_c, 3) == pytest.approx(humidity, abs=0.051)


# US weather service, 2001, as printed.
CHILL_F = [
    (40, 5, 36), (40, 10, 34), (35, 20, 24), (30, 15, 19), (25, 25, 9), (20, 10, 9),
    (10, 20, -9), (5, 30, -19), (0, 15, -19), (-10, 30, -39), (-45, 60, -98),
    # The whole row of -10 F; one stored copy of the chart names its neighbour so.
    *[(-10, 5 * (place + 1), chill) for place, chill in enumerate(
        (-22, -28, -32, -35, -37, -39, -41, -43, -44, -45, -46, -48))],
]  # fmt: skip


@pytest.mark.parametrize(("air_f", "wind_mph", "chill_f"), CHILL_F)
def test_wind_chill(air_f, wind_mph, chill_f):
    """The chart's figures come out when rounded."""
    assert round(weather.wind_chill_f(air_f, wind_mph)) == chill_f


# Chart of the Canadian weather service, as printed.
CHILL_C = [
    (5, 5, 4), (5, 40, -1), (0, 20, -5), (-5, 30, -13), (-10, 20, -18), (-15, 50, -29),
    (-20, 40, -34), (-25, 20, -37), (-40, 60, -64), (-50, 80, -81),
]  # fmt: skip


@pytest.mark.parametrize(("air_c", "wind_kmh", "chill_c"), CHILL_C)
def test_wind_chill_in_celsius(air_c, wind_kmh, chill_c):
    """The metric chart's figures come out when rounded."""
    assert round(weather.wind_chill_c(air_c, wind_kmh)) == chill_c


@pytest.mark.parametrize(
    ("air_f", "wind_mph", "said"),
    [
        (50.1, 20, weather.TOO_WARM_FOR_CHILL),
        (40, 2.9, weather.TOO_CALM_FOR_CHILL),
        (-46, 20, weather.BEYOND_CHILL_CHART),
        (20, 61, weather.BEYOND_CHILL_CHART),
        (float("nan"), 20, weather.BEYOND_CHILL_CHART),
    ],
)
def test_no_wind_chill_outside_its_range(air_f, wind_mph, said):
    """Outside its range the formula says why it gives no number."""
    assert weather.wind_chill_f(air_f, wind_mph) == said


@pytest.mark.parametrize(
    ("air_c", "wind_kmh", "said"),
    [
        (10.1, 30, weather.TOO_WARM_FOR_CHILL),
        (5, 4.8, weather.TOO_CALM_FOR_CHILL),
        (-51, 30, weather.BEYOND_CHILL_CHART),
        (-5, 81, weather.BEYOND_CHILL_CHART),
    ],
)
def test_no_metric_wind_chill_outside_its_range(air_c, wind_kmh, said):
    """The metric formula says so too."""
    assert weather.wind_chill_c(air_c, wind_kmh) == said


def test_wind_below_nought_is_refused():
    """A wind is never negative."""
    with pytest.raises(ValueError, match="wind"):
        weather.wind_chill_f(20, -1)


# The equation page of the US weather service; figures computed and agreed with by a meteorology
# library. Tolerance 0.05 F, at the edge between its two formulas 0.5 F.
HEAT_F = [
    (90, 40, 90.68), (90, 60, 99.68), (90, 70, 105.92), (95, 50, 105.22), (96, 65, 121.03),
    (100, 40, 109.26), (100, 55, 123.64), (104, 50, 130.58), (108, 40, 129.75), (110, 40, 135.66),
    (100, 10, 94.12), (88, 10, 83.69),
    (86, 90, 105.39), (82, 90, 91.99), (80, 90, 86.34), (80, 100, 89.3),
    (75, 50, 74.55), (70, 80, 70.46),
]  # fmt: skip


@pytest.mark.parametrize(("air_f", "humidity", "index_f"), HEAT_F)
def test_heat_index(air_f, humidity, index_f):
    """Regression, dry and damp corrections and the simple formula all give their figures."""
    assert weather.heat_index_f(air_f, humidity) == pytest.approx(index_f, abs=0.05)


def test_heat_index_where_its_formulas_meet():
    """At 80 F and 40 percent either formula may be used; the chart prints 80."""
    assert weather.heat_index_f(80, 40) == pytest.approx(80, abs=0.5)


# The printed chart, from 40 percent in steps of 5, is the bare regression. None is a cell that the
# chart itself has rounded otherwise (90 F at 45 percent).
HEAT_CHART_F = {
    100: (109, 114, 118, 124, 129, 136),
    96: (101, 104, 108, 112, 116, 121, 126, 132),
    90: (91, None, 95, 97, 100, 103, 106, 109, 113, 117, 122, 127, 132),
    84: (83, 84, 85, 86, 88, 89, 90, 92, 94, 96, 98, 100, 103),
    80: (80, 80, 81, 81, 82, 82, 83, 84, 84, 85, 86, 86, 87),
}


@pytest.mark.parametrize("air_f", HEAT_CHART_F)
def test_heat_chart(air_f):
    """A row of the printed chart comes out of the regression without corrections."""
    row = HEAT_CHART_F[air_f]
    found = [
        round(weather.bare_heat_index_f(air_f, 40 + 5 * place)) if printed is not None else None
        for place, printed in enumerate(row)
    ]

    assert tuple(found) == row


@pytest.mark.parametrize(
    ("air_f", "humidity", "said"),
    [
        (39, 50, weather.TOO_COOL_FOR_HEAT),
        (113, 10, weather.BEYOND_HEAT_CHART),
        (110, 60, weather.BEYOND_HEAT_CHART),
        (float("nan"), 50, weather.TOO_COOL_FOR_HEAT),
    ],
)
def test_no_heat_index_outside_its_range(air_f, humidity, said):
    """Cool air, very hot air and figures past the chart's end get a sentence and no number."""
    assert weather.heat_index_f(air_f, humidity) == said


@given(AIR_C, HUMIDITY)
def test_dew_point_is_never_above_the_air(air_c, humidity):
    """Air holds at most what it can hold."""
    dew_c = weather.dew_point_c(air_c, humidity)

    assert isinstance(dew_c, Outside) or dew_c <= air_c + 1e-9


@given(AIR_C, HUMIDITY, HUMIDITY)
def test_damper_air_never_has_a_lower_dew_point(air_c, one, other):
    """More humidity never widens the margin of the sheet."""
    drier, damper = (weather.sheet_margin_c(air_c, each, air_c) for each in sorted((one, other)))

    assert isinstance(drier, Outside) or damper <= drier + 1e-9


@given(st.floats(-20, 45), st.floats(-10, 10), st.floats(0, 6))
def test_most_humidity_just_keeps_the_margin(air_c, above_c, margin_c):
    """At the most humidity the margin is just kept, over ice as over water."""
    sheet_c = air_c + above_c
    humidity = weather.most_humidity_percent(air_c, sheet_c, margin_c)
    if isinstance(humidity, Outside) or humidity < 0.5:
        return
    found = weather.sheet_margin_c(air_c, humidity, sheet_c)

    # Over water and over ice meet at nought within a few hundredths of a degree.
    assert found >= margin_c - 0.02
    assert humidity == 100 or found == pytest.approx(margin_c, abs=0.02)


@given(st.floats(-45, 50), st.floats(3, 60), st.floats(3, 60))
def test_more_wind_is_never_warmer(air_f, one, other):
    """The stronger wind has the lower wind chill."""
    calmer, windier = (weather.wind_chill_f(air_f, wind) for wind in sorted((one, other)))

    assert windier <= calmer + 1e-9


@given(st.floats(-45, 50), st.floats(3.1, 49))
def test_both_wind_chills_agree(air_f, wind_mph):
    """The two services' formulas are one, within their rounding."""
    metric = weather.wind_chill_c(c_from_f(air_f), kmh_from_mph(wind_mph))

    assert f_from_c(metric) == pytest.approx(weather.wind_chill_f(air_f, wind_mph), abs=0.2)


@given(st.floats(80, 112), st.floats(40, 112), st.floats(40, 80))
def test_hotter_air_never_feels_cooler(one, other, humidity):
    """From 40 percent of humidity up, hotter air has no lower heat index."""
    cooler, hotter = (weather.heat_index_f(air, humidity) for air in sorted((one, other)))

    # Where the simple formula hands over to the regression it steps by less than half a degree.
    assert isinstance(hotter, Outside) or hotter >= cooler - 0.5


@given(st.floats(-100, 200))
def test_units_come_back(value):
    """There and back again is the same temperature and the same speed."""
    assert c_from_f(f_from_c(value)) == pytest.approx(value, abs=1e-9)
    assert mph_from_kmh(kmh_from_mph(value)) == pytest.approx(value, abs=1e-9)
