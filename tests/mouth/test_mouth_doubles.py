from __future__ import annotations

import io

import pytest

from assistant.mouth.ports import Mouth, Tone
from assistant.mouth.scripted import PrintedMouth, ScriptedMouth


def test_scripted_mouth_remembers_in_order():
    """What was said and what tone was played stands in one list, in order."""
    mouth = ScriptedMouth(cut_off=("Now go.",))
    whole = mouth.say("Wait.")
    mouth.tone(Tone.PASSED)
    cut = mouth.say("Now go.")

    assert mouth.uttered == [("say", "Wait."), ("tone", Tone.PASSED), ("say", "Now go.")]
    assert mouth.said == ["Wait.", "Now go."]
    assert (whole, cut) == (True, False)


def test_printed_mouth_writes_lines():
    """A rehearsal reads what would have been heard."""
    out = io.StringIO()
    mouth = PrintedMouth(out)
    mouth.tone(Tone.LISTENING)
    mouth.say("Is the seam cold?")

    assert out.getvalue() == "[listening]\nLapcall: Is the seam cold?\n"


def test_silent_mouth_writes_nothing():
    """Silent means silent, on paper too."""
    out = io.StringIO()
    mouth = PrintedMouth(out, silent=True)
    mouth.tone(Tone.FAILED)

    assert mouth.say("Wait.") is True
    assert out.getvalue() == ""


@pytest.mark.parametrize("mouth", [ScriptedMouth(), PrintedMouth(io.StringIO())])
def test_doubles_refuse_what_no_voice_can_say(mouth: Mouth):
    """A test or rehearsal meets unspeakable text as the real mouth would."""
    with pytest.raises(ValueError, match="spoken"):
        mouth.say("1 1/4 in")
