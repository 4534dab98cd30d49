"""Marks, events, notes and corrections, as a foreman sees them."""

from __future__ import annotations

from datetime import datetime, timezone

import pytest
from support.records import scribe

from assistant.record.journal import Record
from assistant.record.state import standing
from assistant.record.verify import verify
from assistant.review.page import write_page
from assistant.review.reading import read
from assistant.review.text import shift_text

NOW = datetime(2026, 5, 4, 20, 0, tzinfo=timezone.utc)
MARK = {
    "step": "weld",
    "seam": "12",
    "what": "bleed-out",
    "position_ft": "25/2",
    "said": "mark a bleed out at twelve and a half feet",
    "said_at": "mark a bleed out at twelve and a half feet",
    "read_back": "Bleed out at twelve and one half feet. Is that right?",
    "confirmed_by": "yes",
    "confirmed_clip": None,
    "confidence": 0.98,
    "clip": None,
    "clips": [],
}
NOTE = {
    "step": "weld",
    "seam": "12",
    "clip": None,
    "length_ms": 12_400,
    "said": None,
    "ended_by": "words",
    "damaged": False,
}
EVENT = {
    "step": "weld",
    "seam": "12",
    "what": "rain",
    "part": None,
    "said": "it is raining",
    "confidence": 0.9,
    "clip": None,
}


def told(folder) -> str:
    """Return the shift as text, in one line."""
    return " ".join(shift_text(folder).split())


def page(folder) -> str:
    """Return the page of a shift."""
    write_page(folder, folder / "page.html", NOW)
    return (folder / "page.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("kind", "fields", "says"),
    [
        ("mark", {}, "Bleed out at 12½ ft. Said “mark a bleed out at twelve and a half feet”, "),
        ("mark", {"said": "mark a burn", "what": "burn"}, "Burn at 12½ ft. Said “mark a burn”, “m"),
        ("mark", {"position_ft": "1/2"}, "Bleed out at ½ ft."),
        ("mark", {"position_ft": "0"}, "Bleed out at 0 ft."),
        ("mark", {"position_ft": None}, "Bleed out at a place that is not stated."),
        ("mark", {"confirmed_by": None}, "not confirmed."),
        ("event", {}, "Rain. Said “it is raining”."),
        ("event", {"what": "changing", "part": "gun"}, "A change of gun."),
        ("event", {"what": "hail"}, "Hail."),
        ("note", {}, "12 s of sound, ended by its last words."),
        ("note", {"ended_by": "full", "length_ms": 30_016}, "30 s of sound, cut at its longest."),
        ("note", {"damaged": True, "ended_by": "quiet"}, "ended by quiet. Some of its sound was"),
        ("note", {"said": "the sheet is damp"}, "Typed: “the sheet is damp”."),
        ("note", {"length_ms": None}, "A note of unknown length"),
    ],
)
def test_what_was_said_beside_is_told(tmp_path, kind, fields, says):
    """In the terminal and on the page, with its seam, under a title of its own."""
    usual = {"mark": MARK, "event": EVENT, "note": NOTE}[kind]
    with scribe(tmp_path) as made:
        made.begin()
        made.line(kind, **{**usual, **fields})

    assert "Finish weld, seam 12. " in told(tmp_path)
    assert says in told(tmp_path)
    assert says in " ".join(page(tmp_path).split())
    assert not verify(tmp_path).problems


def test_a_mark_that_was_not_heard_is_told(tmp_path):
    """Somebody meant to mark something: the foreman looks for it."""
    with scribe(tmp_path) as made:
        made.begin()
        made.line(
            "mark-not-heard",
            step="weld",
            seam=None,
            what="void",
            said=["mark a void", ""],
            clips=[],
            because="quiet",
        )

    assert "Void: its place was not heard. What was made of it: “mark a void”." in told(tmp_path)


def test_a_mark_that_was_taken_back_is_told_as_that(tmp_path):
    """It is no mark any more, and it stands with what was taken back."""
    with scribe(tmp_path) as made:
        made.begin()
        old = made.line("mark", **MARK)
        made.line("taken-back", step="weld", entry=old.seq, said="scratch that", of="mark")
    review = read(tmp_path).review

    assert review.marks == ()
    assert "mark “bleed out at 12½ ft” was taken back by “scratch that”" in told(tmp_path)


