from __future__ import annotations

import pytest
from support.seam import GOOD_STRIP, procedure
from support.talk import Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.events import MicrophoneBack, MicrophoneLost
from assistant.dialogue.notes import LONGEST_MS
from assistant.dialogue.state import Phase
from assistant.words.meaning import Command, NoteEnded
from assistant.words.understand import Ask, understand


@pytest.fixture
def talk() -> Talk:
    """A run that waits for the yes to a width, and in it a note that is being spoken."""
    found = walk(Talk(procedure()), GOOD_STRIP, to="width").hear("inch and a half", "make a note")
    assert found.says == lines.NOTE_BEGINS
    return found


def test_a_note_hears_only_its_end(talk):
    """Nothing that is said in a note is an answer: only its last words and stop are heard."""
    assert talk.listening.grammar.free_ms == LONGEST_MS
    assert talk.listening.keep_clip
    heard = {said: understand(said, talk.listening.grammar) for said in ("yes", "one inch", "hold")}

    assert all(isinstance(what, Ask) for what in heard.values())
    assert understand("end of note", talk.listening.grammar) == NoteEnded()
    assert understand("stop", talk.listening.grammar) is Command.STOP


@pytest.mark.parametrize(
    ("text", "length_ms", "ended_by", "told"),
    [
        ("[unk]", 12_400, "quiet", "Note kept. Twelve seconds."),
        ("end of note", 7_000, "words", "Note kept. Seven seconds."),
        ("[unk]", 30_016, "full", "Note kept. Thirty seconds."),
        ("", 1_200, "quiet", "Note kept. One second."),
        ("yes", 900, "quiet", "Note kept. One second."),
    ],
)
def test_a_note_is_kept_as_sound(talk, text, length_ms, ended_by, told):
    """Its clip is named and its length is said; nothing of it is understood as an answer."""
    talk.hear(text, clip="a.wav", length_ms=length_ms, confidence=0.1)

    assert talk.of("note")[0].fields == {
        "step": "width",
        "seam": "14",
        "clip": "a.wav",
        "length_ms": length_ms,
        "said": None,
        "ended_by": ended_by,
        "damaged": False,
    }
    assert talk.says == f"{told} {talk.state.pending.read_back}"
    assert talk.phase is Phase.CONFIRM
    assert talk.wrote == ["note"]


def test_a_note_with_a_gap_is_kept_and_told(talk):
    """Lost samples spoil no number here, so the rest is kept."""
    talk.hear("[unk]", clip="a.wav", length_ms=5_000, damaged=True)

    assert lines.NOTE_DAMAGED in talk.says
    assert talk.of("note")[0].fields["damaged"] is True


def test_a_typed_note_is_kept_as_words(talk):
    """In a rehearsal there is no sound, so the line that was typed is the note."""
    talk.hear("the sheet is damp here")

    assert talk.of("note")[0].fields["said"] == "the sheet is damp here"
    assert talk.of("note")[0].fields["clip"] is None


@pytest.mark.parametrize("said", ["end of note", "", None])
def test_nothing_said_is_no_note(talk, said):
    """Silence, or only the words that end it, leave no note behind."""
    if said is None:
        talk.quiet()
    else:
        talk.hear(said)

    assert talk.of("note") == []
    assert lines.NO_NOTE in talk.says
    assert talk.phase is Phase.CONFIRM


def test_stop_in_a_note_keeps_what_was_said(talk):
    """The note first, then the end: both are on the disk."""
    talk.hear("stop", clip="a.wav", length_ms=9_000)

    assert talk.wrote == ["note", "stopped"]
    assert talk.finished


def test_a_note_outlives_the_microphone(talk):
    """When it hears again, the note is asked for once more."""
    talk.send(MicrophoneLost("unplugged")).send(MicrophoneBack())

    assert lines.NOTE_BEGINS in talk.says
    assert talk.listening.grammar.free_ms == LONGEST_MS
