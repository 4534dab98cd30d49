"""The demo's shift with typed words in the place of its voices: from start to hand-over."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

DEMO = Path(__file__).parents[2] / "demo"
SPOKEN = yaml.safe_load((DEMO / "shift.yaml").read_text(encoding="utf-8"))["lines"]
MUMBLED = "mumble"


def said(line: str) -> str:
    """Return the words of a line of the demo's script."""
    if not line.endswith(".wav"):
        return line
    one = next(each for each in SPOKEN if each["id"] == Path(line).stem)
    return MUMBLED if one.get("mumble") else str(one["say"]).replace(",", "")


def script() -> list[str]:
    """Return the lines of the demo's script."""
    rows = [row.strip() for row in (DEMO / "shift.txt").read_text(encoding="utf-8").splitlines()]
    return [row for row in rows if row and not row.startswith("#")]


@pytest.fixture(scope="module")
def shift(tmp_path_factory) -> tuple[str, list[dict[str, object]]]:
    """Rehearse the demo; return what was shown and the lines of the record."""
    folder = tmp_path_factory.mktemp("demo")
    words = folder / "words.txt"
    words.write_text("\n".join(map(said, script())) + "\n", encoding="utf-8")
    found = re.search(r"rehearse ((?:[a-z-]+ |\\\s+)+?)--once", (DEMO / "run").read_text("utf-8"))
    procedures = found[1].replace("\\", " ").split() if found else []
    command = [sys.executable, "-m", "assistant", "rehearse", *procedures, "--once", "--fresh"]
    command += ["--job", str(DEMO / "job.yaml"), "--record", str(folder / "record")]
    done = subprocess.run(
        [*command, "--from", str(words)], capture_output=True, text=True, check=False, timeout=120
    )

    assert done.returncode == 0, done.stderr
    lines = (folder / "record" / "record.jsonl").read_text(encoding="utf-8").splitlines()
    return done.stdout, [json.loads(line) for line in lines]


def test_it_goes_from_start_to_hand_over(shift):
    """All its procedures are walked to their end, and every recording has its place."""
    _, lines = shift
    titles = [row["procedure"] for row in lines if row["kind"] == "began"]

    assert titles[0] == "start-of-shift"
    assert titles[-3:] == ["shut-down", "fire-watch", "hand-over"]
    assert [row["kind"] for row in lines].count("ended") == len(titles)
    assert not [row for row in lines if row["kind"] == "not-heard"]


def test_it_shows_what_lapcall_is_for(shift):
    """Sleep and waking, talk let pass, a mark, a count, a fail with its suspects, then a pass."""
    shown, lines = shift

    assert "[asleep]" in shown
    assert shown.index("hand me that roll") < shown.index("okay lapcall done")
    assert [row["outcome"] for row in lines if row["kind"] == "judged"] == ["pass", "fail", "pass"]
    assert [row["position_ft"] for row in lines if row["kind"] == "mark"] == ["27"]
    assert "Suspect now: seam twelve." in shown
    assert "how many today" in shown
    assert "Nothing in these figures calls for a caution." in shown


def test_a_caution_of_once_a_shift_is_spoken_once(shift):
    """Blades and current are cautioned against at the start, and not again at each seam."""
    shown, _ = shift

    assert shown.count("Blades next.") == 1
    assert shown.count("Current can kill.") == 1
    assert shown.count("The nozzle burns, and stays hot") == 5


def test_the_feet_of_each_seam_are_kept(shift):
    """How much was welded stands in the record in feet."""
    _, lines = shift
    feet = [row["answer"] for row in lines if row.get("called") == "seam length"]

    assert feet == ["65", "85"]
