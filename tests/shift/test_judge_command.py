from __future__ import annotations

import json
from typing import Any

import pytest

from assistant.cli import main

WHOLE = ["judge", "--width", "inch and a quarter", "--mode", "film-tearing", "--heat", "none"]


def judged(capsys: pytest.CaptureFixture[str], *options: str) -> dict[str, Any]:
    """Run the command and return what it prints; the last of two like options counts."""
    assert main([*WHOLE, *options]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


@pytest.mark.parametrize(
    ("more", "outcome"),
    [
        ([], "pass"),
        (["--solid", "inch and an eighth"], "pass"),
        (["--solid", "inch"], "pass at limit"),
        # Shy of a minimum counts as below it (common practice, no source).
        (["--solid", "inch shy"], "fail"),
        (["--solid", "7/8 in"], "fail"),
    ],
)
def test_the_solid_part_is_judged_with_its_hedge(
    more: list[str], outcome: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is said of the solid part beside a void counts, a "shy" behind it too."""
    assert main([*WHOLE, *more]) == 0

    assert json.loads(capsys.readouterr().out)["outcome"] == outcome


@pytest.mark.parametrize(
    ("more", "finding"),
    [
        ([], "pass"),
        (["--width", "inch"], "pass at the limit"),
        (["--width", "7/8 in"], "narrow"),
        (["--width", "2 in"], "wide"),
        (["--mode", "clean-peel"], "failed by mode"),
        (["--mode", "at-scrim"], "pass"),
        (["--mode", "at-grip"], "invalid"),
        (["--heat", "burn"], "failed by defect"),
        (["--defect", "wrinkle", "--defect", "dirt"], "failed by defect"),
        (["--pull", "jerked"], "invalid"),
        (["--cut", "along"], "invalid"),
        (["--strip", "3/4 in", "--strip-least", "1 in"], "invalid"),
        (["--defect", "void"], "no verdict"),
        # Both edges read on an eighth: the plain passes begin farther inside.
        (["--width", "1 1/16 in", "--rule", "1/8 in", "--edges", "2"], "pass at the limit"),
        (["--width", "1 3/4 in", "--most", "2 in"], "pass"),
    ],
)
def test_every_finding_can_be_reached(
    more: list[str], finding: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The options say all that the verdict asks for."""
    assert judged(capsys, *more)["finding"] == finding


def test_it_says_why_and_what_to_check_first(capsys: pytest.CaptureFixture[str]) -> None:
    """A clean peel beside a doubtful source names the power first, and ranks what cools."""
    found = judged(capsys, "--mode", "clean-peel", "--around", "low-power")

    assert found["reasons"][0].startswith("The strip peeled clean")
    assert found["check"][0]["cause"] == "low voltage"
    assert found["why"][0].index("long thin cord") < found["why"][0].index("faster")
    assert "Only a peeled strip tells." in found["why"][-1]


def test_a_pass_has_nothing_to_check(capsys: pytest.CaptureFixture[str]) -> None:
    """Where all is well there is nothing to check and nothing to explain."""
    found = judged(capsys)

    assert (found["check"], found["why"]) == ([], [])


def test_it_says_how_well_the_width_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    """One sixteenth read on one edge: u is 0.018 in, plain passes are from 1.030 to 1.470."""
    reading = judged(capsys)["reading"]

    assert reading == {
        "standard_uncertainty_in": 0.018,
        "plain_pass_in": [1.0297, 1.4703],
        "chance_inside_limits": 1.0,
        "caution": None,
    }


def test_a_coarse_rule_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Eighths are too coarse for half an inch of limits (ratio 3.5, where 4 is wanted)."""
    assert "finer mark" in judged(capsys, "--rule", "1/8 in")["reading"]["caution"]


def test_a_rule_without_marks_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """A rule of nought would know every width exactly."""
    assert main([*WHOLE, "--rule", "0 in"]) != 0
    assert "--rule" in capsys.readouterr().err
