"""What a record adds up to for a foreman."""

from __future__ import annotations

from datetime import datetime, timezone
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.records import JOB, scribe

from assistant.record import kinds
from assistant.record.entry import GENESIS, Entry
from assistant.record.verify import Verified
from assistant.review.page import as_page
from assistant.review.reading import Read, read
from assistant.review.shift import shift_review
from assistant.review.text import as_text, shift_text
from assistant.weld.limits import WidthLimits
from assistant.weld.verdict import Outcome

F = Fraction


def reviewed(folder):
    """Return the review of a record."""
    return read(folder).review


def test_most_urgent_first(tmp_path):
    """Fails and too wide ones come first, then no verdict, then the limit, then passes."""
    order = ["pass", "pass at limit", "no verdict", "out", "foreman decides", "fail", "pass"]
    with scribe(tmp_path) as made:
        made.begin()
        for outcome in order:
            made.judged(outcome, made.value("width", "inch and a quarter", "5/4"))
    review = reviewed(tmp_path)

    assert [strip.outcome for strip in review.strips] == [
        "out", "fail", "no verdict", "foreman decides", "pass at limit", "pass", "pass",
    ]  # fmt: skip
    assert review.counts == (2, 2, 1, 2)


@pytest.mark.parametrize("outcome", [*(outcome.value for outcome in Outcome), "from elsewhere"])
def test_every_outcome_is_counted_once(tmp_path, outcome):
    """No verdict is left out of the counts, and only passes count as passed."""
    with scribe(tmp_path) as made:
        made.begin()
        made.judged(outcome, made.value("width", "inch", "1"))
    counts = reviewed(tmp_path).counts

    assert sum(counts) == 1
    assert bool(counts[3]) is (outcome == "pass")
    assert bool(counts[2]) is (outcome == "pass at limit")


def test_strip_holds_what_was_said_and_understood(tmp_path):
    """A strip shows the words, the value, its confirmation, and by which limits it was judged."""
    with scribe(tmp_path) as made:
        made.begin()
        made.seam(13)
        clips = [made.record.keep_clip(bytes([n, 0]) * 9, 16_000) for n in range(3)]
        failure = made.choice("failure", "film-tearing", clip=clips[0])
        width = made.value(
            "width", "inch strong", "1", hedge="strong", clip=clips[1], confirmed_clip=clips[2]
        )
        made.judged(
            "pass at limit", width, reasons=["At the limit."], **{"from": [failure.seq, width.seq]}
        )
    strip = reviewed(tmp_path).strips[0]

    assert (strip.said, strip.width_in, strip.hedge) == ("inch strong", F(1), "strong")
    assert (strip.read_back, strip.confirmed_by) == ("Inch strong. Is that right?", "yes")
    assert (strip.seam, strip.welder, strip.gun) == ("13", "first welder", "gun three")
    assert (strip.mode, strip.heat, strip.reasons) == ("film-tearing", "none", ("At the limit.",))
    assert strip.limits == WidthLimits()
    assert [recording.clip for recording in strip.recordings] == [clips[1], clips[2], clips[0]]
    assert not strip.doubtful


def test_millimetres_are_shown_as_inches_only_by_their_exact_value(tmp_path):
    """A width said in millimetres is taken from its answer, never from the bare figure."""
    with scribe(tmp_path) as made:
        made.begin()
        width = made.value("width", "thirty two millimeters", "32", unit="mm", width_in="160/127")
        made.judged("pass", width)
    strip = reviewed(tmp_path).strips[0]

    assert (strip.width_in, strip.unit) == (F(160, 127), "mm")


def test_width_said_before_is_shown(tmp_path):
    """A width that replaced another shows the other, and only for its own strip."""
    with scribe(tmp_path) as made:
        made.begin()
        for before, after in (("inch shy", "one inch"), ("two inches", "inch and a half")):
            old = made.value("width", before, "1")
            made.line("taken-back", step="width", entry=old.seq, said=None)
            width = made.value("width", after, "1")
            made.judged("pass at limit", width)
    found = [strip.said_before for strip in reviewed(tmp_path).strips]

    assert found == [("inch shy",), ("two inches",)]
    assert "“inch shy”, taken back" in shift_text(tmp_path)


