"""A test that is due is said before the checklist, suspects right behind the failed verdict."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from fractions import Fraction

import pytest
from support.talk import Talk, walk

from assistant import places
from assistant.dialogue import events, lines, loop
from assistant.dialogue.proof_said import due_said, suspects_said
from assistant.dialogue.state import Settings
from assistant.dialogue.today import Today
from assistant.mouth.wording import speakable
from assistant.procedure.loader import load_procedure
from assistant.procedure.testing_rules import load_rules
from assistant.weld.due import Due, Reason, Why
from assistant.weld.states import Because, State, Stretch
from assistant.weld.suspects import Accused, Place
from assistant.words.clock import clock_in_words

RULES = load_rules(places.rules_file())
FINISH = load_procedure(places.procedure_file("finish-weld"))
NOW = datetime(2026, 5, 4, 9, 30, tzinfo=timezone.utc)
JOB = {"welder": "A", "gun": "gun three"}
F = Fraction


def said(result: loop.Result) -> str:
    """Return all that one turn says."""
    return " ".join(action.text for action in result[1] if isinstance(action, events.Say))


def begun(today: Today, settings: Settings) -> str:
    """Return what is said when the finish weld begins behind ``today``."""
    return said(loop.begin(FINISH, settings, len(today.lines), {"job": JOB}, today))


def morning(*outcomes: str) -> Today:
    """Return a shift in which a strip was judged each minute from seven on."""
    today, at = Today(now=NOW), NOW.replace(hour=7, minute=0)
    today = today.after("began", {"job": JOB}, 0, at)
    for seq, outcome in enumerate(outcomes, 1):
        fields = {"run": 0, "outcome": outcome, "step": "verdict"}
        today = today.after("judged", fields, seq, at + timedelta(minutes=seq))
    return today


def test_no_strip_yet():
    """The first finish weld of a day begins with what is due and why."""
    told = begun(Today(now=NOW), Settings(rules=RULES))

    assert told.startswith(f"{lines.TEST_DUE} {lines.DUE_NO_TEST} ")


def test_nothing_is_said_where_nothing_is_due():
    """Behind a pass the checklist begins as it is; without rules nothing is ever said."""
    quiet = begun(morning("pass"), Settings(rules=RULES))

    assert lines.TEST_DUE not in quiet
    assert lines.TEST_DUE not in begun(Today(now=NOW), Settings())


def test_a_cut_needs_no_test_weld_first():
    """What is due is said only where a seam is welded behind the strip."""
    cut = load_procedure(places.procedure_file("seam-cut"))
    told = said(loop.begin(cut, Settings(rules=RULES), 0, {"job": JOB}, Today(now=NOW)))

    assert lines.TEST_DUE not in told


def test_a_break_is_told_with_its_time():
    """Why, and since when, in words."""
    today = morning("pass").after(
        "event", {"run": 0, "what": "break", "part": None}, 2, NOW.replace(minute=5)
    )

    assert begun(today, Settings(rules=RULES)).startswith(
        "A peel test is due. There was a break since the last one. Since nine oh five. "
    )


def test_a_failed_strip_names_the_seam_before_it():
    """Seam twelve is welded on a pass; the strip of seam thirteen fails: twelve is suspect."""
    answers = {"seam": "twelve", "failure": "film tearing", "width": "inch and a quarter",
               "whole": "yes", "heat-marks": "none"}  # fmt: skip
    settings = Settings(rules=RULES)
    talk = walk(Talk(FINISH, settings), answers)
    today = Today(now=NOW)
    for line in talk.lines:
        today = today.after(line.kind, line.fields, line.seq)
    state, _ = loop.begin(FINISH, settings, len(talk.lines), {}, today)
    second = Talk(FINISH, settings)
    second.state = state
    second._next_seq = state.next_seq
    heard: list[str] = []
    worse = {**answers, "seam": "thirteen", "width": ["seven eighths", "inch and a quarter"]}
    walk(second, worse, watch=lambda each: heard.append(each.says))
    told = [text for text in heard if lines.SUSPECT in text]

    assert len(told) == 1
    assert told[0].index(lines.FAILED) < told[0].index(lines.SUSPECT)
    assert "Suspect now: seam twelve." in told[0]
    assert "seam twelve, ten feet before its end" in told[0]
    assert lines.SUSPECT_STAYS in told[0]


def stretch(seam: str) -> Stretch:
    """Return a suspect seam."""
    return Stretch(seam, F(0), None, State.SUSPECT, Because.FAILED)


def listed(seams: list[str], *cuts: Place) -> tuple[Accused, ...]:
    """Return one list of suspects."""
    return (Accused(("t",), (None, None), tuple(map(stretch, seams)), cuts),)


SUSPECTS = [
    (listed(["12"], Place("12", F(40), F(0), F(99))), "at forty feet"),
    (listed(["12"], Place("12", F(121, 3), F(0), F(99))), "at forty and one half feet"),
    (listed(["12"], Place("12", None, F(0), None)), "seam twelve, near its middle"),
    (listed(["12", "13"]), "Suspect now: seam twelve and seam thirteen."),
    (listed(["12"]), lines.POOR_LENGTH),
    (listed([str(number) for number in range(1, 10)]), "seam four and five more seams."),
    (listed(["not heard, 07:10"]), "Suspect now: a seam that was not named."),
]


@pytest.mark.parametrize(("accused", "part"), SUSPECTS)
def test_suspects_in_words(accused, part):
    """Seams, where to cut, and no figure that a voice would stumble over."""
    told = suspects_said(accused)

    assert part in told
    assert speakable(told)


def test_nobody_accused_is_silence():
    """Without suspects there is nothing to say."""
    assert suspects_said(()) == ""


@pytest.mark.parametrize("what", ["", "gun", "power", "lot", "dial"])
@pytest.mark.parametrize("why", Why)
def test_every_reason_can_be_spoken(why, what):
    """Each reason is a sentence of words."""
    told = due_said(Due((Reason(why, NOW, what),), None), NOW + timedelta(hours=1))

    assert told.startswith(lines.TEST_DUE)
    assert speakable(told)
    assert told.count(".") == (2 if why is Why.NO_TEST else 3)


CLOCK = [
    ((7, 5), "seven oh five"), ((13, 0), "one o'clock"), ((0, 30), "twelve thirty"),
    ((12, 59), "twelve fifty nine"),
]  # fmt: skip


@pytest.mark.parametrize(("time", "words"), CLOCK)
def test_the_time_of_day_in_words(time, words):
    """As it is said on a roof."""
    assert clock_in_words(NOW.replace(hour=time[0], minute=time[1])) == words
