from __future__ import annotations

from dataclasses import replace

import pytest
from support.seam import CLEAN, COOL, DIAL, GOOD_STRIP, GUN, LAST, WIDTH, procedure
from support.talk import Talk, walk

from assistant.dialogue import attention, lines
from assistant.dialogue.prompts import HANDS_BUSY_S, WOKEN_S
from assistant.dialogue.state import Phase, Settings, Trust
from assistant.record import kinds
from assistant.words import grammars
from assistant.words.attention import ATTENTION
from assistant.words.commands import COMMANDS, DONE, phrases_of
from assistant.words.meaning import Command

NAME = ATTENTION[0]
WELD = replace(LAST, hands_busy=True)
CAREFUL = Settings(trust=Trust(answer=0.7, value=0.9))
NOT_MEANT = [
    "[unk]",
    "",
    "mumble",
    "done",
    "ready",
    "yes",
    "carry on",
    "hold",
    "help",
    "fire",
    "lapcall done",
    f"{NAME} [unk]",
    f"[unk] {NAME}",
    f"{NAME} yes",
    "inch and a quarter",
]


def asleep(step=DIAL, *others, settings=CAREFUL):
    """Return a talk that has fallen asleep at its first step."""
    talk = Talk(procedure(step, *others), settings).quiet()
    assert talk.state.asleep
    return talk


@pytest.mark.parametrize("said", NOT_MEANT)
@pytest.mark.parametrize("step", [DIAL, GUN, COOL], ids=lambda step: step.id)
def test_asleep_nothing_else_is_heard(step, said):
    """Chatter, names and our own words without the phrase do nothing at all, not even a sound."""
    talk = asleep(step)
    before = talk.state
    talk.hear(said)

    assert talk.state == before
    assert (talk.says, talk.tones, talk.wrote) == ("", [], [])
    assert talk.listening.grammar is grammars.asleep()


# (state, event) -> (tones, lines written, phase, asleep); one row for each thing that can happen.
TABLE = [
    (DIAL, NAME, 1.0, ["awake", "listening"], [], Phase.BUSY, False),
    (DIAL, NAME, 0.6, [], [], Phase.BUSY, True),
    (DIAL, f"{NAME} done", 1.0, ["heard"], [kinds.DONE], Phase.ANSWER, False),
    (DIAL, f"{NAME} done", 0.6, [], [], Phase.BUSY, True),
    (DIAL, f"{NAME} carry on", 1.0, ["heard"], [kinds.DONE], Phase.ANSWER, False),
    (DIAL, f"{NAME} hold", 1.0, [], [kinds.HELD], Phase.HOLD, False),
    (DIAL, f"{NAME} why", 1.0, [], [], Phase.BUSY, False),
    (DIAL, f"{NAME} go to sleep", 1.0, ["asleep"], [], Phase.BUSY, True),
    (DIAL, f"{NAME} stop", 1.0, [], [kinds.STOPPED], Phase.OVER, False),
    (DIAL, f"{NAME} fire", 1.0, [], [kinds.STOPPED], Phase.OVER, False),
    (DIAL, "stop", 1.0, [], [kinds.STOPPED], Phase.OVER, False),
    (DIAL, "stop", 0.3, ["awake", "listening"], [], Phase.BUSY, False),
    (COOL, NAME, 1.0, ["awake", "listening"], [], Phase.WAIT, False),
    (COOL, f"{NAME} done", 1.0, ["awake", "listening"], [], Phase.WAIT, False),
    (COOL, f"{NAME} carry on", 1.0, ["heard"], [kinds.DONE], Phase.ANSWER, False),
    (COOL, f"{NAME} how much longer", 1.0, [], [], Phase.WAIT, False),
    (GUN, f"{NAME} ready", 1.0, ["heard"], [kinds.DONE], Phase.ANSWER, False),
]


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0].id}, {row[1]}, {row[2]}")
def test_what_wakes_and_what_it_does(row):
    """Each row: asleep at a step, words and how surely they were heard, and what comes of it."""
    step, said, sure, tones, wrote, phase, sleeps = row
    talk = asleep(step, CLEAN).hear(said, confidence=sure)

    sounded = [tone for tone in talk.tones if tone != "listening" or phase is not Phase.ANSWER]
    assert (sounded, talk.wrote, talk.phase) == (tones, wrote, phase)
    assert talk.state.asleep is sleeps


def test_an_unsure_stop_is_asked_for_once_more():
    """Half a "stop" behind a radio ends nothing; said again awake it ends the run at once."""
    talk = asleep().hear("stop", confidence=0.1)
    assert talk.says == lines.STOP_AGAIN
    assert talk.finished is None

    assert talk.hear("stop", confidence=0.1).finished


def test_damaged_sound_wakes_nobody():
    """Where samples were lost, neither the phrase nor its "done" counts."""
    talk = asleep().hear(NAME, f"{NAME} done", damaged=True)

    assert talk.state.asleep


def test_awake_the_phrase_may_be_left_out():
    """With the phrase or without it, "done" is done while Lapcall is awake."""
    assert Talk(procedure(DIAL)).hear("done").finished
    assert Talk(procedure(DIAL)).hear(f"{NAME} done").finished


def test_waking_says_where_we_are():
    """One short sentence, or what is left of a wait, then the tone that it listens."""
    assert asleep(DIAL, CLEAN).hear(NAME).says == "Seam, step one of two."
    talk = asleep(COOL)
    talk.clock_s = 200

    assert talk.hear(NAME).says == "About four minutes left."


