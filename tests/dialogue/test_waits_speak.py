from __future__ import annotations

from dataclasses import replace

import pytest
from support.checklists import SHIPPED
from support.seam import CLEAN, COOL, WIDTH, procedure
from support.talk import Talk
from support.talk import walk as walked

from assistant.dialogue import lines
from assistant.dialogue.attention import left_in_words
from assistant.dialogue.events import MomentCame, StartClock
from assistant.dialogue.prompts import sentences
from assistant.dialogue.state import Phase
from assistant.procedure.loader import load_procedures
from assistant.procedure.model import Moment, Wait

HALF, LAST_MINUTE = Moment(300, "Half the time is over."), Moment(540, "One minute left.")
SPEAKING = replace(COOL, moments=(HALF, LAST_MINUTE))


def waiting():
    """Return a talk at a wait of ten minutes that speaks on its way."""
    talk = Talk(procedure(SPEAKING, CLEAN))
    assert talk.phase is Phase.WAIT
    return talk


def test_the_clock_is_told_of_its_moments():
    """The clock starts with the wait, and knows when something is to be said."""
    assert StartClock(600, (300, 540)) in waiting().turn


def test_a_moment_is_spoken_and_the_wait_goes_on():
    """What the checklist gives for a moment is said, and nothing is written."""
    talk = waiting().send(MomentCame(300))
    assert talk.says == HALF.say
    assert talk.wrote == []

    talk.send(MomentCame(540))
    assert talk.says == LAST_MINUTE.say
    assert talk.phase is Phase.WAIT


def test_a_moment_wakes_nobody():
    """Asleep, a moment is spoken and Lapcall sleeps on."""
    talk = waiting().quiet()
    assert talk.state.asleep
    talk.send(MomentCame(300))

    assert talk.says == HALF.say
    assert talk.state.asleep


@pytest.mark.parametrize("said", ["hold", "mark a void"])
def test_a_moment_does_not_speak_into_something_else(said):
    """On hold, and while something else is asked, a moment passes in silence."""
    talk = waiting().hear(said).send(MomentCame(300))

    assert talk.turn == ()
    assert talk.listening


def test_a_late_moment_is_none():
    """A moment that comes when the wait is over says nothing."""
    talk = waiting().time_up().send(MomentCame(540))

    assert talk.at == "clean"
    assert talk.turn == ()


@pytest.mark.parametrize(
    ("left_s", "said"),
    [
        (0, lines.TIME_UP),
        (1, "About ten seconds left."),
        (61, "About seventy seconds left."),
        (90, "About ninety seconds left."),
        (91, "About two minutes left."),
        (120, "About two minutes left."),
        (121, "About three minutes left."),
        (5400, "About ninety minutes left."),
        (5401, "About one hour and thirty five minutes left."),
        (7200, "About two hours left."),
        (43_200, "About twelve hours left."),
    ],
)
def test_how_much_longer_is_rounded_up(left_s, said):
    """In words, and never less than it is: nobody shall peel a strip too early."""
    assert left_in_words(left_s) == said


def test_how_much_longer_is_answered():
    """Asked in a wait, it says what is left; elsewhere, that no time runs."""
    talk = waiting()
    talk.clock_s = 200

    assert talk.hear("how much longer").says == "About four minutes left."
    assert Talk(procedure(CLEAN)).hear("how much longer").says == lines.NO_CLOCK


def test_a_question_may_take_its_time():
    """A step's own patience counts before the reminder and again before the hold."""
    slow = replace(CLEAN, quiet_s=90)
    talk = Talk(procedure(slow, WIDTH))
    assert talk.listening.quiet_s == 90
    assert talk.quiet().listening.quiet_s == 90

    assert talk.hear("yes").listening.quiet_s == 20


def test_what_a_wait_says_is_rendered_ahead():
    """Nobody waits for the voice in the middle of a wait."""
    assert {HALF.say, LAST_MINUTE.say} <= set(sentences(procedure(SPEAKING)))


@pytest.mark.parametrize("name", sorted(load_procedures(SHIPPED)))
def test_long_waits_that_ship_speak(name):
    """Every shipped wait of five minutes or more says something before its end."""
    waits = [one for one in load_procedures(SHIPPED)[name].steps if isinstance(one, Wait)]

    assert all(one.moments for one in waits if one.seconds >= 300)


def test_the_seam_goes_on_behind_a_wait():
    """The usual way through a wait: its moments, its end, the next question."""
    talk = waiting().send(MomentCame(300)).send(MomentCame(540)).time_up()

    assert walked(talk, {}).finished.ended
