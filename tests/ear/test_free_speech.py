from __future__ import annotations

import numpy as np
import pytest

from assistant.dialogue.notes import GRAMMAR, LONGEST_MS, QUIET_MS
from assistant.ear.gate import FRAME, FRAME_MS, Gate
from assistant.ear.listening import Listening
from assistant.ear.ports import Clip, Heard
from assistant.words.phrase import Grammar

SPEECH, SILENCE, ENDING = 9, 0, 8


class _Levels:
    """Gives each frame the probability that its first sample names."""

    def __call__(self, frame: bytes) -> float:
        return int(np.frombuffer(frame, "<i2")[0]) / 10

    def reset(self) -> None:
        """Nothing to forget."""


class _Recogniser:
    """Hears ``ending`` where nothing but sound of level 8 is in the clip; counts what it gets."""

    def __init__(self, ending: str = "end of note", confidence: float = 1.0) -> None:
        self.ending, self.confidence = ending, confidence
        self.heard_s = 0.0

    def hear(self, clip: Clip, _grammar: Grammar, *, damaged: bool = False) -> Heard:
        levels = set(np.frombuffer(clip.pcm, "<i2")[::FRAME])
        self.heard_s += len(clip.pcm) / 2 / clip.rate_hz
        text = self.ending if levels <= {SILENCE, ENDING} else "[unk]"
        return Heard(text, confidence=self.confidence, clip=clip, damaged=damaged)


def frames(level: int, span_s: float) -> bytes:
    """Return so many seconds of sound of one level."""
    return np.full(FRAME, level, "<i2").tobytes() * round(1000 * span_s / FRAME_MS)


def hear(*parts: tuple[int, float], **how: object) -> tuple[Heard | None, float]:
    """Listen to a note; return what came of it and how many seconds of sound were needed."""
    recogniser = _Recogniser(**how)  # type: ignore[arg-type]
    listening = Listening(recogniser, Gate(_Levels()))
    listening.begin(GRAMMAR, QUIET_MS)
    pushed = 0
    for level, span_s in parts:
        for _ in range(round(1000 * span_s / FRAME_MS)):
            pushed += 1
            heard = listening.push(np.full(FRAME, level, "<i2").tobytes())
            if heard is not None:
                return heard, pushed * FRAME_MS / 1000
    return None, 0.0


def seconds(heard: Heard | None) -> float:
    """Return how long a clip is."""
    assert heard is not None
    assert heard.clip is not None
    return len(heard.clip.pcm) / 2 / heard.clip.rate_hz


def test_quiet_ends_a_note_and_its_pauses_do_not():
    """Shorter pauses belong to it; all of it is in one clip."""
    heard, at_s = hear((SPEECH, 4), (SILENCE, 2), (SPEECH, 5), (SILENCE, 5))

    assert heard is not None
    assert heard.text == "[unk]"
    assert seconds(heard) == pytest.approx(11.1, abs=0.2)
    assert at_s == pytest.approx(14, abs=0.2)


def test_the_ending_words_end_it_at_once():
    """Behind a pause they are heard by themselves, and nobody waits for the long silence."""
    heard, at_s = hear((SPEECH, 4), (SILENCE, 0.8), (ENDING, 1), (SILENCE, 5))

    assert heard is not None
    assert heard.text == "end of note"
    assert at_s == pytest.approx(6.2, abs=0.2)
    assert seconds(heard) == pytest.approx(6, abs=0.2)


def test_stop_is_heard_in_a_note():
    """Whoever says stop behind a pause is heard."""
    heard, _ = hear((SPEECH, 9), (SILENCE, 0.5), (ENDING, 0.5), (SILENCE, 5), ending="stop")

    assert heard is not None
    assert heard.text == "stop"


def test_a_note_is_cut_at_its_longest():
    """Whoever never pauses has half a minute, far longer than an answer."""
    heard, at_s = hear((SPEECH, 40))

    assert heard is not None
    assert heard.text == "[unk]"
    assert at_s == pytest.approx(LONGEST_MS / 1000, abs=0.2)


def test_words_of_before_do_not_end_what_was_said_since():
    """Ending words that were not sure, and then speech up to the cut, are part of the note."""
    heard, _ = hear((ENDING, 1), (SILENCE, 0.5), (SPEECH, 40), confidence=0.3)

    assert heard is not None
    assert heard.text == "[unk]"


def test_long_free_speech_is_not_recognised():
    """A slow machine is spared: only short stretches behind a pause are looked at."""
    recogniser = _Recogniser()
    listening = Listening(recogniser, Gate(_Levels()))
    listening.begin(GRAMMAR, QUIET_MS)
    for part in (frames(SPEECH, 10), frames(SILENCE, 1), frames(SPEECH, 10), frames(SILENCE, 4)):
        listening.push(part)

    assert recogniser.heard_s == 0


def test_the_next_answer_is_cut_as_usual():
    """What a note may last is for the note alone."""
    gate = Gate(_Levels())
    listening = Listening(_Recogniser(), gate)
    listening.begin(GRAMMAR, QUIET_MS)
    listening.begin(Grammar("any", GRAMMAR.phrase), 500)
    got = [listening.push(frames(SPEECH, 1)) for _ in range(13)]

    assert any(heard is not None for heard in got)
