"""Limits of weather and supply in a job file."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from support.checklists import SHIPPED

from assistant.errors import ProcedureProblem
from assistant.procedure.conditions import POWER, WEATHER, Conditions
from assistant.procedure.loader import load_conditions, load_job
from assistant.weld.units import f_from_c
from assistant.weld.weather_cautions import WeatherLimits

SECTIONS = {"weather": WEATHER, "power": POWER}
README = (SHIPPED / "README.md").read_text(encoding="utf-8")


@pytest.fixture
def job(tmp_path: Path):
    """A function that writes a job file."""

    def write(text: str) -> Path:
        path = tmp_path / "job.yaml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_a_job_without_limits_has_the_defaults(job):
    """What a job does not set stays as it is."""
    assert load_conditions(job("name: Hall roof\n")) == Conditions()


def test_the_examples_are_the_defaults(job):
    """Every key as its example shows it gives the default: messages and README tell the truth."""
    lines = [
        f"{section}:\n" + "".join(f"  {key}: {made.example}\n" for key, made in keys.items())
        for section, keys in SECTIONS.items()
    ]
    found = load_conditions(job("".join(lines)))

    assert found.power == Conditions().power
    for made in WEATHER.values():
        default = getattr(WeatherLimits(), made.limit)
        assert getattr(found.weather, made.limit) == pytest.approx(default, abs=1e-9)


def test_a_job_sets_limits_in_its_own_units(job):
    """Temperatures, differences, speeds and shares are read with their units."""
    text = (
        "weather: {dew-margin: 5 F, cold-air: 40 F, high-wind: 60 km/h}\n"
        'power: {volts-lost-much: 8 %, thinnest-cord: "10", altitude-loss: 3.5 %}\n'
    )
    found = load_conditions(job(text))

    assert found.weather.dew_margin_c == pytest.approx(5 * 5 / 9)
    assert f_from_c(found.weather.cold_air_c) == pytest.approx(40)
    assert found.weather.high_wind_mph == pytest.approx(37.28, abs=0.005)
    assert found.power.volts_lost_much == Fraction(8, 100)
    assert found.power.thinnest_awg == 10
    assert found.power.altitude_loss_per_kft == Fraction(35, 1000)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("weather: {dew-margin: 3}\n", "line 1, key 'dew-margin'"),
        ("weather:\n  dew-margin: three C\n", "line 2, key 'dew-margin'"),
        ("weather: {dew-margin: 3 mph}\n", "Write dew-margin: 3 C"),
        ("weather: {dew-margin: -3 C}\n", "less than nought"),
        ("weather: {dew-margn: 3 C}\n", "Write dew-margin"),
        ("weather: {high-wind: 25 mph}\n", "'handling-wind' is not less than 'high-wind'"),
        ("weather: {heat-moderate: 104 F}\n", "'heat-moderate' is not less than 'heat-high'"),
        ("power: {volts-lost: 9 %}\n", "'volts-lost' is not less than 'volts-lost-much'"),
        ("power: {thinnest-cord: 2.5 mm2}\n", "not a gauge in AWG"),
        ("power: {thinnest-cord: 11 AWG}\n", "not a cord that is known"),
        ("power: lots\n", "stands where keys with values belong"),
    ],
)
def test_faults_name_line_key_and_remedy(job, text, told):
    """What is wrong is found at load, by the command and by the shift alike."""
    path = job(text)
    for load in (load_conditions, load_job):
        with pytest.raises(ProcedureProblem) as problem:
            load(path)

        assert told in str(problem.value)
        assert "Write " in str(problem.value)


@pytest.mark.parametrize("key", sorted({*WEATHER, *POWER}))
def test_every_key_is_explained(key):
    """Each key stands in the README with its example."""
    made = {**WEATHER, **POWER}[key]

    assert f"{key}: {made.example}" in README