def test_what_was_not_heard_stays_missing(tmp_path):
    """Nothing is put where nothing was heard."""
    with scribe(tmp_path) as made:
        made.begin(job={})
        made.judged("no verdict", None, mode=None, heat=None, limits=None, rule=None)
    strip = reviewed(tmp_path).strips[0]

    assert (strip.width_in, strip.said, strip.mode, strip.heat) == (None, None, None, None)
    assert (strip.seam, strip.welder, strip.gun, strip.limits) == (None, None, None, None)


def test_seam_is_the_one_said_before(tmp_path):
    """A seam that was taken back is not shown, nor one said after the strip."""
    with scribe(tmp_path) as made:
        made.begin()
        wrong = made.seam(30)
        made.line("taken-back", step="seam", entry=wrong.seq, said="scratch that")
        made.seam(13)
        made.judged("pass", made.value("width", "inch and a quarter", "5/4"))
        made.seam(14)

    assert reviewed(tmp_path).strips[0].seam == "13"


def test_verdict_taken_back_is_still_told(tmp_path):
    """A fail cannot be made to vanish: it leaves the strips and is told as taken back."""
    with scribe(tmp_path) as made:
        made.begin()
        fail = made.judged("fail", made.value("width", "seven eighths", "7/8"))
        made.line("taken-back", step="verdict", entry=fail.seq, said="go back")
    review = reviewed(tmp_path)

    assert review.strips == ()
    assert review.taken_back[0].text == "Verdict: the verdict “fail” was taken back by “go back”."


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        (lambda made: made.value("width", "inch and a half", "3/2"), "the answer 1 1/2 in"),
        (lambda made: made.value("width", "inch shy", "1", hedge="shy"), "the answer 1 in, shy"),
        (lambda made: made.choice("failure", "clean-peel"), "the answer clean peel"),
        (lambda made: made.yes_no("power"), "the answer yes"),
        (lambda made: made.seam(12), "the answer 12"),
        (lambda made: made.line("done", step="peel", act="tell", said="done"), "“done”"),
        (lambda made: made.line("not-heard", step="width", said=[], clips=[]), "“not heard”"),
    ],
)
def test_correction_tells_what_no_longer_counts(tmp_path, answer, told):
    """Each correction names the old answer."""
    with scribe(tmp_path) as made:
        made.begin()
        old = answer(made)
        made.line("taken-back", step="x", entry=old.seq, said=None)
    texts = [remark.text for remark in reviewed(tmp_path).taken_back]

    assert texts == [f"X: {told} was taken back."]


def test_answers_not_as_hoped(tmp_path):
    """An answer that was not hoped for is told, and whether it was put right."""
    with scribe(tmp_path) as made:
        made.begin()
        made.yes_no("power", "no", hoped=False)
        made.yes_no("look", "no", hoped=False)
        made.yes_no("power")
    texts = [remark.text for remark in reviewed(tmp_path).not_hoped]

    assert texts == [
        "Power: no. Answered yes at 07:04.",
        "Look: no. It was not answered otherwise later.",
    ]


def test_not_heard_tells_each_try(tmp_path):
    """A step that was not heard tells what was made of it and keeps its recordings."""
    with scribe(tmp_path) as made:
        made.begin()
        made.seam(12)
        made.line("not-heard", step="heat-marks", act="choice", said=["hm", ""], clips=["a.wav"])
    remark = reviewed(tmp_path).not_heard[0]

    assert remark.text == "Heat marks: not heard. What was made of it: “hm”, no words."
    assert remark.where == "Finish weld, seam 12"
    assert [recording.clip for recording in remark.recordings] == ["a.wav"]


