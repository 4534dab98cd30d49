from __future__ import annotations

import queue
import threading
import time
import wave
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.ear.ports import (
    Clip,
    EarBack,
    EarEnded,
    EarEvent,
    EarLost,
    Heard,
    Quiet,
)
from assistant.ear.scripted import ScriptedEar, TypedEar
from assistant.ear.stepped import SteppedEar
from assistant.ear.wav_ear import WavEar, hear_file
from assistant.errors import ModelProblem, UsageProblem
from assistant.words.grammars import done, yes_no
from assistant.words.phrase import Grammar

SOON_S = 5.0


class _Listener:
    """Opens an ear, and collects what it delivers."""

    def __init__(self, ear: SteppedEar) -> None:
        self.ear = ear
        self.got: queue.Queue[EarEvent] = queue.Queue()
        ear.start(self.got.put)

    def next(self) -> EarEvent:
        self.ear.open(yes_no(), 500)
        return self.got.get(timeout=SOON_S)

    def nothing(self) -> bool:
        time.sleep(0.05)
        return self.got.empty()


@pytest.mark.parametrize(
    ("line", "event"),
    [
        ("yes", Heard("yes")),
        ("  One  AND a Half ", Heard("one and a half")),
        ("...", Quiet()),
        ("silence", Quiet()),
        ("", Heard("")),
        ("[unk]", Heard("[unk]")),
    ],
)
def test_a_typed_line_is_heard(line: str, event: EarEvent):
    """A line becomes words, tidied; two special lines are silence."""
    assert _Listener(TypedEar([line])).next() == event


def test_lines_come_one_for_each_opening():
    """Each opening takes one line; behind the last, every one says that it is over."""
    listener = _Listener(TypedEar(["yes", "no"]))
    events = [listener.next() for _ in range(4)]

    assert events == [Heard("yes"), Heard("no"), EarEnded(), EarEnded()]


def test_nothing_is_fetched_or_delivered_while_shut():
    """Neither before the first opening nor after a delivery is a line read."""
    fetched = []

    def lines() -> Iterator[str]:
        for line in ("yes", "no"):
            fetched.append(line)
            yield line

    listener = _Listener(TypedEar(lines()))

    assert listener.nothing()
    listener.next()
    assert listener.nothing()
    assert fetched == ["yes"]


def test_a_line_typed_into_a_shut_ear_waits():
    """A line that comes after the ear was shut is kept for the next opening."""
    typed: queue.Queue[str] = queue.Queue()
    listener = _Listener(TypedEar(iter(typed.get, "end")))
    listener.ear.open(yes_no(), 500)
    time.sleep(0.05)
    listener.ear.shut()
    typed.put("yes")

    assert listener.nothing()
    assert listener.next() == Heard("yes")


def test_opening_an_open_ear_takes_one_line_only():
    """Opening twice before a line is typed gives that line once."""
    typed: queue.Queue[str] = queue.Queue()
    listener = _Listener(TypedEar(iter(typed.get, "end")))
    listener.ear.open(yes_no(), 500)
    time.sleep(0.05)
    listener.ear.open(yes_no(), 900)
    typed.put("yes")

    assert listener.got.get(timeout=SOON_S) == Heard("yes")
    assert listener.nothing()


def test_the_sink_may_open_the_ear():
    """An ear that is opened from its own sink delivers the next line."""
    ear = TypedEar(["yes", "no"])
    got: list[EarEvent] = []
    done = threading.Event()

    def sink(event: EarEvent) -> None:
        got.append(event)
        ear.open(yes_no(), 500) if len(got) < 2 else done.set()

    ear.start(sink)
    ear.open(yes_no(), 500)

    assert done.wait(SOON_S)
    assert got == [Heard("yes"), Heard("no")]


def test_what_was_made_for_an_older_opening_is_made_again():
    """An item at work when the ear is opened afresh is heard with the new grammar, and once."""
    at_work, go_on = threading.Event(), threading.Event()

    def turn(item: str, grammar: Grammar, _patience_ms: int) -> EarEvent:
        at_work.set()
        go_on.wait(SOON_S)
        return Heard(f"{item} under {grammar.name}")

    listener = _Listener(SteppedEar(["yes"], turn))
    listener.ear.open(yes_no(), 500)
    at_work.wait(SOON_S)
    listener.ear.open(done(), 500)
    go_on.set()

    assert listener.got.get(timeout=SOON_S) == Heard("yes under done")
    assert listener.nothing()


