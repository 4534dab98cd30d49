"""Marks, notes and corrections through the whole program: shell, record, review."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterable
from datetime import datetime, timezone
from pathlib import Path

import pytest
from support.short_strip import CHECKLIST

from assistant.day import Day
from assistant.dialogue.state import Settings
from assistant.ear.ports import Clip, EarEvent, Heard
from assistant.ear.scripted import ScriptedEar
from assistant.mouth.scripted import ScriptedMouth
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Procedure
from assistant.record.journal import Record
from assistant.shift import Manner, Shift

REHEARSED = Manner(pretend_time=True, echo_tail_s=0)
SEAM = ["twelve", "yes", "ready", "yes", "done"]
STRIP = ["scrim showing", "inch and a quarter", "yes", "none"]


def now() -> datetime:
    """Return the time."""
    return datetime.now(timezone.utc)


@pytest.fixture
def procedure(tmp_path: Path) -> Procedure:
    """The short checklist."""
    path = tmp_path / "short-strip.yaml"
    path.write_text(CHECKLIST, encoding="utf-8")
    return load_procedure(path)


def work(folder: Path, script: Iterable[str | EarEvent], *procedures: Procedure) -> list[str]:
    """Work through procedures with what is said; return what was spoken."""
    record, mouth = Record.open(folder, now), ScriptedMouth()
    try:
        shift = Shift(ScriptedEar(script), mouth, record, REHEARSED)
        shift.start()
        Day(shift, record, Settings(), {"job": {}}).work(procedures, None, fresh=False)
    finally:
        record.close()
    return mouth.said


def rows(folder: Path, kind: str) -> list[dict[str, object]]:
    """Return the lines of one kind."""
    text = (folder / "record.jsonl").read_text(encoding="utf-8")
    return [row for row in map(json.loads, text.splitlines()) if row["kind"] == kind]


def sound(text: str, seconds: int = 1) -> Heard:
    """Return something heard, with its recording."""
    return Heard(text, confidence=1.0, clip=Clip(text.encode()[:2] * 8_000 * seconds, 8_000))


def test_a_mark_keeps_its_sound_where_chatter_does_not(tmp_path: Path, procedure: Procedure):
    """While hands are busy nothing is recorded but a mark, an event, and the yes to a mark."""
    folder = tmp_path / "record"
    busy = [sound("[unk]"), sound("mark a void at nine feet"), sound("yes"), sound("it is raining")]
    work(folder, ["twelve", "yes", *busy, "stop"], procedure)

    (mark,), (event,) = rows(folder, "mark"), rows(folder, "event")
    kept = {path.name for path in (folder / "clips").iterdir()}
    assert kept == {mark["clip"], mark["confirmed_clip"], event["clip"]}
    assert (mark["position_ft"], mark["seam"]) == ("9", "12")


def test_a_note_is_kept_and_its_length_said(tmp_path: Path, procedure: Procedure):
    """Its recording lies beside the record, and the conversation goes on."""
    folder = tmp_path / "record"
    script = [*SEAM, "make a note", sound("[unk]", 7), *STRIP]
    said = work(folder, script, procedure)

    (note,) = rows(folder, "note")
    assert (note["length_ms"], note["said"]) == (7_000, None)
    assert (folder / "clips" / str(note["clip"])).is_file()
    assert "Note kept. Seven seconds." in said
    assert rows(folder, "ended")


def test_the_last_test_of_an_earlier_run_is_known_after_a_restart(
    tmp_path: Path, procedure: Procedure
):
    """Another process, another run: the test is read, counted and changed from the record."""
    folder = tmp_path / "record"
    work(folder, [*SEAM, *STRIP], procedure)
    change = ["change the last test", "how wide it was", "seven eighths", "yes"]
    script = ["how many today", "read the last test", *change, "how many today", "stop"]
    said = work(folder, script, procedure)

    assert "One test today. One passed." in said
    assert "Test of seam twelve, just now. Inch and a quarter. Film tearing. Pass." in said
    assert "That test does not pass now. Test again before you weld on." in said
    assert "One test today. One failed." in said
    first, second = rows(folder, "judged")
    assert (second["corrects"], second["outcome"]) == (first["seq"], "fail")
    assert second["run"] != first["run"]


def rehearse(folder: Path, lines: list[str], *more: str) -> subprocess.CompletedProcess[str]:
    """Type lines into a rehearsal."""
    command = [sys.executable, "-m", "assistant", "rehearse", str(folder / "short-strip.yaml")]
    command += ["--once", "--record", str(folder / "record"), *more]
    typed = "".join(f"{line}\n" for line in lines)
    return subprocess.run(command, input=typed, capture_output=True, text=True, check=False)


def test_a_rehearsal_with_all_of_it(tmp_path: Path, procedure: Procedure):
    """Typed from end to end: marks, events, a note, silence, a correction; verified, and shown."""
    assert procedure.steps
    lines = ["twelve", "mark a fishmouth at fifteen feet", "no fifty feet", "yes", "yes", "ready"]
    lines += ["power was lost", "yes", "changing gun", "scratch that", "make a note"]
    lines += [
        "the sheet was damp at the drain",
        "mark stitch marks",
        "three and a half feet",
        "yes",
    ]
    lines += ["done", "scrim showing", "inch and a quarter", "mark a void", "...", "...", "yes"]
    lines += ["change the last test", "none"]
    first = rehearse(tmp_path, lines)
    assert first.returncode == 0, first.stdout + first.stderr

    record = tmp_path / "record"
    marks = [(row["what"], row["position_ft"], row["seam"]) for row in rows(record, "mark")]
    assert marks == [("fishmouth", "50", None), ("stitch-marks", "7/2", "12")]
    assert [row["what"] for row in rows(record, "event")] == ["power-lost", "changing"]
    assert [row["of"] for row in rows(record, "taken-back")] == ["event"]
    assert rows(record, "note")[0]["said"] == "the sheet was damp at the drain"
    assert rows(record, "mark-not-heard")[0]["because"] == "quiet"
    assert "No test was judged yet today." in first.stdout
    assert rows(record, "judged")[0]["width"] == "5/4"

    second = rehearse(
        tmp_path, ["change the last test", "number one", "inch and three eighths", "yes", "stop"]
    )
    assert "Changed. The old value stays in the record." in second.stdout
    for command in ("verify", "review"):
        done = subprocess.run(
            [sys.executable, "-m", "assistant", command, "--record", str(record)],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
    shown = " ".join(done.stdout.split())
    page = " ".join((record / "review.html").read_text(encoding="utf-8").split())
    for text in (
        "Stitch marks at 3½ ft.",
        "Power was lost.",
        "a change of gun” was taken back",
        "Typed: “the sheet was damp at the drain”.",
        "from “inch and a quarter” to “inch and three eighths”",
        "its place was not heard",
    ):
        assert text in shown
        assert text in page