def test_wait_cut_short(tmp_path):
    """A cooling time that was ended early is told; one that ran out is not."""
    with scribe(tmp_path) as made:
        made.begin()
        made.line("done", step="cool", act="wait", said="carry on", early=True)
        made.line("done", step="cool", act="wait", said=None, early=False)

    assert [remark.line for remark in reviewed(tmp_path).cut_short] == [2]


def test_breaks_are_told_in_order(tmp_path):
    """Holds, stops and a lost microphone are told as they came."""
    with scribe(tmp_path) as made:
        made.begin()
        made.line("held", step="cut", because="quiet")
        made.line("carried-on", step="cut", said="carry on")
        made.line("ear-lost", step="cut", message="unplugged")
        made.line("ear-back", step="cut", message="")
        made.line("stopped", step=None, said="stop")
        made.line("resumed", step="cut")
    texts = [remark.text for remark in reviewed(tmp_path).breaks]

    assert texts == [
        "Cut: on hold after silence.",
        "Cut: carried on.",
        "Cut: the microphone was lost.",
        "Cut: the microphone was back.",
        "At the end: stopped.",
        "Cut: taken up again.",
    ]


def test_job_is_gathered_from_all_runs(tmp_path):
    """Several welders and guns of one shift are all named, each once."""
    with scribe(tmp_path) as made:
        made.begin()
        made.line("ended")
        made.begin(job={**JOB, "welder": "second welder"}, rehearsal=True)
    review = reviewed(tmp_path)

    assert review.welders == ("first welder", "second welder")
    assert review.guns == ("gun three",)
    assert review.rehearsal
    assert [(walk.title, walk.closed) for walk in review.walks] == [
        ("Finish weld", "ended"),
        ("Finish weld", "open"),
    ]


def test_strip_on_a_changed_line_is_in_doubt(tmp_path):
    """A strip whose width was changed afterwards is shown, and shown as in doubt."""
    with scribe(tmp_path) as made:
        made.begin()
        made.judged("fail", made.value("width", "fifteen sixteenths", "15/16"))
        made.line("ended")
    path = tmp_path / "record.jsonl"
    path.write_bytes(path.read_bytes().replace(b'"answer":"15/16"', b'"answer":"19/16"'))
    strip = reviewed(tmp_path).strips[0]

    assert strip.doubtful
    assert "IN DOUBT" in shift_text(tmp_path)


def test_empty_record():
    """A record without lines adds up to nothing, and says so."""
    review = shift_review(())

    assert (review.strips, review.counts, review.began) == ((), (0, 0, 0, 0), None)


# ---- whatever a spoiled record may hold

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
    | st.sampled_from(["5/4", "1", "mm", "seam", "value", "fail", "yes-no", "<b>"]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.sampled_from(["least_in", "most_in", "rule_step_in", "welder"]), inner),
    max_leaves=4,
)  # fmt: skip
NAMES = (
    "run entry step act said answer hoped called unit width_in hedge read_back confirmed_by clip "
    "clips confirmed_clip outcome reasons width mode solid heat limits rule from early because "
    "title job software rehearsal"
)
ENTRIES = st.builds(
    Entry,
    seq=st.integers(0, 5),
    at=st.just(datetime(2026, 5, 4, tzinfo=timezone.utc)),
    zone=st.just("-05:00"),
    kind=st.sampled_from(sorted(kinds.ALL)),
    fields=st.fixed_dictionaries(
        {}, optional={**dict.fromkeys(NAMES.split(), VALUES), "run": st.integers(0, 3)}
    ),
    prev=st.just(GENESIS),
    digest=st.just(GENESIS),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(ENTRIES, max_size=6), st.sets(st.integers(0, 5)))
def test_any_record_is_shown(entries, doubtful):
    """However a record was spoiled, its page and its text are made."""
    found = Read(shift_review(entries, doubtful), Verified(len(entries), "abcdef", ("Spoiled.",)))
    page = as_page(found, datetime(2026, 5, 4), lambda _: None)

    assert "The record is not whole" in page
    assert "THE RECORD IS NOT WHOLE" in as_text(found)
