"""A record as welds, tests, faults and happenings."""

from __future__ import annotations

from datetime import datetime, timezone
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.records import JOB, Scribe, scribe

from assistant import places
from assistant.procedure.testing_rules import load_rules
from assistant.proof.now import due_now, newly_accused
from assistant.proof.reading import found
from assistant.proof.rows import Row, rows_of
from assistant.record import kinds
from assistant.review.cover import seams_cover
from assistant.weld.due import Kind, Why
from assistant.weld.seams import resolve
from assistant.weld.work import merged

F = Fraction
RULES = load_rules(places.rules_file())


def strip(made: Scribe, outcome: str = "pass"):
    """Judge a strip."""
    return made.judged(outcome, made.value("width", "inch and a quarter", "5/4"))


def seam_done(made: Scribe, number: int, outcomes: tuple[str, ...] = ("pass",), **more: object):
    """Walk the finish weld of a seam: strips, then the weld."""
    made.begin(**more)
    made.seam(number)
    for outcome in outcomes:
        strip(made, outcome)
    made.line("done", step="weld", act="tell", said="done")
    made.line("ended")


def feet(made: Scribe, step: str, answer: str, called: str = "place", unit: str = "ft"):
    """Answer a question for a place or a length along the seam."""
    return made.value(step, "so many feet", answer, unit=unit, width_in=None, called=called)


def event(made: Scribe, what: str, part: str | None = None):
    """Write an event."""
    more = {"seam": None, "step": "weld", "said": what, "confidence": 1.0, "clip": None}
    return made.line("event", what=what, part=part, **more)


def mark(made: Scribe, seam: str | None, position: str | None, what: str = "void"):
    """Write a mark."""
    return made.line("mark", step="look", seam=seam, what=what, position_ft=position, said=what)


def states(made: Scribe):
    """Return seam, from, to, state of what was written."""
    cover = resolve(found(rows_of(made.record.entries)).work, RULES.cover)
    return [
        (each.seam, str(each.from_ft), each.to_ft and str(each.to_ft), each.state.value)
        for each in cover.stretches
    ]


def test_a_shift_with_a_failed_strip(tmp_path):
    """A strip that fails before the next seam puts the seam before it in question."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        seam_done(made, 13, ("fail", "pass"))

        assert states(made) == [("12", "0", None, "suspect"), ("13", "0", None, "waiting")]


def test_a_pre_weld_is_no_weld_of_the_seam(tmp_path):
    """A weld step with no strip judged before it in its run is the dam, and keeps no water out."""
    with scribe(tmp_path) as made:
        made.begin("pre-weld")
        made.seam(12)
        made.line("done", step="weld", act="tell", said="done")

        assert states(made) == []


def test_a_length_that_is_told_counts_whenever_it_is_told(tmp_path):
    """The seam's length is taken before or behind the weld, in feet or metres."""
    with scribe(tmp_path) as made:
        made.begin()
        made.seam(12)
        strip(made)
        made.line("done", step="weld", act="tell", said="done")
        feet(made, "length", "42", "seam length")
        made.begin()
        made.seam(13)
        feet(made, "length", "3", "seam length", "m")
        strip(made)
        made.line("done", step="weld", act="tell", said="done")

        assert states(made) == [
            ("12", "0", "42", "proven"),
            ("13", "0", str(F(3) / F(3048, 10000)), "waiting"),
        ]


def test_a_mark_is_to_be_repaired(tmp_path):
    """A void that was marked while welding shows at its place."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        mark(made, "12", "25/2")

        assert states(made)[1] == ("12", "12", "13", "to repair")


def test_a_cut_and_its_patch(tmp_path):
    """A strip cut from a seam proves it up to there; patch and clean probe close the hole."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        made.begin()
        strip(made, "fail")
        made.begin("seam-cut")
        made.seam(12)
        feet(made, "cut-at", "20")
        strip(made)
        feet(made, "from", "19")
        feet(made, "to", "21")
        made.line("done", step="patch", act="tell", said="done")
        made.yes_no("probe")

        assert states(made) == [
            ("12", "0", "19", "proven"),
            ("12", "19", None, "suspect"),
        ]
        made.begin()
        strip(made)
        made.begin("seam-cut")
        made.seam(12)
        feet(made, "from", "19")
        feet(made, "to", "21")
        made.line("done", step="patch", act="tell", said="done")
        made.yes_no("probe")
        made.begin()
        strip(made)

        assert states(made)[1] == ("12", "19", "21", "repaired and proven again")