def test_a_note_is_listened_to_on_the_page(tmp_path):
    """Its sound is in the page, beside its line."""
    record = Record.open(tmp_path, lambda: NOW)
    clip = record.keep_clip(b"\0\1" * 16_000, 16_000)
    record.append("note", {**NOTE, "clip": clip, "run": 0})
    record.close()

    assert page(tmp_path).count("<audio") == 1
    assert read(tmp_path).review.notes[0].recordings[0].clip == clip


# ---- corrections


def correct(made, judged, old, outcome="pass at limit", **more):
    """Write a correction of a width and the verdict that comes of it; return both lines."""
    fields = {**old.fields, "said": "inch and a half", "answer": "3/2", "width_in": "3/2", **more}
    for name in ("run", "judged", "entry", "asked_by"):
        fields.pop(name, None)
    new = made.line(
        "corrected", judged=judged.seq, entry=old.seq, asked_by="change the last test", **fields
    )
    first = judged.fields.get("first", judged.seq)
    was = judged.fields["outcome"]
    return new, made.judged(outcome, new, corrects=judged.seq, was=was, first=first)


def test_a_corrected_strip_shows_both_values(tmp_path):
    """One strip, with its new value and verdict, and beside them the old ones and when."""
    with scribe(tmp_path) as made:
        made.begin()
        made.seam(12)
        old = made.value("width", "inch and a quarter", "5/4", clip="a" * 64 + ".wav")
        judged = made.judged("pass", old)
        correct(made, judged, old, clip="b" * 64 + ".wav")
    review = read(tmp_path).review

    (strip,) = review.strips
    assert review.counts == (0, 0, 1, 0)
    assert (strip.outcome, str(strip.width_in), strip.seam) == ("pass at limit", "3/2", "12")
    assert strip.when == judged.local
    assert [recording.clip[0] for recording in strip.recordings] == ["b", "a"]
    (change,) = strip.corrections
    assert (change.before, change.said) == ("inch and a quarter", "inch and a half")
    assert change.outcome_before == "pass"
    for shown in (told(tmp_path), " ".join(page(tmp_path).split())):
        assert "from “inch and a quarter” to “inch and a half”" in shown
        assert "the verdict was “Pass”" in shown


def test_a_pass_that_was_corrected_to_a_pass_is_told_in_full(tmp_path):
    """A short line would hide that a number was changed."""
    with scribe(tmp_path) as made:
        made.begin()
        old = made.value("width", "inch and an eighth", "9/8")
        correct(made, made.judged("pass", old), old, outcome="pass")

    assert "from “inch and an eighth” to “inch and a half”" in told(tmp_path)


def test_a_strip_is_corrected_twice(tmp_path):
    """Both corrections are told, in order, and one strip is counted."""
    with scribe(tmp_path) as made:
        made.begin()
        old = made.value("width", "inch and a quarter", "5/4")
        new, judged = correct(made, made.judged("pass", old), old)
        correct(made, judged, new, outcome="fail", said="seven eighths", width_in="7/8")
    review = read(tmp_path).review

    (strip,) = review.strips
    assert review.counts == (1, 0, 0, 0)
    assert [change.before for change in strip.corrections] == [
        "inch and a quarter",
        "inch and a half",
    ]
    assert [change.outcome_before for change in strip.corrections] == ["pass", "pass at limit"]


def test_a_strip_is_corrected_from_another_run(tmp_path):
    """It stays the strip of its own run: that seam, that checklist, that time."""
    with scribe(tmp_path) as made:
        made.begin()
        made.seam(12)
        old = made.value("width", "inch and a quarter", "5/4")
        judged = made.judged("pass", old)
        made.line("ended")
        made.begin("pre-weld")
        made.value("seam", "seam thirteen", "13", unit="number", width_in=None, called="seam")
        correct(made, judged, old)

    (strip,) = read(tmp_path).review.strips
    assert (strip.seam, strip.title) == ("12", "Finish weld")
    assert strip.said == "inch and a half"


def test_a_correction_falls_with_its_verdict(tmp_path):
    """Where the verdict was taken back, what corrected it counts no more."""
    with scribe(tmp_path) as made:
        made.begin()
        old = made.value("width", "inch and a quarter", "5/4")
        judged = made.judged("pass", old)
        correct(made, judged, old)
        made.line("taken-back", step="verdict", entry=judged.seq, said="go back")
        entries = made.record.entries

    assert not [entry for entry in standing(entries) if entry.kind == "judged"]
    assert read(tmp_path).review.strips == ()