def test_it_sleeps_again_by_itself():
    """A wake that nothing follows is over after a short silence."""
    talk = asleep().hear(NAME)
    assert talk.listening.quiet_s == WOKEN_S
    talk.quiet()

    assert talk.state.asleep
    assert talk.tones == ["asleep"]
    assert talk.says == ""


@pytest.mark.parametrize("chatter", ["[unk]", "", "mumble", "yes", "inch and a quarter"])
def test_a_false_wake_hears_one_utterance(chatter):
    """Talk behind a wake by mistake puts it to sleep again; nothing moved, nothing was written."""
    talk = asleep()
    before, wrote = talk.at, len(talk.lines)
    talk.hear(NAME, chatter)

    assert talk.state.asleep
    assert (talk.at, len(talk.lines)) == (before, wrote)


@pytest.mark.parametrize("doubt", [{"confidence": 0.6}, {"damaged": True}])
def test_a_step_is_finished_only_by_its_own_word_surely_heard(doubt):
    """Behind a wake an unsure "done" finishes nothing, and Lapcall sleeps again."""
    talk = asleep().hear(NAME).hear("done", **doubt)

    assert talk.at == "dial"
    assert talk.state.asleep


def test_how_it_is_woken_is_said_once():
    """The first time it says how to wake it; later the tone is enough."""
    talk = asleep()
    assert talk.says == lines.HOW_TO_WAKE
    assert NAME in lines.HOW_TO_WAKE

    assert talk.hear(NAME).quiet().says == ""


def test_talk_beside_busy_hands_puts_it_to_sleep():
    """Awake beside a radio it does not wait for silence that never comes."""
    talk = Talk(procedure(DIAL), CAREFUL).hear(*["[unk]"] * (attention.LETS_PASS - 1))
    assert not talk.state.asleep

    assert talk.hear("mumble").state.asleep


def test_what_is_meant_for_it_counts_anew():
    """A question to Lapcall shows that somebody speaks to it: other talk is counted from there."""
    talk = Talk(procedure(DIAL), CAREFUL).hear("[unk]", "[unk]", "why", "[unk]", "[unk]")

    assert not talk.state.asleep


def test_where_hands_weld_it_sleeps_soon():
    """A step that says that hands are busy is told, and then there is sleep."""
    assert Talk(procedure(WELD)).listening.quiet_s == HANDS_BUSY_S
    assert Talk(procedure(DIAL), Settings(awake_s=90)).listening.quiet_s == 90


@pytest.mark.parametrize("step", [CLEAN, WIDTH], ids=lambda step: step.id)
def test_it_never_sleeps_at_a_question(step):
    """Silence at a question is reminded of and then held; "go to sleep" there is a hold as well."""
    talk = Talk(procedure(step)).quiet().quiet()
    assert talk.phase is Phase.HOLD
    assert not talk.state.asleep

    talk = Talk(procedure(step)).hear("go to sleep")
    assert talk.phase is Phase.HOLD


def test_told_to_sleep_it_sleeps():
    """A word is enough where nobody is asked anything."""
    assert Talk(procedure(DIAL)).hear("go to sleep").state.asleep


def test_it_never_sleeps_where_it_may_not():
    """With sleep turned off, no silence and no talk brings it about; told to, it holds instead."""
    talk = Talk(procedure(DIAL), Settings(awake_s=None)).quiet().hear(*["[unk]"] * 9)
    assert not talk.state.asleep
    assert talk.listening.quiet_s is None

    assert talk.hear("go to sleep").phase is Phase.HOLD


def test_called_at_a_question_it_asks_again():
    """The phrase where it is awake anyway repeats the question, and on hold what ends the hold."""
    talk = Talk(procedure(CLEAN)).hear(NAME)
    assert talk.says == CLEAN.say
    assert talk.state.tries == ()

    assert talk.hear("hold", NAME).says == lines.HOLDING


def test_carry_on_may_be_called_on_hold():
    """Whoever got used to calling is understood there too."""
    talk = Talk(procedure(CLEAN)).hear("hold", f"{NAME} carry on")

    assert talk.phase is Phase.ANSWER


def test_the_clock_runs_in_its_sleep():
    """The end of a wait is spoken by itself, and Lapcall is awake for what follows."""
    talk = asleep(COOL, CLEAN).time_up()

    assert lines.TIME_UP in talk.says
    assert (talk.at, talk.state.asleep) == ("clean", False)


def test_a_mark_may_be_made_in_one_breath():
    """A mark made while it slept is asked about awake, and then it sleeps again."""
    talk = walk(Talk(procedure()), GOOD_STRIP, to="last").quiet()
    assert talk.state.asleep
    talk.hear(f"{NAME} mark a void at twelve feet")
    assert not talk.state.asleep
    talk.hear("yes").quiet()

    assert talk.state.asleep
    assert talk.at == "last"


def test_everything_may_follow_the_phrase():
    """Whatever can be said to busy hands awake can be said asleep, behind the phrase."""
    for said in [*COMMANDS, *DONE]:
        awake = grammars.done().readings(said)
        assert grammars.asleep().readings(f"{NAME} {said}") == awake


def test_asleep_only_stop_needs_no_phrase():
    """Of all that can be said, only the phrase and "stop" are heard alone."""
    alone = {said for said in [*COMMANDS, *DONE] if grammars.asleep().readings(said)}

    assert alone == {"stop", "stop stop", *phrases_of(Command.ATTENTION)}
