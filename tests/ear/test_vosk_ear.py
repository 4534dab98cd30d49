from __future__ import annotations

import queue
import threading
import time
from collections.abc import Iterator

import numpy as np
import pytest

from assistant.ear.gate import FRAME, FRAME_MS, Gate, GateSettings
from assistant.ear.microphone import Block, MicrophoneGoneError
from assistant.ear.patience import PatienceSettings
from assistant.ear.ports import Clip, EarBack, EarEnded, EarEvent, EarLost, Heard
from assistant.ear.vosk_ear import VoskEar
from assistant.errors import ModelProblem, NoMicrophone
from assistant.words.grammars import done, yes_no
from assistant.words.phrase import Grammar

SOON_S = 5.0
PATIENCE_MS = round(4 * FRAME_MS)


class _Chance:
    """The first sample of a frame, in tenths, is its probability of speech."""

    def __call__(self, frame: bytes) -> float:
        return int(np.frombuffer(frame, "<i2")[0]) / 10

    def reset(self) -> None:
        """Has nothing to forget."""


class _Source:
    """A microphone that gives what a test puts in."""

    def __init__(self) -> None:
        self.blocks: queue.Queue[Block | Exception] = queue.Queue()
        self.opened = 0
        self.closed = 0
        self.refuse = 0
        self.threads: set[int] = set()

    def open(self) -> None:
        self.opened += 1
        if self.refuse:
            self.refuse -= 1
            raise NoMicrophone("none")

    def read(self, timeout_s: float) -> Block | None:
        self.threads.add(threading.get_ident())
        try:
            block = self.blocks.get(timeout=min(timeout_s, 0.02))
        except queue.Empty:
            return None
        if isinstance(block, Exception):
            raise block
        return block

    def close(self) -> None:
        self.closed += 1

    def say(self, levels: str, at_s: float | None = None, *, damaged: bool = False) -> None:
        """Put one frame in for each digit."""
        for level in levels:
            pcm = np.full(FRAME, int(level), "<i2").tobytes()
            self.blocks.put(Block(pcm, time.monotonic() if at_s is None else at_s, damaged))


class _Recogniser:
    """Hears each utterance as the digits of its frames."""

    def __init__(self) -> None:
        self.grammars: list[str] = []
        self.problem: Exception | None = None
        self.meanwhile = lambda: None

    def prepare(self, grammar: Grammar) -> None:
        self.grammars.append(grammar.name)
        if self.problem:
            raise self.problem

    def hear(self, clip: Clip, _grammar: Grammar, *, damaged: bool = False) -> Heard:
        self.meanwhile()
        levels = np.frombuffer(clip.pcm, "<i2")[::FRAME]
        return Heard("".join(map(str, levels)), damaged=damaged)


class _Rig:
    def __init__(self) -> None:
        self.source = _Source()
        self.recogniser = _Recogniser()
        settings = GateSettings(begin_ms=2 * FRAME_MS, pre_roll_ms=FRAME_MS)
        self.ear = VoskEar(self.recogniser, self.source, Gate(_Chance(), settings=settings))
        self.got: queue.Queue[EarEvent] = queue.Queue()

    def start(self) -> _Rig:
        self.ear.start(self.got.put)
        return self

    def next(self) -> EarEvent:
        return self.got.get(timeout=SOON_S)

    def nothing(self) -> bool:
        time.sleep(0.1)
        return self.got.empty()


@pytest.fixture
def rig() -> Iterator[_Rig]:
    """A live ear with a fake microphone."""
    rig = _Rig().start()
    yield rig
    rig.ear.close()


def test_one_utterance_is_heard_for_each_opening(rig: _Rig):
    """An utterance arrives once it is over; then the ear is shut."""
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("0099800009988000")

    assert rig.next() == Heard("09980000")
    assert rig.nothing()


def test_sound_of_before_the_opening_is_forgotten(rig: _Rig):
    """What was recorded before the ear was opened is never heard."""
    before_s = time.monotonic() - 1
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("999", before_s)
    rig.source.say("0880000")

    assert rig.next() == Heard("0880000")


def test_nothing_is_heard_while_shut(rig: _Rig):
    """Neither before the first opening nor after shutting."""
    rig.source.say("9990000")
    assert rig.nothing()
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("999")
    time.sleep(0.05)
    rig.ear.shut()
    rig.source.say("0000")

    assert rig.nothing()