def test_a_place_that_was_not_heard_is_not_the_one_before(tmp_path):
    """The second cut of a run has its own place, or none."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        made.begin("seam-cut")
        made.seam(12)
        feet(made, "cut-at", "20")
        strip(made, "fail")
        made.line("not-heard", step="cut-at", act="value", said=[], clips=[])
        strip(made)
        cuts = found(rows_of(made.record.entries)).work.tests[1:]

    assert [(test.seam, test.at_ft) for test in cuts] == [("12", F(20)), ("12", None)]


def test_what_was_taken_back_or_corrected_does_not_count(tmp_path):
    """A verdict that was corrected counts as it is now, at the time it was first given."""
    with scribe(tmp_path) as made:
        made.begin()
        made.seam(12)
        first = strip(made)
        weld = made.line("done", step="weld", act="tell", said="done")
        made.line("taken-back", step="weld", entry=weld.seq, said="go back")
        made.line("done", step="weld", act="tell", said="done")
        event(made, "changing", "gun")
        made.judged("fail", None, corrects=first.seq, first=first.seq, was="pass")
        known = found(rows_of(made.record.entries))

    assert [test.passed for test in known.work.tests] == [False]
    assert (known.work.tests[0].at, known.work.tests[0].set_up.gun) == (first.at, "gun three")
    assert len(known.work.welds) == 1


@pytest.mark.parametrize("outcome", ["no verdict", "invalid", "foreman decides"])
def test_no_verdict_is_no_test(tmp_path, outcome):
    """What decides nothing neither proves nor accuses."""
    with scribe(tmp_path) as made:
        seam_done(made, 12, ("pass",))
        made.begin()
        strip(made, outcome)

        assert states(made) == [("12", "0", None, "waiting")]


def test_an_outcome_from_elsewhere_accuses(tmp_path):
    """An outcome that this version does not know is not taken for a pass."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        made.begin()
        strip(made, "torn in some new way")

        assert states(made) == [("12", "0", None, "suspect")]


EVENTS = [("break", Kind.BREAK, Why.BREAK), ("power-lost", Kind.POWER_LOST, Why.POWER_LOST),
          ("rain", Kind.RAIN, Why.RAIN)]  # fmt: skip


@pytest.mark.parametrize(("what", "kind", "why"), EVENTS)
def test_an_event_makes_a_test_due(tmp_path, what, kind, why):
    """Said at any moment, it ends the proof from there on."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        written = event(made, what)
        rows = rows_of(made.record.entries)
        state = due_now(rows, RULES, made.record.now(), JOB)

    assert kind in {each.kind for each in found(rows).happenings}
    assert [(each.why, each.since) for each in state.reasons] == [(why, written.local)]


def test_another_gun_is_another_hand(tmp_path):
    """After "changing gun" its strip accuses nothing that the gun before it welded."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        event(made, "changing", "gun")
        before = due_now(rows_of(made.record.entries), RULES, made.record.now(), JOB)
        made.begin()
        strip(made, "fail")

        assert {each.why for each in before.reasons} == {Why.NO_TEST, Why.CHANGED}
        assert states(made) == [("12", "0", None, "waiting")]


