"""`lapcall rehearse` as a process: typed answers, killed at any moment, started again."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
from support.short_strip import CHECKLIST

ANSWERS = {
    "Which seam?": "seam twelve",
    "The nozzle burns.": "ready",
    "Is the roller clean?": "yes",
    "Weld.": "done",
    "How did it fail?": "scrim showing",
    "How wide?": "inch and three sixteenths",
    "Heat marks?": "none",
    "Seam one two. Is that right?": "yes",
    "One and three sixteenths inches.": "affirm",
}
STEPS = ["seam", "roller", "failure", "width", "heat-marks"]


def rehearse(folder: Path, kill_after: int | None) -> tuple[int, list[str]]:
    """Rehearse with typed answers; with ``kill_after`` kill -9 after so many lines of output."""
    checklist = folder / "short-strip.yaml"
    checklist.write_text(CHECKLIST, encoding="utf-8")
    command = [sys.executable, "-u", "-m", "assistant", "rehearse", str(checklist), "--once"]
    command += ["--record", str(folder / "record")]
    lines: list[str] = []
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as process:
        if process.stdin is None or process.stdout is None:
            raise RuntimeError("no pipes")
        for line in process.stdout:
            lines.append(line.rstrip())
            if kill_after is not None and len(lines) >= kill_after:
                process.kill()
                break
            said = line.removeprefix("Lapcall: ")
            known = [text for text in ANSWERS if line != said and said.startswith(text)]
            if known:
                process.stdin.write(ANSWERS[max(known, key=len)] + "\n")
                process.stdin.flush()
        code = process.wait()
    return code, lines


def record_of(folder: Path) -> list[dict[str, object]]:
    """Return the whole lines of the record."""
    path = folder / "record" / "record.jsonl"
    text = path.read_bytes() if path.exists() else b""
    return [json.loads(line) for line in text.split(b"\n")[:-1]]


@pytest.mark.parametrize("seed", range(3))
def test_kill_9_loses_nothing_that_was_confirmed(tmp_path: Path, seed: int) -> None:
    """Killed again and again, it goes on at the step, and asks nothing twice that was confirmed."""
    rng = random.Random(seed)  # noqa: S311 - moments of death, not secrets
    confirmed: list[str] = []
    for _ in range(60):
        _, lines = rehearse(tmp_path, kill_after=rng.randint(1, 14))
        kept = [str(row["step"]) for row in record_of(tmp_path) if row["kind"] == "answered"]
        assert kept[: len(confirmed)] == confirmed, lines
        asked = "\n".join(line for line in lines if line.startswith("Lapcall: "))
        assert not ("Which seam?" in asked and "seam" in confirmed), lines
        confirmed = kept
        # Killed behind its last line, a run has ended all the same.
        if (record_of(tmp_path) or [{}])[-1].get("kind") in ("ended", "closed"):
            break

    assert confirmed == STEPS
    judged = [row for row in record_of(tmp_path) if row["kind"] == "judged"]
    assert [(row["outcome"], row["width"], row["said"]) for row in judged] == [
        ("pass", "19/16", "inch and three sixteenths")
    ]
    verified = subprocess.run(
        [sys.executable, "-m", "assistant", "verify", "--record", str(tmp_path / "record")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert verified.returncode == 0, verified.stdout


def test_what_was_heard_with_the_tone_is_on_the_disk(tmp_path: Path) -> None:
    """By the time the tone for "heard" shows, the line that it stands for is in the record."""
    _, lines = rehearse(tmp_path, kill_after=None)
    total = len(lines)
    marks = [place for place, line in enumerate(lines, 1) if line == "[heard]"]

    assert total > len(marks) > 8
    for place in marks[2:5]:
        folder = tmp_path / f"killed-{place}"
        folder.mkdir()
        _, seen = rehearse(folder, kill_after=place)
        said = [line for line in seen if line.startswith("    You: ")]
        act = [row for row in record_of(folder) if row["kind"] in ("answered", "done")]
        # The seam's number took two utterances for its one line: the number and the yes.
        assert len(act) == len(said) - 1, seen


def test_a_script_that_ends_early_says_so_and_keeps_what_was_confirmed(tmp_path: Path) -> None:
    """A rehearsal whose lines run out ends with exit code 1; the next one goes on there."""
    checklist = tmp_path / "short-strip.yaml"
    checklist.write_text(CHECKLIST, encoding="utf-8")
    command = [sys.executable, "-m", "assistant", "rehearse", str(checklist), "--once"]
    command += ["--record", str(tmp_path / "record")]
    first = subprocess.run(
        command, input="twelve\nyes\n", capture_output=True, text=True, check=False
    )
    assert first.returncode == 1
    assert "What was confirmed is kept" in first.stdout

    rest = "ready\nyes\ndone\nscrim showing\ninch\nyes\nnone\n"
    second = subprocess.run(command, input=rest, capture_output=True, text=True, check=False)
    assert second.returncode == 0, second.stdout
    assert "Pass, at the limit." in second.stdout
