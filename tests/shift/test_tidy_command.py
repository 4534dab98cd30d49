"""`lapcall tidy` as a process: it tells first, and does only what it was told to."""

from __future__ import annotations

import shutil
import subprocess
import sys
import wave
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from support.records import Scribe, TickingClock

from assistant.commands.tidying import MARGIN_MS, speech_alone
from assistant.ear.sound import RATE_HZ
from assistant.record.journal import Record
from assistant.review.page import write_page

LONG_AGO = datetime.now(timezone.utc) - timedelta(days=100)
DEMO = Path(__file__).parents[2] / "demo" / "audio"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A record a hundred days old: one strip passed, one failed, each with its sound."""
    record = Record.open(tmp_path / "shift", TickingClock(LONG_AGO))
    made = Scribe(record)
    made.begin()
    for number, (width, outcome) in enumerate((("5/4", "pass"), ("1/2", "fail")), start=1):
        clip = record.keep_clip(number.to_bytes(2, "little") * 900, RATE_HZ)
        made.judged(outcome, made.value("width", "so wide", width, clip=clip))
    record.close()
    return tmp_path / "shift"


def run(*words: str) -> subprocess.CompletedProcess[str]:
    """Run a command."""
    command = [sys.executable, "-m", "assistant", *words]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def clips(folder: Path) -> int:
    """Count the clips."""
    return len(list((folder / "clips").iterdir()))


def test_it_tells_before_it_does(folder):
    """Without being told to do it, nothing changes; with it, one clip goes and the failed stays."""
    before = (folder / "record.jsonl").read_bytes()
    told = run("tidy", "--record", str(folder), "--drop")
    after = (folder / "record.jsonl").read_bytes()
    left = clips(folder)
    done = run("tidy", "--record", str(folder), "--drop", "--do-it")
    verified = run("verify", "--record", str(folder))
    write_page(folder, folder / "page.html", datetime.now(timezone.utc))
    page = (folder / "page.html").read_text(encoding="utf-8")

    assert (after, left, told.returncode) == (before, 2, 0)
    assert "1 clip to drop." in told.stdout
    assert "1 clip of a test that failed, was corrected" in told.stdout
    assert "Nothing was changed. With --do-it it is done." in told.stdout
    assert (clips(folder), done.returncode) == (1, 0)
    assert "1 clip dropped" in done.stdout
    assert verified.returncode == 0
    assert "1 clip was dropped on " in verified.stdout
    assert "This recording was dropped on " in page
    assert "is missing" not in page


def test_copy_follows_what_its_record_tells(folder, tmp_path):
    """A copy with clips that its record tells were dropped loses them, and gets no line."""
    copy = Path(shutil.copytree(folder, tmp_path / "copy"))
    run("tidy", "--record", str(folder), "--drop", "--do-it")
    shutil.copy(folder / "record.jsonl", copy / "record.jsonl")
    before = (copy / "record.jsonl").read_bytes()
    told = run("tidy", "--record", str(copy), "--told", "--do-it")

    assert "1 clip to remove, as the record already tells." in told.stdout
    assert clips(copy) == 1
    assert (copy / "record.jsonl").read_bytes() == before


def test_every_record_of_the_machine(folder, monkeypatch):
    """With --all each record is tidied; one that is broken is told, and stops no other."""
    broken = folder.parent / "shift-broken"
    broken.mkdir()
    (broken / "record.jsonl").write_text("no line\n")
    monkeypatch.setenv("LAPCALL_DATA", str(folder.parent))
    found = run("tidy", "--all", "--drop", "--do-it")

    assert found.returncode == 7
    assert "1 clip dropped" in found.stdout
    assert "Line 1 of" in found.stdout
    assert clips(folder) == 1


def test_rule_of_a_job(folder, tmp_path):
    """A job file can hold the rule; what is said on the command line goes before it."""
    job = tmp_path / "job.yaml"
    job.write_text("name: Hall roof\nclips: {then: drop, keep-days: 90, failed: tidy}\n")
    old = run("tidy", "--record", str(folder), "--job", str(job))
    young = run("tidy", "--record", str(folder), "--job", str(job), "--days", "101")

    assert "2 clips to drop." in old.stdout
    assert "0 clips to drop." in young.stdout


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("clips: {then: burn}", "burn"),
        ("clips: {then: drop, keep-days: -1}", "keep-days"),
        ("clips: {then: drop, days: 3}", "days"),
        ("clips: drop", "clips"),
    ],
)
def test_faults_of_a_rule(folder, tmp_path, text, told):
    """A rule that is no rule is told with file and line, and nothing goes."""
    job = tmp_path / "job.yaml"
    job.write_text(f"name: Hall roof\n{text}\n")
    found = run("tidy", "--record", str(folder), "--job", str(job), "--do-it")

    assert found.returncode == 3
    assert "line 2" in found.stderr
    assert told in found.stderr
    assert clips(folder) == 2


def test_it_must_be_told_what_to_do(folder):
    """Without a rule it asks for one."""
    found = run("tidy", "--record", str(folder))

    assert found.returncode == 2
    assert "--drop or --shorten" in found.stderr


def test_shortened_sound_is_the_speech():
    """Of silence, speech and silence the speech stays with a margin, sample for sample."""
    with wave.open(str(DEMO / "first-width.wav")) as file:
        pcm = file.readframes(file.getnframes())
    quiet = bytes(2 * RATE_HZ * 2)
    cut = speech_alone(quiet + pcm + quiet, RATE_HZ)

    assert cut in quiet + pcm + quiet
    assert len(cut) <= len(pcm) + 4 * RATE_HZ * (MARGIN_MS + 64) // 1000
    assert speech_alone(quiet, RATE_HZ) == quiet
