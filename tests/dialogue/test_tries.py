from __future__ import annotations

import pytest
from support.seam import CLEAN, FAILURE, GOOD_STRIP, SEAM, WIDTH, procedure
from support.talk import Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.state import Phase, Settings
from assistant.record import kinds

ASKED = [CLEAN, FAILURE, WIDTH, SEAM]
by_step = pytest.mark.parametrize("step", ASKED, ids=lambda step: step.id)


@by_step
@pytest.mark.parametrize("noise", ["[unk]", "", "mumble"])
def test_a_radio_talks_no_step_away(step, noise):
    """Four misses in which nothing was meant for Lapcall lead to a hold, however long they last."""
    talk = Talk(procedure(step)).hear(*[noise] * 4)
    assert talk.phase is Phase.HOLD
    assert talk.lines[-1].fields["because"] == "talk"
    talk.hear(*[noise] * 20)

    assert talk.of(kinds.NOT_HEARD) == []
    assert talk.at == step.id
    assert talk.phase is Phase.HOLD


@by_step
@pytest.mark.parametrize("noise", ["[unk]", "", "mumble"])
def test_four_misses_are_logged_as_not_heard(step, noise):
    """Asked, asked again, asked another way twice, then logged as not heard: never a guess.

    That is, once somebody came back from the hold to which misses alone lead.
    """
    talk = Talk(procedure(step)).hear(*[noise] * 4, "carry on")
    if talk.phase is Phase.SECOND_WAY:
        talk.change(phase=Phase.ANSWER)
    phases = []
    for attempt in range(4):
        phases.append(talk.phase)
        talk.hear(noise, clip=f"{attempt}.wav")

    assert phases == [Phase.ANSWER, Phase.ANSWER, Phase.SECOND_WAY, Phase.SECOND_WAY]
    assert talk.of(kinds.ANSWERED) == []
    (line,) = talk.of(kinds.NOT_HEARD)
    assert line.fields["step"] == step.id
    assert line.fields["said"] == [noise] * 4
    assert line.fields["clips"] == ["0.wav", "1.wav", "2.wav", "3.wav"]
    assert talk.answers() == {step.id: None}
    assert lines.NOT_HEARD in talk.says


@pytest.mark.parametrize(
    ("step", "way", "said", "answer"),
    [
        (CLEAN, lines.SECOND_YES_NO, "affirm", "yes"),
        (WIDTH, lines.SECOND_WIDTH, "one decimal two five", "5/4"),
        (WIDTH, lines.SECOND_WIDTH, "thirty two millimeters", "32"),
        (SEAM, lines.SECOND_NUMBER, "one four", "14"),
        (FAILURE, "Number two, clean peel.", "number two", "clean-peel"),
    ],
)
def test_two_misses_open_a_second_way(step, way, said, answer):
    """After two misses other words are offered, and they lead to the same kind of answer."""
    talk = Talk(procedure(step)).hear("[unk]", "[unk]")
    assert way in talk.says
    assert talk.phase is Phase.SECOND_WAY
    talk.hear(said)
    if talk.phase is Phase.CONFIRM:
        talk.hear("yes")

    assert talk.answers() == {step.id: answer}
    assert talk.finished


@by_step
def test_the_second_way_tells_what_can_be_said(step):
    """Asked what can be said, and asked to say it again, the second way names its own words."""
    talk = Talk(procedure(step)).hear("[unk]", "[unk]")
    way = talk.says
    told = talk.hear("what can i say").says
    again = talk.hear("say again").says

    assert again == way
    assert told == (lines.SAYABLE_YES_NO if step is CLEAN else way)


@pytest.mark.parametrize(
    "tries",
    [
        [
            "six inches",
            "one two five",
            "one decimal two five",
            "no",
            "thirty two millimeters",
            "no",
        ],
        ["inch", "no", "about an inch", "one point two", "no", "[unk]"],
        ["inch", "no", "inch", "no", "one decimal two", "no", "one decimal two", "no"],
    ],
)
def test_every_kind_of_miss_counts(tries):
    """Refused, implausible, unclear and unheard tries all count towards not heard."""
    talk = Talk(procedure(WIDTH)).hear(*tries)

    assert talk.answers() == {"width": None}
    assert talk.of(kinds.ANSWERED) == []
    assert len(talk.of(kinds.NOT_HEARD)[0].fields["said"]) == 4


def test_what_is_unclear_is_asked_about():
    """A number without a point is not just "not understood": the question says what is missing."""
    talk = Talk(procedure(WIDTH)).hear("one two five")

    assert "without a point" in talk.says
    assert talk.tones == ["not understood", "listening"]


@by_step
def test_silence_is_reminded_once_then_held(step):
    """Silence is no try and no answer: one reminder, then a hold that waits as long as it takes."""
    talk = Talk(procedure(step)).quiet()
    assert talk.says == f"{lines.STILL_HERE} {step.say}"
    talk.quiet()
    assert talk.says == lines.WILL_WAIT
    assert talk.listening is not None
    assert talk.listening.quiet_s is None
    talk.quiet().quiet()
    assert talk.says == ""

    talk.hear("carry on")
    assert talk.says == step.say
    assert talk.phase is Phase.ANSWER
    assert talk.state.tries == ()


def test_a_reminder_comes_anew_after_an_answer():
    """Each question gets its own reminder before a hold."""
    talk = Talk(procedure(CLEAN, WIDTH)).quiet().hear("yes").quiet()
    assert talk.phase is Phase.ANSWER

    talk.hear("inch").quiet()
    assert talk.phase is Phase.CONFIRM


def test_a_reminder_comes_anew_after_a_hold_and_after_a_mend():
    """Whoever was away, or mended something, is reminded before the next hold."""
    talk = Talk(procedure(CLEAN)).quiet().quiet().hear("carry on").quiet()
    assert (talk.phase, talk.says) == (Phase.ANSWER, f"{lines.STILL_HERE} {CLEAN.say}")
    talk.hear("no", "ready").quiet()

    assert (talk.phase, talk.says) == (Phase.ANSWER, f"{lines.STILL_HERE} {CLEAN.say}")


def test_tries_are_counted_anew_for_each_question():
    """Misses at one question bring the next no nearer to its second way."""
    talk = Talk(procedure(CLEAN, WIDTH)).hear("[unk]", "[unk]", "[unk]", "yes")
    assert (talk.at, talk.phase) == ("width", Phase.ANSWER)

    assert talk.hear("[unk]").phase is Phase.ANSWER
    assert talk.hear("[unk]").phase is Phase.SECOND_WAY


def test_a_dropped_read_back_gets_its_reminder_anew():
    """A question asked anew after scratch that is reminded of before it is held."""
    talk = Talk(procedure(WIDTH)).hear("inch").quiet().hear("scratch that").quiet()

    assert talk.phase is Phase.ANSWER
    assert lines.STILL_HERE in talk.says


@pytest.mark.parametrize("step", ["gun", "dial", "cool"])
def test_chatter_passes_in_silence_while_hands_are_busy(step):
    """Radio, talk and blower beside busy hands advance nothing and get no answer."""
    talk = walk(Talk(procedure(), Settings(awake_s=None)), GOOD_STRIP, to=step)
    before = len(talk.lines)
    for chatter in (
        "[unk]",
        "",
        "mumble",
        "yes",
        "no",
        "inch and a quarter",
        "done [unk]",
        "stop it",
    ):
        talk.hear(chatter)
        assert talk.says == ""
        assert talk.tones == []
    talk.quiet()

    assert talk.at == step
    assert len(talk.lines) == before