def test_shutting_while_it_is_recognised_drops_the_utterance(rig: _Rig):
    """Once shut has returned nothing arrives, even if the recogniser was at work."""
    at_work, go_on = threading.Event(), threading.Event()

    def meanwhile() -> None:
        at_work.set()
        go_on.wait(SOON_S)

    rig.recogniser.meanwhile = meanwhile
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("9990000")
    at_work.wait(SOON_S)
    rig.ear.shut()
    go_on.set()

    assert rig.nothing()


def test_opening_an_open_ear_begins_afresh(rig: _Rig):
    """An utterance in progress is dropped and the new grammar counts."""
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("999")
    time.sleep(0.1)
    rig.ear.open(done(), PATIENCE_MS)
    rig.source.say("08890000")

    assert rig.next() == Heard("08890000")
    assert rig.recogniser.grammars == ["yes or no", "done"]


def test_the_sink_may_open_the_ear():
    """An ear opened from its own sink hears the next utterance."""
    rig = _Rig()
    got: queue.Queue[EarEvent] = queue.Queue()

    def sink(event: EarEvent) -> None:
        got.put(event)
        rig.ear.open(yes_no(), PATIENCE_MS)

    rig.ear.start(sink)
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("9990000")
    first = got.get(timeout=SOON_S)
    rig.source.say("08880000")

    assert [first, got.get(timeout=SOON_S)] == [Heard("9990000"), Heard("08880000")]
    rig.ear.close()


def test_lost_samples_reach_the_dialogue(rig: _Rig):
    """An utterance with a hole in it is marked."""
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("999")
    rig.source.say("9", damaged=True)
    rig.source.say("0000")
    event = rig.next()

    assert isinstance(event, Heard)
    assert event.damaged


def test_a_lost_microphone_is_told_of_and_got_back(rig: _Rig):
    """The loss is told once, opening is tried until it works, and hearing goes on."""
    rig.source.refuse = 2
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("999")
    rig.source.blocks.put(MicrophoneGoneError("unplugged"))

    assert [rig.next(), rig.next()] == [EarLost("unplugged"), EarBack()]
    assert rig.source.opened == 1 + 3
    rig.source.say("000880000")
    # The 999 of before the loss is no part of it.
    assert rig.next() == Heard("0880000")


def test_closing_while_the_microphone_is_away_ends_the_thread():
    """An ear without a microphone can be closed at once."""
    rig = _Rig().start()
    rig.source.refuse = 1_000
    rig.source.blocks.put(MicrophoneGoneError("unplugged"))
    rig.next()
    began = time.monotonic()
    rig.ear.close()

    assert time.monotonic() - began < 1
    assert rig.source.closed == 1


def test_no_microphone_at_the_start_is_an_error():
    """Starting without a microphone raises, and there is no thread to end."""
    rig = _Rig()
    rig.source.refuse = 1
    with pytest.raises(NoMicrophone):
        rig.start()
    rig.ear.close()


def test_a_failure_on_the_ears_thread_ends_the_ear_aloud(rig: _Rig):
    """A grammar that cannot be heard is told of, and the conversation learns that it is over."""
    rig.recogniser.problem = ModelProblem("the lexicon lacks zyxx")
    rig.ear.open(yes_no(), PATIENCE_MS)

    assert rig.next() == EarLost("Hearing failed: the lexicon lacks zyxx")
    assert rig.next() == EarEnded()


def test_all_work_is_done_on_one_thread(rig: _Rig):
    """The microphone is read by one thread, which is not the caller's."""
    rig.ear.open(yes_no(), PATIENCE_MS)
    rig.source.say("9990000")
    rig.next()

    assert len(rig.source.threads) == 1
    assert threading.get_ident() not in rig.source.threads


def test_closing_twice_gives_the_microphone_back_once(rig: _Rig):
    """Closing is safe to repeat."""
    rig.ear.close()
    rig.ear.close()

    assert rig.source.closed == 1


LONG_MS = round(10 * FRAME_MS)


class _Reads(_Recogniser):
    """Hears words: as many of its script as there were bursts of speech. Keeps every clip."""

    def __init__(self, *script: str) -> None:
        super().__init__()
        self.script = script
        self.clips: list[str] = []

    def hear(self, clip: Clip, _grammar: Grammar, *, damaged: bool = False) -> Heard:
        levels = "".join(map(str, np.frombuffer(clip.pcm, "<i2")[::FRAME]))
        self.clips.append(levels)
        self.meanwhile()
        bursts = len([part for part in levels.split("0") if part])
        return Heard(" ".join(self.script[:bursts]), clip=clip, damaged=damaged)


