"""Plays sounds on the loudspeaker, and can be cut off within a few hundredths of a second.

Used by ``spoken``. Holds the device only while something sounds: opening takes a few
milliseconds, and a stream kept open would keep the ear from re-initialising PortAudio when a
device went away (see ``assistant.sound_lock``).
"""

from __future__ import annotations

import threading
import time
from types import ModuleType
from typing import Any

from assistant.errors import NoLoudspeaker
from assistant.mouth.sound import Sound, padded, resampled
from assistant.sound_library import (
    close_stream,
    devices_seen,
    load_sound_library,
    look_again,
    takes_mono,
)
from assistant.sound_lock import sound_lock, stream_opened

LEAD_IN_S = 0.1
"""Silence before each sound: HDMI and Bluetooth devices swallow what comes first."""
_STALLED_S = 1.5
"""No sign of life from the device for so long means that it is gone or hangs."""
_ADVICE = (
    "Plug in or pair a headset or loudspeaker, check that it is charged and chosen as the "
    "system's output, then try again."
)


class _Feed:
    """Hands samples to the device. Called on the audio thread; must not block."""

    def __init__(self, data: bytes, cut: threading.Event, stop: type, abort: type) -> None:
        self._data = data
        self._cut = cut
        self._stop = stop
        self._abort = abort
        self._at = 0
        self.alive_at = time.monotonic()
        self.complete = False

    def __call__(self, out: Any, _frames: int, _time: object, _flags: object) -> None:  # noqa: ANN401 - a cffi buffer
        self.alive_at = time.monotonic()
        size = len(out)
        if self._cut.is_set():
            out[:] = bytes(size)
            # Also drops what the device has not played yet.
            raise self._abort
        piece = self._data[self._at : self._at + size]
        self._at += size
        out[:] = piece.ljust(size, b"\0")
        if self._at >= len(self._data):
            self.complete = True
            raise self._stop


class Player:
    """Plays one sound at a time; the caller sees to that.

    Args:
        device: part of the name of a loudspeaker; None for the system's output.
        lead_in_s: silence before each sound.
    """

    def __init__(self, device: str | None = None, lead_in_s: float = LEAD_IN_S) -> None:
        self._device = device
        self._lead_in_s = lead_in_s

    def play(self, sound: Sound, cut: threading.Event) -> bool:
        """Play ``sound`` and wait until it was heard; False when ``cut`` was set on the way.

        Raises:
            NoLoudspeaker: there is none, or it went away.
        """
        if cut.is_set():
            return False
        done = threading.Event()
        stream, feed = self._open(sound, cut, done)
        try:
            while not done.wait(0.1):
                if time.monotonic() - feed.alive_at > _STALLED_S:
                    break
        finally:
            close_stream(stream, hangs=not done.is_set())
        if feed.complete:
            return True
        if cut.is_set():
            return False
        raise NoLoudspeaker(f"The loudspeaker went away. {_ADVICE} {_seen()}")

    def _open(self, sound: Sound, cut: threading.Event, done: threading.Event) -> tuple[Any, _Feed]:
        with sound_lock():
            sd = _library()
            try:
                return self._started(sd, sound, cut, done)
            except (sd.PortAudioError, ValueError):
                # The list of devices is as old as the library's start; look again if we may.
                look_again(sd)
            try:
                return self._started(sd, sound, cut, done)
            except (sd.PortAudioError, ValueError) as problem:
                which = f"named {self._device!r} " if self._device else ""
                raise NoLoudspeaker(
                    f"No loudspeaker {which}can be used ({problem}). {_ADVICE} {_seen()}"
                ) from problem

    def _started(
        self,
        sd: ModuleType,
        sound: Sound,
        cut: threading.Event,
        done: threading.Event,
    ) -> tuple[Any, _Feed]:
        about = sd.query_devices(self._device, "output")
        rate_hz = int(about["default_samplerate"])
        # Some devices refuse mono; none has two channels and refuses to use them.
        channels = 1 if takes_mono(sd, "output", self._device, rate_hz) else 2
        late_s = float(about["default_high_output_latency"])
        # The last buffer is dropped when a stream stops, so it must hold silence only.
        ready = padded(resampled(sound, rate_hz), self._lead_in_s, late_s + 0.05)
        data = ready.samples.astype("<i2").repeat(channels).tobytes()
        feed = _Feed(data, cut, sd.CallbackStop, sd.CallbackAbort)
        stream = sd.RawOutputStream(
            samplerate=rate_hz,
            channels=channels,
            dtype="int16",
            device=self._device,
            latency="high",
            callback=feed,
            finished_callback=done.set,
        )
        try:
            stream.start()
        except BaseException:
            stream.close()
            raise
        stream_opened()
        return stream, feed


def _library() -> ModuleType:
    return load_sound_library(NoLoudspeaker)


def _seen() -> str:
    """Return which loudspeakers the system shows, as a sentence."""
    with sound_lock():
        return f"Loudspeakers seen: {devices_seen(_library(), 'output')}."
