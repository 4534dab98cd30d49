from __future__ import annotations

import sys
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assistant import sound_lock
from assistant.ear.microphone import Microphone, MicrophoneGoneError
from assistant.errors import NoMicrophone


class _PortAudioError(Exception):
    pass


class _Stream:
    def __init__(self, sd: _SoundDevice, **options: Any) -> None:
        self.sd, self.options = sd, options
        self.closed = False

    def start(self) -> None:
        if self.sd.broken:
            raise _PortAudioError("busy")

    def close(self) -> None:
        self.closed = True

    def deliver(self, samples: list[int], *, overflow: bool = False) -> None:
        flags = SimpleNamespace(input_overflow=overflow)
        data = np.array(samples, np.int16).tobytes()
        self.options["callback"](data, len(samples), None, flags)


class _SoundDevice:
    """As much of the sound library as the microphone touches."""

    PortAudioError = _PortAudioError

    def __init__(self) -> None:
        self.devices = [
            {"name": "Laptop", "max_input_channels": 2, "default_samplerate": 48_000.0},
            {"name": "Loudspeaker", "max_input_channels": 0, "default_samplerate": 48_000.0},
            {"name": "Headset", "max_input_channels": 1, "default_samplerate": 16_000.0},
        ]
        self.default = 2
        self.mono = True
        self.broken = False
        self.streams: list[_Stream] = []
        self.restarts = 0

    def query_devices(self, place: int | str | None = None, kind: str | None = None) -> Any:
        if kind is None:
            return self.devices
        if isinstance(place, str):
            found = [about for about in self.devices if place in about["name"]]
            if not found:
                raise ValueError(place)
            return found[0]
        if not self.devices:
            raise _PortAudioError("no default device")
        return self.devices[self.default if place is None else place]

    def check_input_settings(self, _place: Any, **_: Any) -> None:
        if not self.mono:
            raise _PortAudioError("invalid number of channels")

    def RawInputStream(self, **options: Any) -> _Stream:  # noqa: N802 - the library's name
        self.streams.append(_Stream(self, **options))
        return self.streams[-1]

    def _terminate(self) -> None:
        assert sound_lock.open_streams() == 0
        self.restarts += 1

    def _initialize(self) -> None:
        pass


class _Clock:
    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def sd(monkeypatch: pytest.MonkeyPatch) -> _SoundDevice:
    """A fake of the sound library in the place of the real one."""
    fake = _SoundDevice()
    monkeypatch.setitem(sys.modules, "sounddevice", fake)
    return fake


@pytest.fixture
def clock() -> _Clock:
    """A clock that a test moves."""
    return _Clock()


@pytest.fixture
def microphone(sd: _SoundDevice, clock: _Clock):  # noqa: ARG001 - only has to be in place
    """An open microphone on the fake library."""
    microphone = Microphone(clock=clock)
    microphone.open()
    yield microphone
    microphone.close()
    assert sound_lock.open_streams() == 0


def test_blocks_arrive_in_order_with_their_times(
    sd: _SoundDevice, microphone: Microphone, clock: _Clock
):
    """What the device delivers is read in the same order, timed when it came."""
    sd.streams[0].deliver([1, 2])
    clock.now_s += 0.5
    sd.streams[0].deliver([3])
    blocks = [microphone.read(0), microphone.read(0)]

    assert [(np.frombuffer(b.pcm, "<i2").tolist(), b.ended_s, b.damaged) for b in blocks] == [
        ([1, 2], 100.0, False),
        ([3], 100.5, False),
    ]
    assert microphone.read(0) is None


def test_an_overflow_marks_its_block(sd: _SoundDevice, microphone: Microphone):
    """Samples that the device dropped mark the block behind them, and no other."""
    sd.streams[0].deliver([1])
    sd.streams[0].deliver([2], overflow=True)
    sd.streams[0].deliver([3])

    assert [microphone.read(0).damaged for _ in range(3)] == [False, True, False]