def _patient(*script: str) -> tuple[_Rig, _Reads]:
    """Return a rig that keeps two frames of a pause, so that it looks after two."""
    rig, reads = _Rig(), _Reads(*script)
    pause_ms = 2 * FRAME_MS
    settings = GateSettings(
        begin_ms=pause_ms, pre_roll_ms=FRAME_MS, post_roll_ms=pause_ms, look_ms=pause_ms
    )
    rig.recogniser = reads
    rig.ear = VoskEar(reads, rig.source, Gate(_Chance(), settings=settings))
    return rig.start(), reads


@pytest.fixture
def yes() -> Iterator[tuple[_Rig, _Reads]]:
    """An ear that hears "yes", then "that"."""
    rig, reads = _patient("yes", "that")
    yield rig, reads
    rig.ear.close()


def test_behind_yes_nobody_waits(yes: tuple[_Rig, _Reads]):
    """What nothing can follow is handed over as soon as it is known, and recognised once."""
    rig, reads = yes
    rig.ear.open(yes_no(), round(20 * FRAME_MS))
    rig.source.say("0999" + "0" * 10)
    event = rig.next()

    assert isinstance(event, Heard)
    assert event.text == "yes"
    assert reads.clips == ["099900"]


def test_speech_that_goes_on_behind_a_pause_is_heard_whole():
    """Inside a phrase the ear waits; when more is said, all of it is recognised again."""
    rig, reads = _patient("that is", "right")
    rig.ear.open(yes_no(), LONG_MS)
    rig.source.say("09990000009990" + "0" * 20)
    event = rig.next()
    rig.ear.close()

    assert isinstance(event, Heard)
    assert event.text == "that is right"
    assert reads.clips == ["099900", "0999000000999" + "00"]


def test_what_was_heard_at_a_pause_is_the_answer_if_no_more_comes():
    """Nothing is recognised twice: the words of the pause are handed over when it ends."""
    rig, reads = _patient("that is")
    rig.ear.open(yes_no(), LONG_MS)
    rig.source.say("0999" + "0" * 15)
    event = rig.next()
    rig.ear.close()

    assert isinstance(event, Heard)
    assert event.text == "that is"
    assert len(reads.clips) == 1


def test_samples_lost_behind_a_look_still_damage_the_answer():
    """Words may have been lost in the pause: the answer that is kept is marked."""
    rig, _ = _patient("that is")
    rig.ear.open(yes_no(), LONG_MS)
    rig.source.say("0999000")
    rig.source.say("0", damaged=True)
    rig.source.say("0" * 15)
    event = rig.next()
    rig.ear.close()

    assert isinstance(event, Heard)
    assert event.damaged


def test_shutting_while_a_pause_is_looked_at_drops_the_utterance(yes: tuple[_Rig, _Reads]):
    """Shut in the middle of an early look, the ear hands over nothing, and hears the next one."""
    rig, reads = yes
    at_work, go_on = threading.Event(), threading.Event()

    def meanwhile() -> None:
        at_work.set()
        go_on.wait(SOON_S)

    reads.meanwhile = meanwhile
    rig.ear.open(yes_no(), LONG_MS)
    rig.source.say("0999" + "0" * 10)
    at_work.wait(SOON_S)
    rig.ear.shut()
    go_on.set()

    assert rig.nothing()
    rig.ear.open(yes_no(), LONG_MS)
    rig.source.say("0999" + "0" * 10)
    assert rig.next()


def test_many_pauses_are_not_all_looked_at():
    """A blower that seems to speak and pause for long must not keep a slow machine busy."""
    rig, reads = _patient(*["[unk]"] * 20)
    rig.ear.open(yes_no(), LONG_MS)
    rig.source.say("09" + "999000" * 10 + "0" * 20)
    rig.next()
    rig.ear.close()

    assert len(reads.clips) == PatienceSettings().most_looks + 1


def test_the_ear_tells_whether_somebody_speaks(yes: tuple[_Rig, _Reads]):
    """From the first speech until it is delivered, not before and not after."""
    rig, _ = yes
    rig.ear.open(yes_no(), LONG_MS)
    before = rig.ear.speaking
    rig.source.say("0999")
    deadline = time.monotonic() + SOON_S
    while not rig.ear.speaking and time.monotonic() < deadline:
        time.sleep(0.005)
    meanwhile = rig.ear.speaking
    rig.source.say("0" * 10)
    rig.next()

    assert (before, meanwhile, rig.ear.speaking) == (False, True, False)
