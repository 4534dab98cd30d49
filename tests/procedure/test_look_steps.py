"""The step that looks at weather and supply, as a checklist writes it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from assistant.errors import ProcedureProblem
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Look, Procedure
from assistant.weld.power import Gun

TOP = 'procedure: start\ntitle: Start\nversion: "1"\nsteps:\n  - id: cautions\n'


def loaded(folder: Path, keys: str) -> Procedure:
    """Load a checklist of one step with these keys."""
    path = folder / "start.yaml"
    path.write_text(TOP + "".join(f"    {line}\n" for line in keys.splitlines()), encoding="utf-8")
    return load_procedure(path)


def test_it_looks_with_the_defaults(tmp_path):
    """A bare step has the limits of a job that sets none, and no gun."""
    (step,) = loaded(tmp_path, "look: conditions").steps

    assert step == Look("cautions", 5, "")


def test_it_may_set_limits_and_a_gun(tmp_path):
    """Limits and the plate of the gun stand in the step."""
    (step,) = loaded(
        tmp_path,
        "look: conditions\nsay: Now the cautions.\nweather: {high-wind: 35 mph}\n"
        "power: {least-heat: 85 %}\ngun: {watts: 3.4 kW, volts: 230 V}",
    ).steps

    assert step.say == "Now the cautions."
    assert step.weather.high_wind_mph == 35
    assert step.power.least_heat == Fraction(85, 100)
    assert step.gun == Gun(Fraction(3400), Fraction(230))


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ("look: weather", "line 6, key 'look'"),
        ("look: conditions\ngun: {watts: 1600 W}", "key 'volts'"),
        ("look: conditions\ngun: {watts: nought, volts: 120 V}", "Write watts: 1600 W"),
        ("look: conditions\ngun: {watts: 0 W, volts: 120 V}", "not above nought"),
        ("look: conditions\nweather: {dew-margin: 3 mph}", "Write dew-margin: 3 C"),
        ("look: conditions\nwind: {high-wind: 35 mph}", "no such key"),
        ("look: conditions\nsay: Wind over 20.", "say"),
        ("look: conditions\ntell: Hello.", "two steps"),
    ],
)
def test_faults_are_told(tmp_path, keys, told):
    """What is wrong is told with its line and what to write."""
    with pytest.raises(ProcedureProblem) as problem:
        loaded(tmp_path, keys)

    assert told in str(problem.value)
