"""Which cautions the weather calls for, and what they admit of themselves."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.mouth.wording import speakable
from assistant.weld import cautions, power, power_cautions, weather
from assistant.weld import weather_cautions as wc
from assistant.weld.units import c_from_f
from assistant.weld.weather import HeatBand
from assistant.weld.weather_cautions import Weather, WeatherLimits, look_at_weather

MILD = Weather(air_c=20, humidity_percent=50, sheet_c=22, wind_mph=5)


def said(weather_now: Weather, limits: WeatherLimits | None = None) -> tuple[cautions.Caution, ...]:
    """Return the cautions for some weather."""
    return look_at_weather(weather_now, limits).cautions


def test_mild_weather_calls_for_nothing():
    """With nothing to caution of there is no caution, and nothing is missing."""
    found = look_at_weather(MILD)

    assert (found.cautions, found.unknown) == ((), ())


# The pairs at the margin of 3 C (ISO 8502-4, a rule for painting).
@pytest.mark.parametrize(
    ("air_c", "humidity", "sheet_c", "near"),
    [
        (20, 80, 19.4, True), (20, 80, 19.5, False), (10, 70, 7.7, True), (10, 70, 7.9, False),
        (30, 70, 26.9, True), (30, 70, 27.0, False),
        (c_from_f(68), 80, c_from_f(66.9), True), (c_from_f(68), 80, c_from_f(67.1), False),
    ],
)  # fmt: skip
def test_near_the_dew_point(air_c, humidity, sheet_c, near):
    """A sheet less than the margin above the dew point gets a caution, one above it none."""
    found = said(Weather(air_c, humidity, sheet_c, 5))

    assert (wc.NEAR_DEW in found) is near


def test_below_the_dew_point():
    """A sheet at or below the dew point gets the stronger caution alone."""
    found = said(replace(MILD, sheet_c=9))

    assert (wc.BELOW_DEW in found, wc.NEAR_DEW in found) == (True, False)


def test_damp_that_is_seen_comes_first():
    """Visible damp counts more than any figure, and needs none."""
    assert said(replace(MILD, damp_seen=True)) == (wc.DAMP_SEEN,)
    assert said(Weather(damp_seen=True)) == (wc.DAMP_SEEN,)


@pytest.mark.parametrize(
    ("wind_mph", "caution"),
    [
        (19, ()),
        (20, (wc.LOOSE_SHEET_WIND,)),
        (30, (wc.HANDLING_WIND,)),
        (40, (wc.HIGH_WIND,)),
        (90, (wc.HIGH_WIND,)),
    ],
)
def test_wind(wind_mph, caution):
    """Each step of wind has one caution (20 mph: common practice; 30 and 40: a note for work)."""
    assert said(replace(MILD, wind_mph=wind_mph)) == caution


# -18 F within half an hour (US); -27 C when out long, -35 C within minutes (Canada).
@pytest.mark.parametrize(
    ("air_f", "wind_mph", "caution"),
    [
        (30, 15, None),  # 19 F
        (0, 12, wc.CHILL_LONG),  # -17.6 F, -27.5 C
        (0, 15, wc.CHILL_HALF_HOUR),  # -19 F
        (-10, 30, wc.CHILL_MINUTES),  # -39 F
        (-50, 30, wc.CHILL_BEYOND),
    ],
)
def test_wind_chill(air_f, wind_mph, caution):
    """The colder the wind chill, the stronger its one caution; past the chart there is one too."""
    chills = {wc.CHILL_LONG, wc.CHILL_HALF_HOUR, wc.CHILL_MINUTES, wc.CHILL_BEYOND}
    found = look_at_weather(Weather(air_c=c_from_f(air_f), wind_mph=wind_mph))

    assert [each for each in found.cautions if each in chills] == ([caution] if caution else [])


# https://www.osha.gov/heat/heat-index/protective-measures: under 91, to 103, to 115, above.
@pytest.mark.parametrize(
    ("air_f", "humidity", "band"),
    [
        (75, 50, HeatBand.LOWER),
        (90, 40, HeatBand.LOWER),  # 90.7
        (90, 50, HeatBand.MODERATE),  # 94.6
        (90, 60, HeatBand.MODERATE),  # 99.7
        (90, 70, HeatBand.HIGH),  # 105.9
        (96, 65, HeatBand.EXTREME),  # 121
        (120, 20, HeatBand.EXTREME),  # hotter than the equation goes
        (30, 50, None),
    ],
)
def test_heat_bands(air_f, humidity, band):
    """A heat index lies in its published band; past the chart is the hottest."""
    assert look_at_weather(Weather(c_from_f(air_f), humidity)).heat_band is band


def test_sun_lifts_the_band_and_says_so():
    """Full sun adds up to 15 F (OSHA), so the band is the one with sun."""
    found = look_at_weather(Weather(c_from_f(90), 60, in_sun=True))

    assert found.heat_band is HeatBand.HIGH
    assert found.cautions == (wc.HEAT_HIGH, wc.SUN_ADDS)


def test_cold_air():
    """Below 5 C (DVS 2225-4 for lining membranes, from memory) the air is cold for welding."""
    assert wc.COLD_AIR in said(Weather(air_c=4.9))
    assert wc.COLD_AIR not in said(Weather(air_c=5.0))


def test_what_was_not_measured_is_said():
    """Silence is never taken for good weather."""
    assert look_at_weather(Weather()).unknown == wc.UNKNOWN
    assert look_at_weather(Weather(60, 10, 60, 5)).unknown == (weather.NO_DEW_POINT.reason,)


def test_a_job_sets_its_own_limits():
    """With another margin another sheet is near the dew point."""
    sheet = Weather(20, 80, 19.5, 5)

    assert wc.NEAR_DEW in said(sheet, WeatherLimits(dew_margin_c=4))


def test_every_sentence_can_be_spoken_and_promises_nothing():
    """Words only; each caution tells what its rule is not; nothing is ever called safe."""
    outside = (*weather.OUTSIDE, *power.OUTSIDE)
    every = (*wc.CAUTIONS, *power_cautions.CAUTIONS)
    sentences = [
        *(each.spoken for each in every),
        *(each.reason for each in outside),
        *wc.UNKNOWN, *power_cautions.UNKNOWN,
        wc.NOTHING_CAUGHT, power_cautions.NOTHING_CAUGHT,
    ]  # fmt: skip

    assert all(speakable(sentence) == sentence for sentence in sentences)
    assert not [sentence for sentence in sentences if "safe" in sentence.lower()]
    assert {each.about for each in every} == set(cautions.ABOUT)


MEASURED = st.builds(
    Weather,
    st.none() | st.floats(-80, 80),
    st.none() | st.floats(0.01, 100),
    st.none() | st.floats(-80, 90),
    st.none() | st.floats(0, 120),
    st.booleans(),
    st.booleans(),
)


@given(MEASURED)
def test_any_weather_has_an_answer(seen):
    """Whatever is measured, there is an answer, and each caution is a known one, said once."""
    found = look_at_weather(seen)

    assert set(found.cautions) <= set(wc.CAUTIONS)
    assert len(set(found.cautions)) == len(found.cautions)
    assert (wc.DAMP_SEEN in found.cautions) is seen.damp_seen


@given(MEASURED, st.floats(0, 6), st.floats(0, 6))
def test_a_wider_margin_never_takes_a_caution_back(seen, one, other):
    """What is near the dew point by a narrow margin is so by a wide one."""
    damp = {wc.NEAR_DEW, wc.BELOW_DEW}
    narrow, wide = (
        bool(damp & set(said(seen, WeatherLimits(dew_margin_c=each))))
        for each in sorted((one, other))
    )

    assert wide or not narrow
