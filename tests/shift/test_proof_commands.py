"""``lapcall due`` and ``lapcall seams``, and the page of a shift with a failed strip."""

from __future__ import annotations

import json
import re
from datetime import datetime
from itertools import pairwise

import pytest
from support.records import JOB, scribe

from assistant import places
from assistant.cli import main
from assistant.procedure.testing_rules import load_rules
from assistant.record.verify import Verified
from assistant.review.page import as_page
from assistant.review.reading import Read, read
from assistant.review.shift import shift_review
from assistant.review.text import shift_text

RULES = load_rules(places.rules_file())
MADE = datetime(2026, 5, 4)


@pytest.fixture
def shift(tmp_path):
    """A record: seam 12 welded on a pass, then a fail, a void in seam 13, and a break."""
    folder = tmp_path / "shift"
    with scribe(folder) as made:
        for seam, outcomes in ((12, ["pass"]), (13, ["fail", "pass"])):
            made.begin()
            made.seam(seam)
            for outcome in outcomes:
                made.judged(outcome, made.value("width", "inch and a quarter", "5/4"))
            made.line("done", step="weld", act="tell", said="done")
            length = {"unit": "ft", "width_in": None, "called": "seam length"}
            made.value("length", "forty feet", "40", **length)
        made.line("mark", step="look", seam="13", what="void", position_ft="30", said="void")
        made.line("event", step="look", seam="13", what="break", part=None, said="break")
    return folder


def printed(capsys, *words: object) -> str:
    """Run a command that goes well, and return what it prints."""
    assert main([str(word) for word in words]) == 0
    return capsys.readouterr().out


def test_due_says_whether_why_and_since_when(shift, capsys):
    """A table for people."""
    told = printed(capsys, "due", "--record", shift)

    assert told.startswith("first welder with gun three: a test is due.\n")
    assert re.search(r"since 2026-05-04 07:1\d: a break\n", told)
    assert re.search(r"last pass: 2026-05-04 07:\d\d\n", told)


def test_due_as_json(shift, capsys):
    """The same for machines."""
    found = json.loads(printed(capsys, "due", "--record", shift, "--json"))

    assert found["due"] is True
    assert "break" in [reason["why"] for reason in found["reasons"]]
    assert (found["welder"], found["gun"]) == (JOB["welder"], JOB["gun"])


def test_due_for_another_hand(shift, tmp_path, capsys):
    """A job file asks for whoever welds next."""
    job = tmp_path / "job.yaml"
    job.write_text("welder: second welder\ngun: gun nine\n", encoding="utf-8")

    told = printed(capsys, "due", "--record", shift, "--job", job)

    assert "second welder with gun nine: a test is due." in told
    assert "no strip had passed" in told


def test_seams_as_a_table(shift, capsys):
    """Seam by seam, then the suspects and where to cut."""
    told = printed(capsys, "seams", "--record", shift)

    assert re.search(r"^12 +0 to 40 ft +suspect", told, re.MULTILINE)
    assert re.search(r"^13 +29 1/2 to 30 1/2 ft +to repair +a fault was marked", told, re.MULTILINE)
    assert "Cut next, by steps: seam 12, at 30 ft." in told
    assert max(map(len, told.splitlines())) < 80


def test_seams_as_json(shift, capsys):
    """Exact feet as text, and the record line behind each state."""
    told = printed(capsys, "seams", "--record", shift, "--json")
    rows = [json.loads(row) for row in told.splitlines()]
    first, last = rows[0], rows[-1]

    assert (first["seam"], first["from_ft"], first["to_ft"]) == ("12", "0", "40")
    assert first["state"] == "suspect"
    line = first["by"][0]["line"]
    stored = (shift / "record.jsonl").read_text(encoding="utf-8").splitlines()[line - 1]
    assert json.loads(stored)["outcome"] == "fail"
    assert last["cut_next"][0]["at_ft"] == "30"


def test_a_record_with_its_own_copy(shift, capsys):
    """Copies that are merged say what one of them says."""
    once = printed(capsys, "seams", "--record", shift)

    assert printed(capsys, "seams", "--record", shift, shift) == once


def test_rules_of_a_job(shift, tmp_path, capsys):
    """Another rule file gives another place to cut."""
    own = tmp_path / "own.yaml"
    text = places.rules_file().read_text(encoding="utf-8").replace("way: steps", "way: halving")
    own.write_text(text, encoding="utf-8")

    assert "seam 12, at 20 ft" in printed(capsys, "seams", "--record", shift, "--rules", own)


def test_no_record(tmp_path, capsys):
    """A folder without a record is named."""
    assert main(["seams", "--record", str(tmp_path)]) == 2
    assert "There is no record" in capsys.readouterr().err


def test_the_page_shows_each_seam(shift):
    """State, why and what to do, in words beside the drawing: it is read without colour."""
    page = as_page(read(shift, RULES), MADE, lambda _: None)

    assert "<h3>Seam 12</h3>" in page
    assert page.index("<h3>Seam 13</h3>") < page.index("<h3>Seam 12</h3>")  # the worst first
    assert re.search(r"<b>Suspect</b>, 0 to 40 ft: the test of 07:\d\d failed\.", page)
    assert re.search(r"<b>To repair</b>, 29 1/2 to 30 1/2 ft: a void was marked at", page)
    assert "Cut next: seam 12, at 30 ft." in page
    assert "no acceptance of the work" in page


def test_bars_fill_the_drawing_without_a_gap(shift):
    """Every bar runs from end to end, and each part is wide enough to be seen."""
    for seam in read(shift, RULES).cover.seams:
        edges = [(part.left, part.right) for part in seam.parts]
        assert (edges[0][0], edges[-1][1]) == (4, 636)
        assert all(one[1] == two[0] for one, two in pairwise(edges))
        assert all(right - left >= 9 for left, right in edges)


def test_the_terminal_tells_the_same(shift):
    """Seams and suspects stand in the printed review."""
    text = shift_text(shift, RULES)

    assert "Seam 12, 0 to 40 ft: SUSPECT, the test of" in text
    assert "Cut next: seam 12, at 30 ft." in " ".join(text.split())


def test_no_weld_in_the_record():
    """A page without seams says so."""
    page = as_page(Read(shift_review(()), Verified(0, "none", ())), MADE, lambda _: None)

    assert "No finish weld of a seam is in the record." in page
