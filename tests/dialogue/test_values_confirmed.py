from __future__ import annotations

from fractions import Fraction

import pytest
from support.seam import GOOD_STRIP, SEAM, WIDTH, procedure
from support.talk import Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.state import Phase, Settings, Trust
from assistant.record import kinds
from assistant.words.commands import YES_NO

CAREFUL = Settings(trust=Trust(answer=0.5, value=0.7))
READ_BACK = "One and one quarter inches. Is that right?"


def asked(settings=None):
    """Return a talk that has just asked for a width."""
    return Talk(procedure(WIDTH), settings)


def read_back(settings=None):
    """Return a talk that has read a width back and waits for yes or no."""
    talk = asked(settings).hear("inch and a quarter", confidence=0.9, clip="width.wav")
    assert talk.phase is Phase.CONFIRM
    return talk


def test_a_value_is_read_back_and_counts_after_a_yes():
    """Nothing is written when a value is heard; the yes writes it with all that was said."""
    talk = asked().hear("inch and a quarter", confidence=0.9, clip="width.wav")
    assert talk.says == READ_BACK
    assert talk.of(kinds.ANSWERED) == []

    talk.hear("affirm", confidence=0.8, clip="yes.wav")

    (line,) = talk.of(kinds.ANSWERED)
    assert line.fields == {
        "step": "width",
        "act": "value",
        "said": "inch and a quarter",
        "answer": "5/4",
        "unit": "in",
        "width_in": "5/4",
        "called": "width",
        "hedge": None,
        "lean": None,
        "read_back": READ_BACK,
        "confirmed_by": "affirm",
        "confirmed_clip": "yes.wav",
        "confidence": 0.9,
        "clip": "width.wav",
    }


@pytest.mark.parametrize("said", [said for said, answer in YES_NO.items() if answer.yes])
def test_every_yes_confirms(said):
    """Each way of saying yes makes the value count."""
    talk = read_back().hear(said)

    assert talk.answers() == {"width": "5/4"}
    assert talk.tones[0] == "heard"


@pytest.mark.parametrize("said", [said for said, answer in YES_NO.items() if not answer.yes])
def test_every_no_drops_the_value(said):
    """Each way of saying no asks for the value again, and nothing is written."""
    talk = read_back().hear(said)

    assert talk.of(kinds.ANSWERED) == []
    assert talk.phase is Phase.ANSWER
    assert lines.SAY_AGAIN in talk.says


NO_YES = [
    {"text": "[unk]"},
    {"text": ""},
    {"text": "carry on"},
    {"text": "done"},
    {"text": "ready"},
    {"text": "yes [unk]"},
    {"text": "yes no"},
    {"text": "yes yes"},
    {"text": "yes inch and a half"},
    {"text": "mumble mumble"},
    {"text": "film tearing"},
    {"text": "inch and a half"},
    {"text": "no inch and a half"},
    {"text": "one two five"},
    {"text": "six inches"},
    {"text": "say again"},
    {"text": "why"},
    {"text": "what did you hear"},
    {"text": "where are we"},
    {"text": "what can i say"},
    {"text": "hold"},
    {"text": "go back"},
    {"text": "scratch that"},
    {"text": "stop"},
    {"text": "yes", "damaged": True},
    {"text": "yes", "confidence": 0.4},
    {"text": "yes", "confidence": 0.0},
]


@pytest.mark.parametrize("heard", NO_YES, ids=str)
def test_nothing_but_a_yes_confirms(heard):
    """Chatter, commands, other values, damaged or doubtful words: none makes the value count."""
    how = {name: value for name, value in heard.items() if name != "text"}
    talk = read_back(CAREFUL).hear(heard["text"], **how)

    assert talk.of(kinds.ANSWERED) == []
    assert talk.answers() == {}


def test_silence_never_confirms():
    """Silence reads the value back once more, then holds; only a yes after that counts."""
    talk = read_back().quiet()
    assert READ_BACK in talk.says
    talk.quiet()
    assert talk.phase is Phase.HOLD
    assert talk.of(kinds.HELD)[0].fields["because"] == "quiet"
    talk.quiet().quiet().hear("yes")
    assert talk.of(kinds.ANSWERED) == []

    talk.hear("carry on")
    assert READ_BACK in talk.says
    assert talk.of(kinds.ANSWERED) == []
    talk.hear("yes")

    assert talk.answers() == {"width": "5/4"}


@pytest.mark.parametrize("said", ["no inch and a half", "inch and a half", "wrong inch and a half"])
def test_a_value_again_is_read_back_anew(said):
    """Another value instead of yes takes the place of the first, and waits for its own yes."""
    talk = read_back().hear(said)
    assert talk.says == "One and one half inches. Is that right?"

    assert talk.hear("yes").answers() == {"width": "3/2"}