def test_a_dial_that_is_told_anew(tmp_path):
    """The dial is part of the set-up once it is said."""
    with scribe(tmp_path) as made:
        made.begin()
        for answer in ("7", "13/2"):
            made.value("dial", "so", answer, unit="mark", width_in=None, called="dial")
            if answer == "7":
                strip(made)
        state = due_now(rows_of(made.record.entries), RULES, made.record.now(), JOB)

    assert [(each.why, each.what) for each in state.reasons] == [(Why.CHANGED, "dial")]


def test_weather_that_is_told(tmp_path):
    """Readings in C and F are one weather."""
    with scribe(tmp_path) as made:
        made.begin()
        made.value("air", "so", "20", unit="C", width_in=None, called="air")
        strip(made)
        made.value("air", "so", "80", unit="F", width_in=None, called="air")
        calm = due_now(rows_of(made.record.entries), RULES, made.record.now(), JOB)
        made.value("air", "so", "85", unit="F", width_in=None, called="air")
        state = due_now(rows_of(made.record.entries), RULES, made.record.now(), JOB)

    assert not calm.due
    assert [(each.why, each.what) for each in state.reasons] == [(Why.WEATHER, "air")]


def test_suspects_are_told_once(tmp_path):
    """The verdict that accuses tells; a second failed strip behind it accuses nobody new."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        made.begin()
        strip(made, "fail")
        first = newly_accused(rows_of(made.record.entries), RULES)
        strip(made, "fail")
        second = newly_accused(rows_of(made.record.entries), RULES)

    assert [stretch.seam for one in first for stretch in one.suspects] == ["12"]
    assert second == ()


def test_copies_of_a_record_are_one(tmp_path):
    """A record merged with a copy of its beginning is itself."""
    with scribe(tmp_path) as made:
        seam_done(made, 12)
        half = found(rows_of(made.record.entries)).work
        seam_done(made, 13, ("fail", "pass"))
        whole = found(rows_of(made.record.entries)).work

    assert resolve(merged(half, whole)).stretches == resolve(whole).stretches


def test_welded_while_a_test_was_due_is_told(tmp_path):
    """A break between the strip and the weld is shown to the foreman."""
    with scribe(tmp_path) as made:
        made.begin()
        made.seam(12)
        strip(made)
        event(made, "break")
        made.line("done", step="weld", act="tell", said="done")
        cover = seams_cover(rows_of(made.record.entries), RULES)

    assert cover.notes == ("Seam 12 was welded at 07:06 while a test was due: a break.",)


# ---- whatever a spoiled record may hold

VALUES = (
    st.none() | st.booleans() | st.integers(-3, 3) | st.text(max_size=4)
    | st.sampled_from(
        ["5/4", "1", "-2", "ft", "m", "seam", "seam length", "place", "value", "fail", "pass",
         "yes-no", "weld", "cut-at", "from", "to", "patch", "probe", "void", "gun", "break",
         "changing", "dial", "air", "F", "9/0"]
    )
    | st.lists(st.integers(), max_size=2) | st.fixed_dictionaries({"welder": st.text(max_size=2)})
)  # fmt: skip
NAMES = (
    "entry step act answer called unit hoped outcome corrects first seam what part position_ft job"
)
ROWS = st.builds(
    Row,
    id=st.sampled_from("abcdef"),
    seq=st.integers(0, 5),
    run=st.none() | st.integers(0, 3),
    at=st.just(datetime(2026, 5, 4, 7, tzinfo=timezone.utc)),
    kind=st.sampled_from(sorted(kinds.ALL)),
    fields=st.fixed_dictionaries({}, optional=dict.fromkeys(NAMES.split(), VALUES)),
)


@settings(max_examples=300, deadline=None)
@given(st.lists(ROWS, max_size=9))
def test_any_record_is_read(rows):
    """However a record was spoiled, its seams are shown and what is due is told."""
    cover = seams_cover(rows, RULES)
    now = datetime(2026, 5, 4, 12, tzinfo=timezone.utc)

    assert all(seam.parts for seam in cover.seams)
    assert due_now(rows, RULES, now, {}).due in (True, False)
    assert newly_accused(rows, RULES) is not None