def test_a_broken_pipe_is_an_end():
    """Bytes that are no text end the ear instead of leaving it silent for ever."""

    def lines() -> Iterator[str]:
        yield "yes"
        raise UnicodeDecodeError("utf-8", b"\xff", 0, 1, "no text")

    listener = _Listener(TypedEar(lines()))

    assert [listener.next(), listener.next()] == [Heard("yes"), EarEnded()]


def test_closing_ends_the_thread():
    """A closed ear delivers nothing, and closing twice does no harm."""
    listener = _Listener(TypedEar(["yes"]))
    listener.ear.close()
    listener.ear.close()
    listener.ear.open(yes_no(), 500)

    assert listener.nothing()


def test_a_script_holds_texts_and_ready_events():
    """A scripted ear delivers events as they are and texts as if typed."""
    lost, sure = EarLost("unplugged"), Heard("yes", confidence=0.3)
    listener = _Listener(ScriptedEar(["Hold", lost, EarBack(), sure, "..."]))

    assert [listener.next() for _ in range(5)] == [Heard("hold"), lost, EarBack(), sure, Quiet()]


class _Recogniser:
    """Hears the length of each utterance, or fails."""

    def __init__(self, problem: Exception | None = None) -> None:
        self.heard: list[tuple[Clip, str]] = []
        self._problem = problem

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        if self._problem:
            raise self._problem
        self.heard.append((clip, grammar.name))
        return Heard("yes", clip=clip, damaged=damaged)


Writer = Callable[[str, np.ndarray], Path]


@pytest.fixture
def write(tmp_path: Path) -> Writer:
    """Writes mono samples at 16 kHz to a file."""

    def _write(name: str, samples: np.ndarray) -> Path:
        with wave.open(str(tmp_path / name), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(16_000)
            out.writeframes(samples.astype("<i2").tobytes())
        return tmp_path / name

    return _write


def test_a_file_without_speech_is_heard_as_nothing(write: Writer):
    """Silence reaches no recogniser; the text is empty."""
    recogniser = _Recogniser()
    listener = _Listener(WavEar(recogniser, [write("a.wav", np.zeros(16_000))]))

    assert listener.next() == Heard("", confidence=0.0)
    assert recogniser.heard == []
    assert listener.next() == EarEnded()


def test_a_silence_among_files_is_patience_that_ran_out(write: Writer):
    """Where nobody speaks, the conversation hears what it hears from a quiet microphone."""
    listener = _Listener(WavEar(_Recogniser(), [None, write("a.wav", np.zeros(16_000))]))

    assert listener.next() == Quiet()
    assert listener.next() == Heard("", confidence=0.0)


def test_a_missing_file_is_told_before_anything_begins(write: Writer):
    """A wrong name stops the ear from being made at all."""
    good = write("a.wav", np.zeros(100))
    with pytest.raises(UsageProblem, match=r"b\.wav"):
        WavEar(_Recogniser(), [good, good.with_name("b.wav")])


def test_speech_in_a_file_reaches_the_recogniser(spoken_yes: Path):
    """The first utterance of a file is cut out and heard with the grammar of the opening."""
    recogniser = _Recogniser()
    event = _Listener(WavEar(recogniser, [spoken_yes])).next()
    clip, name = recogniser.heard[0]

    assert isinstance(event, Heard)
    assert (event.text, name) == ("yes", "yes or no")
    assert 0.5 < len(clip.pcm) / 32_000 < 2.5


def test_hear_file_does_the_same_at_once(spoken_yes: Path):
    """One file can be heard without an ear."""
    assert hear_file(spoken_yes, yes_no(), _Recogniser()).text == "yes"


def test_a_recogniser_that_fails_is_told_of(spoken_yes: Path):
    """A problem on the ear's thread arrives as an event, not as silence."""
    ear = WavEar(_Recogniser(ModelProblem("no such word")), [spoken_yes])

    assert _Listener(ear).next() == EarLost("no such word")
