"""`lapcall weather` and `lapcall power`, from the words typed to what is printed."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from assistant.cli import main
from assistant.weld import power_cautions as pc
from assistant.weld import weather_cautions as wc

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
WEATHER = ["weather", "--air", "68F", "--humidity", "80", "--sheet", "66.9F", "--wind", "12mph"]
POWER = ["power", "--watts", "1600W", "--volts", "120V", "--cord", "100ft", "14"]


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run a command that must succeed; return what it printed."""
    assert main(arguments) == 0

    return capsys.readouterr().out


def plain(text: str) -> str:
    """Return a text without its line ends."""
    return " ".join(text.split())


def test_weather_in_both_units(capsys):
    """Figures stand in both units, the margin rounded down beside the margin wanted."""
    out = plain(told(capsys, *WEATHER))

    assert "61.6 F (16.4 C)" in out
    assert "5.3 F (2.9 C); wanted 5.4 F (3.0 C)" in out
    assert "It is too warm for a wind chill." in out
    assert wc.NEAR_DEW.say in out
    assert wc.NEAR_DEW.about in out


def test_weather_as_json(capsys):
    """As JSON there are numbers with their units in the names, and reasons where there are none."""
    found = json.loads(told(capsys, *WEATHER, "--json"))

    assert found["dew_point_c"] == pytest.approx(16.44, abs=0.05)  # A-E
    assert found["wind_chill_f"] == {"outside": "It is too warm for a wind chill."}
    assert [each["say"] for each in found["cautions"]] == [wc.NEAR_DEW.say]
    assert found["unknown"] == []


def test_weather_below_nought_needs_no_tricks(capsys):
    """A temperature below nought is typed like any other."""
    out = plain(told(capsys, "weather", "--air", "-5C", "--wind", "30km/h"))

    assert "9 F (-13 C)" in out  # Canadian chart: -13
    assert wc.NO_SHEET in out


def test_mild_weather_promises_nothing(capsys):
    """Without a caution it still promises nothing."""
    out = plain(
        told(
            capsys,
            "weather",
            "--air",
            "20C",
            "--humidity",
            "50",
            "--sheet",
            "22C",
            "--wind",
            "2m/s",
        )
    )

    assert wc.NOTHING_CAUGHT in out
    assert "safe" not in out.lower()


def test_power_as_text(capsys):
    """The cord's volts and heat stand between a hot and a cool wire."""
    out = plain(told(capsys, *POWER))

    assert "112.2 V with a hot cord" in out  # table of cords: 112.17
    assert "1398 W (87%)" in out
    assert pc.LESS_HEAT.say in out
    assert pc.NOT_MEASURED in out


def test_power_as_json(capsys):
    """As JSON there is everything that was worked out."""
    found = json.loads(
        told(
            capsys, *POWER, "--measured", "108V", "--generator", "2kW", "--also", "1000W", "--json"
        )
    )

    assert found["by_cord"]["volts"] == pytest.approx(112.17, abs=0.005)
    assert found["measured"]["share_of_heat"] == pytest.approx(0.81)
    assert found["generator"]["sizing"] == "too small"
    assert pc.LOSS_UNEXPLAINED.say in [each["say"] for each in found["cautions"]]


def test_a_job_file_moves_the_limits(capsys, tmp_path):
    """With the job's own limits another weather and supply get a caution."""
    job = tmp_path / "job.yaml"
    job.write_text(
        "name: Hall roof\nweather: {dew-margin: 5 F}\npower: {least-heat: 80 %}\n", encoding="utf-8"
    )

    assert wc.NEAR_DEW.say not in plain(told(capsys, *WEATHER, "--job", str(job)))
    assert pc.LESS_HEAT.say not in plain(told(capsys, *POWER, "--job", str(job)))


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (["weather"], 2, "lapcall weather --air 68F"),
        (["weather", "--air", "68"], 2, "Write it like 68F or 20C"),
        (["weather", "--air", "68F", "--humidity", "0"], 2, "at most at 100"),
        (["weather", "--air", "68F", "--humidity", "180"], 2, "at most at 100"),
        (["weather", "--air", "68F", "--wind", "12"], 2, "mph"),
        (["power", "--watts", "0", "--volts", "120"], 2, "not above nought"),
        ([*POWER, "--cord", "100", "12"], 2, "Write it like --cord 100ft 12"),
        ([*POWER, "--cord", "0ft", "12"], 2, "longer than nought"),
        ([*POWER, "--cord", "100ft", "11"], 2, "12, 14, 16"),
        ([*POWER, "--altitude", "5000ft"], 2, "--generator"),
        ([*WEATHER, "--job", "nowhere.yaml"], 3, "nowhere.yaml"),
    ],
)
def test_what_makes_no_sense_is_told(capsys, arguments, code, message):
    """What cannot be read is told plainly, with what to write."""
    assert main(arguments) == code

    assert message in capsys.readouterr().err


def test_the_readme_shows_what_is_printed(capsys):
    """The README's two examples are what the commands print, word for word."""
    shown = re.findall(r"```\n\$ lapcall (weather|power) (.*)\n((?:.*\n)*?)```", README)

    assert [name for name, _, _ in shown] == ["weather", "power"]
    for name, arguments, printed in shown:
        assert told(capsys, name, *arguments.split()) == printed