def test_a_full_queue_marks_the_next_block(sd: _SoundDevice, microphone: Microphone):
    """Blocks that found no room are missed, so the first one behind them is marked."""
    while not microphone._inlet.queue.full():
        sd.streams[0].deliver([0])
    sd.streams[0].deliver([1])
    while microphone.read(0) is not None:
        pass
    sd.streams[0].deliver([2])
    sd.streams[0].deliver([3])

    assert [microphone.read(0).damaged for _ in range(2)] == [True, False]


def test_silence_of_the_device_is_a_loss(microphone: Microphone, clock: _Clock):
    """No block for 1.5 s means that the device is gone."""
    clock.now_s += 1.4
    assert microphone.read(0) is None
    clock.now_s += 0.2
    with pytest.raises(MicrophoneGoneError, match="Headset went away"):
        microphone.read(0)


def test_a_finished_stream_is_a_loss_once_it_is_read_out(sd: _SoundDevice, microphone: Microphone):
    """What came before the device ended is still heard; then the loss is told."""
    sd.streams[0].deliver([1])
    sd.streams[0].options["finished_callback"]()

    assert microphone.read(0) is not None
    with pytest.raises(MicrophoneGoneError):
        microphone.read(0)


def test_the_same_device_is_looked_for_again(sd: _SoundDevice, microphone: Microphone):
    """After a loss the headset is opened by its name, at its new place; no other will do."""
    laptop, _, headset = sd.devices
    sd.devices = [laptop]
    sd.default = 0
    with pytest.raises(NoMicrophone, match=r"'Headset'.*Microphones seen: Laptop"):
        microphone.open()
    sd.devices = [laptop, headset]
    microphone.open()

    assert sd.streams[-1].options["device"] == 1
    assert sd.restarts == 2


def test_the_library_is_not_restarted_under_the_mouth(sd: _SoundDevice, microphone: Microphone):
    """While another stream plays, the list of devices stays as it is."""
    with sound_lock.sound_lock():
        sound_lock.stream_opened()
    try:
        microphone.open()
    finally:
        sound_lock.stream_closed()

    assert sd.restarts == 0
    assert len(sd.streams) == 2


def test_no_device_at_all_says_what_to_do(sd: _SoundDevice):
    """Without any microphone the message tells what to plug in and what was seen."""
    sd.devices = []
    with pytest.raises(NoMicrophone, match=r"Plug in.*Microphones seen: none"):
        Microphone().open()


def test_a_device_that_will_not_start_is_no_microphone(sd: _SoundDevice):
    """A device that another program holds is refused, and its stream is closed."""
    sd.broken = True
    with pytest.raises(NoMicrophone):
        Microphone().open()

    assert all(stream.closed for stream in sd.streams)
    assert sound_lock.open_streams() == 0


def test_a_missing_library_names_the_package(monkeypatch: pytest.MonkeyPatch):
    """Without PortAudio the message names the package to install."""

    class _Finder:
        def find_spec(self, name: str, *_: Any) -> None:
            if name == "sounddevice":
                raise OSError("PortAudio library not found")

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(sys, "meta_path", [_Finder(), *sys.meta_path])
    with pytest.raises(NoMicrophone, match="apt install libportaudio2"):
        Microphone().open()


def test_two_channels_become_their_mean(sd: _SoundDevice):
    """A device that refuses mono is read in stereo."""
    sd.mono = False
    microphone = Microphone()
    microphone.open()
    sd.streams[0].deliver([100, 300, -2, -4])
    block = microphone.read(0)
    microphone.close()

    assert sd.streams[0].options["channels"] == 2
    assert np.frombuffer(block.pcm, "<i2").tolist() == [200, -3]


def test_other_rates_are_brought_to_ours(sd: _SoundDevice):
    """A device at 48 kHz gives a third as many samples, without a gap between blocks."""
    microphone = Microphone("Laptop")
    microphone.open()
    for _ in range(100):
        sd.streams[0].deliver([500] * 480)
    got = b"".join(iter(lambda: getattr(microphone.read(0), "pcm", b""), b""))
    microphone.close()

    assert len(got) // 2 == pytest.approx(16_000, abs=40)
    assert set(np.frombuffer(got, "<i2")[100:].tolist()) == {500}


def test_reading_a_shut_microphone_is_an_error():
    """Reading before opening is told, not waited for."""
    with pytest.raises(MicrophoneGoneError):
        Microphone().read(0)