def test_carry_on_at_a_read_back_repeats_the_value():
    """The yes that follows must follow the value, not the bare question."""
    talk = read_back().hear("carry on")

    assert talk.says == f"{lines.NEED_ANSWER} {READ_BACK}"
    assert talk.hear("yes").answers() == {"width": "5/4"}


@pytest.mark.parametrize("text", ["[unk]", "", "inch and a [unk]"])
def test_chatter_at_a_read_back_repeats_it_once_then_asks_anew(text):
    """What is not understood leaves the value in doubt: said once more, then given up."""
    talk = read_back().hear(text)
    assert talk.says == READ_BACK
    talk.hear(text)

    assert talk.phase is Phase.ANSWER
    assert talk.state.pending is None


@pytest.mark.parametrize("said", ["six inches", "an eighth of an inch", "two and five eighths"])
def test_a_value_outside_the_window_is_asked_again(said):
    """Beyond a quarter inch and two and a half the value is not even read back for a yes."""
    talk = asked().hear(said)

    assert lines.OUTSIDE in talk.says
    assert talk.phase is Phase.ANSWER
    assert talk.of(kinds.ANSWERED) == []


@pytest.mark.parametrize(("said", "width"), [("a quarter", "1/4"), ("two and a half", "5/2")])
def test_the_ends_of_the_window_are_inside(said, width):
    """A value on the edge of the window is taken."""
    assert asked().hear(said, "yes").answers() == {"width": width}


def test_millimeters_are_kept_as_said():
    """The record holds millimeters as millimeters, and the exact inches beside them."""
    talk = asked().hear("thirty two millimetres", "yes")

    fields = talk.of(kinds.ANSWERED)[0].fields
    assert (fields["answer"], fields["unit"]) == ("32", "mm")
    assert Fraction(str(fields["width_in"])) == Fraction(320, 254)


def test_a_hedge_is_kept_in_the_record():
    """Strong and light stay words with a lean, never a number."""
    talk = asked().hear("inch and a quarter strong", "yes")

    fields = talk.of(kinds.ANSWERED)[0].fields
    assert (fields["answer"], fields["hedge"], fields["lean"]) == ("5/4", "strong", "over")
    assert str(fields["read_back"]).startswith("Strong one and one quarter inches")


def test_a_count_that_sounds_like_another_is_read_back_digit_by_digit():
    """Fifteen and fifty sound alike, so a count is said in the form that tells them apart."""
    talk = Talk(procedure(SEAM)).hear("fifteen")
    assert talk.says == "Seam one five. Is that right?"

    talk.hear("no fifty")
    assert talk.says == "Seam five zero. Is that right?"
    assert talk.hear("yes").answers() == {"seam": "50"}
    assert talk.of(kinds.ANSWERED)[0].fields["width_in"] is None


def test_a_doubtful_value_is_not_read_back():
    """Below the trust that a value needs, it is asked again; at it, it is taken."""
    talk = asked(CAREFUL).hear("inch and a quarter", confidence=0.69)
    assert talk.says == lines.NOT_SURE
    assert talk.state.pending is None

    talk.hear("inch and a quarter", confidence=0.7)
    assert talk.phase is Phase.CONFIRM


def test_a_damaged_value_is_never_taken():
    """Where sound was lost the words are not judged, however often, and no try is counted."""
    talk = asked()
    for _ in range(6):
        talk.hear("inch and a quarter", damaged=True)
        assert talk.says == lines.SOUND_LOST

    assert talk.state.tries == ()
    assert talk.phase is Phase.ANSWER


@pytest.mark.parametrize("step", ["clean", "failure", "gun", "dial", "cool"])
def test_damaged_words_answer_nothing(step):
    """Damaged words answer no question, end no wait and free no hands."""
    talk = walk(Talk(procedure()), GOOD_STRIP, to=step)
    before = len(talk.lines)
    for text in ("yes", "no", "film tearing", "done", "ready", "carry on", "go back", "hold"):
        talk.hear(text, damaged=True)

    assert talk.at == step
    assert len(talk.lines) == before


def test_the_clip_of_a_value_is_kept():
    """The ear is told to keep the recording of values and choices, and not of chatter."""
    kept = {}
    walk(
        Talk(procedure()),
        GOOD_STRIP,
        watch=lambda talk: kept.update({talk.at: talk.listening and talk.listening.keep_clip}),
    )

    assert {step for step, keep in kept.items() if keep} == {"seam", "failure", "width", "marks"}
