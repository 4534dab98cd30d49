"""The microphone: blocks of sound at 16 kHz, and an error when the device goes away.

Imports ``sound``, ``errors`` and ``sound_lock``. The audio callback only copies bytes into a
bounded queue; everything else happens on the thread that reads.
"""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import Any

import numpy as np

from assistant.ear.sound import Resampler, Samples
from assistant.errors import NoMicrophone, SoundProblem
from assistant.sound_library import (
    close_stream,
    devices_seen,
    load_sound_library,
    look_again,
    takes_mono,
)
from assistant.sound_lock import sound_lock, stream_opened

BLOCK_MS = 32
"""One frame of the speech gate."""
_HELD_BLOCKS = 30_000 // BLOCK_MS
"""Half a minute: longer than any grammar takes to compile on a slow machine."""
_STALLED_S = 1.5
"""No block for so long means that the device is gone or hangs; blocks usually come every 32 ms."""
_ADVICE = (
    "Plug in or pair a headset, check that it is charged, not muted and chosen as the system's "
    "input, then try again."
)


@dataclass(frozen=True, slots=True)
class Block:
    """A stretch of sound."""

    pcm: bytes
    """Mono, 16 bit, 16 kHz."""
    ended_s: float
    """When its last sample arrived, on the monotonic clock."""
    damaged: bool = False
    """Samples were lost before it or in it."""


class MicrophoneGoneError(SoundProblem):
    """The device stopped delivering sound; open it again."""


class _Inlet:
    """Takes what the device delivers. Called on the audio thread; must not block."""

    def __init__(self, clock: Callable[[], float], held: int = _HELD_BLOCKS) -> None:
        self.queue: queue.Queue[tuple[bytes, float, bool]] = queue.Queue(held)
        self.alive_s = clock()
        self.finished = threading.Event()
        self._clock = clock
        self._lost = False

    def __call__(self, data: Any, _frames: int, _time: object, flags: Any) -> None:  # noqa: ANN401
        self.alive_s = self._clock()
        lost = self._lost or bool(flags.input_overflow)
        try:
            self.queue.put_nowait((bytes(data), self.alive_s, lost))
            self._lost = False
        except queue.Full:
            self._lost = True


class Microphone:
    """The device that the system calls its input, or the one that is named.

    ``open``, ``read`` and ``close`` belong to one thread. After ``MicrophoneGoneError``, ``open``
    looks for the same device again, by its name, whatever else has appeared meanwhile: the
    laptop's own microphone must not take over when a headset's battery dies.

    Args:
        device: part of the name of a microphone; None for the system's input.
    """

    def __init__(
        self, device: str | None = None, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._device = device
        self._name: str | None = None
        self._clock = clock
        self._stream: Any = None
        self._inlet: _Inlet | None = None
        self._resampler: Resampler | None = None
        self._channels = 1

    def open(self) -> None:
        """Begin to record, afresh if it was open already.

        Raises:
            NoMicrophone: there is none that can be used; says what to do.
        """
        self.close()
        with sound_lock():
            sd = _library()
            if self._name is None and self._started(sd):
                return
            # The list of devices is as old as the library's start: look again if we may.
            look_again(sd)
            if not self._started(sd):
                wanted = self._name or self._device
                which = f"named {wanted!r} " if wanted else ""
                raise NoMicrophone(f"No microphone {which}can be used. {_ADVICE} {_seen(sd)}")

    def _started(self, sd: ModuleType) -> bool:
        try:
            self._start(sd)
        except (sd.PortAudioError, ValueError):
            return False
        return True

    def _start(self, sd: ModuleType) -> None:
        place = self._device if self._name is None else _place_of(sd, self._name)
        about = sd.query_devices(place, "input")
        rate_hz = int(about["default_samplerate"])
        self._channels = 1 if takes_mono(sd, "input", place, rate_hz) else 2
        inlet = _Inlet(self._clock)
        stream = sd.RawInputStream(
            samplerate=rate_hz,
            blocksize=rate_hz * BLOCK_MS // 1000,
            device=place,
            channels=self._channels,
            dtype="int16",
            latency="high",
            callback=inlet,
            finished_callback=inlet.finished.set,
        )
        try:
            stream.start()
        except BaseException:
            stream.close()
            raise
        stream_opened()
        self._stream, self._inlet, self._name = stream, inlet, about["name"]
        self._resampler = Resampler(rate_hz)

    def read(self, timeout_s: float) -> Block | None:
        """Return the next block, or None if none came within ``timeout_s``.

        Raises:
            MicrophoneGoneError: the device ended, or delivered nothing for 1.5 s.
        """
        inlet, resampler = self._inlet, self._resampler
        if inlet is None or resampler is None:
            raise MicrophoneGoneError("The microphone is not open.")
        try:
            raw, ended_s, lost = inlet.queue.get(timeout=timeout_s)
        except queue.Empty:
            silent = self._clock() - inlet.alive_s > _STALLED_S
            if inlet.finished.is_set() or silent:
                raise MicrophoneGoneError(
                    f"The microphone {self._name} went away. {_ADVICE}"
                ) from None
            return None
        return Block(resampler.push(self._mono(raw)).tobytes(), ended_s, lost)

    def _mono(self, raw: bytes) -> Samples:
        samples = np.frombuffer(raw, np.int16)
        if self._channels == 1:
            return samples
        both = samples.reshape(-1, 2).astype(np.int32)
        middle: Samples = (both.sum(axis=1) // 2).astype(np.int16)
        return middle

    def close(self) -> None:
        """Give the device back. Safe to call twice."""
        stream, inlet = self._stream, self._inlet
        self._stream = self._inlet = None
        if stream is not None and inlet is not None:
            silent = self._clock() - inlet.alive_s > _STALLED_S
            close_stream(stream, hangs=silent and not inlet.finished.is_set())


def _place_of(sd: ModuleType, name: str) -> int:
    """Return the number of the microphone with exactly this name; raises ``ValueError``."""
    for place, about in enumerate(sd.query_devices()):
        if about["name"] == name and about["max_input_channels"] > 0:
            return place
    raise ValueError(name)


def _library() -> ModuleType:
    return load_sound_library(NoMicrophone)


def _seen(sd: ModuleType) -> str:
    """Return which microphones the system shows, as a sentence."""
    return f"Microphones seen: {devices_seen(sd, 'input')}."
