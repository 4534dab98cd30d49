"""Commands that take a whole job folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.gathered import copied, device, merged, more
from support.records import JOB, scribe

from assistant.cli import main


def seam(folder: Path, number: int, outcome: str) -> Path:
    """Write a shift in which one seam was welded behind a test."""
    with scribe(folder) as writer:
        writer.begin(job={**JOB, "welder": f"welder {number}", "gun": f"gun {number}"})
        writer.seam(number)
        writer.judged("pass", writer.value("width", "inch and a quarter", "5/4"))
        writer.line("done", step="weld", act="tell", said="done")
        writer.judged(outcome, writer.value("width", "inch", "1"))
        writer.line("ended")
    return folder


@pytest.fixture
def job(tmp_path) -> Path:
    """Gather two shifts, one with a failed test."""
    merged(tmp_path / "job", seam(tmp_path / "a", 1, "pass"), seam(tmp_path / "b", 2, "fail"))
    return tmp_path / "job"


def test_verify(job, tmp_path, capsys):
    """All records are checked; one that was changed is named, and so is a fork."""
    assert main(["verify", "--record", str(job)]) == 0
    assert "2 records, 16 lines; 0 not whole, 0 forked." in capsys.readouterr().out
    one = device(tmp_path / "c", 3)
    merged(job, more(copied(one, tmp_path / "d"), "held"), more(one))
    spoiled = next((job / "records").glob("*/record.jsonl"))
    spoiled.write_bytes(spoiled.read_bytes().replace(b"inch", b"itch", 1))
    assert main(["verify", "--record", str(job)]) == 7
    said = capsys.readouterr().out

    assert f"records/{spoiled.parent.name}: Line " in said
    assert "4 records" in said
    assert "1 not whole, 1 forked" in said


def test_review(job, capsys):
    """One page for all, a page for each, failed ones first; seams across all of them."""
    assert main(["review", "--record", str(job)]) == 0
    said = capsys.readouterr().out
    page = (job / "review.html").read_text("utf-8")
    links = [path.relative_to(job).as_posix() for path in job.rglob("records/*/review.html")]

    assert "Strips: 1 failed, 0 no verdict, 0 pass at limit, 3 passed." in said
    assert "Seam 1" in said
    assert "Seam 2" in said
    assert all(f'href="{link}"' in page for link in links)
    assert page.index("welder 2") < page.index("welder 1")
    assert len(links) == 2


def test_review_again_changes_no_record(job, tmp_path):
    """Pages beside records are no part of them: gathering again finds all of it there."""
    main(["review", "--record", str(job)])

    assert dict(merged(job, tmp_path / "a", tmp_path / "b").counts) == {"there": 2}


@pytest.mark.parametrize("command", ["seams", "due"])
def test_seams_and_due(job, command, capsys):
    """Both commands take a job folder as they take single records."""
    assert main([command, "--record", str(job)]) == 0
    found = capsys.readouterr().out

    assert "welder 2" in found


def test_the_shift_itself_is_still_a_record(job, capsys):
    """A record inside the job folder works with every command by itself."""
    one = next((job / "records").iterdir())
    assert main(["verify", "--record", str(one)]) == 0
    assert main(["review", "--record", str(one)]) == 0
    assert "unbroken" in capsys.readouterr().out
