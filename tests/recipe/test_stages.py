"""The one command of the recipe tells what it can do and what is missing."""

import os
import re
import subprocess
from pathlib import Path

import pytest

STAGE = Path(__file__).parents[2] / "models" / "recipe" / "stage"
NAMES = re.findall(r"^stage_(\w+)\(\)", STAGE.read_text("utf-8"), re.MULTILINE)


def stage(work: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the command with an empty folder to work in, and no Python to run."""
    settings = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    settings |= {"WORK": str(work), "PYTHON": str(work / "python")}
    command = ["bash", str(STAGE), *words]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, env=settings, timeout=20
    )


def test_help_names_every_stage_in_order(tmp_path):
    """Each stage has its line, in the order in which they are written."""
    shown = stage(tmp_path, "help")

    assert shown.returncode == 0
    assert re.findall(r"^  (\w+) ", shown.stdout, re.MULTILINE) == NAMES


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("plan", "parts"),
        ("speech", "plan"),
        ("voices", "plan"),
        ("prompts", "plan"),
        ("check", "plan"),
        ("train", "plan"),
        ("export", "train"),
        ("calibrate", "export"),
        ("evaluate", "export"),
    ],
)
def test_a_stage_too_early_names_the_one_that_comes_first(tmp_path, name, first):
    """Nothing is made; the message tells what to run."""
    refused = stage(tmp_path, name)

    assert refused.returncode == 1
    assert f"First run: bash models/recipe/stage {first}" in refused.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "told"),
    [("people", "DIGITS"), ("noise", "stage packages"), ("nonsense", "stage help")],
)
def test_other_refusals_tell_what_to_do(tmp_path, name, told):
    """A setting, the packages, or the right name of a stage is asked for."""
    refused = stage(tmp_path, name)

    assert refused.returncode == 1
    assert told in refused.stderr
