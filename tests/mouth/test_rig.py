from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pytest
from support.rig import RATE_HZ, SoundRig

pytestmark = pytest.mark.sound


def _tone_wav(path: Path, hz: float) -> np.ndarray:
    samples = (8_000 * np.sin(2 * np.pi * hz * np.arange(RATE_HZ // 2) / RATE_HZ)).astype("<i2")
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE_HZ)
        out.writeframes(samples.tobytes())
    return samples


def test_mic_is_heard_bit_exact(sound_rig: SoundRig, tmp_path: Path):
    """What is played into the microphone comes out of its source unchanged."""
    played = _tone_wav(tmp_path / "tone.wav", 440)
    with sound_rig.capture("mic.monitor") as recorder:
        sound_rig.play_mic(tmp_path / "tone.wav")
        heard = recorder.stop()
    start = int(np.flatnonzero(heard)[0]) - int(np.flatnonzero(played)[0])

    assert np.array_equal(heard[start : start + len(played)], played)


def test_two_rigs_do_not_hear_each_other(sound_rig: SoundRig, tmp_path: Path):
    """Rigs run side by side, each with a sound of its own."""
    _tone_wav(tmp_path / "tone.wav", 440)
    with SoundRig() as other, other.capture("mic.monitor") as recorder:
        sound_rig.play_mic(tmp_path / "tone.wav")
        heard = recorder.stop()

    assert len(heard) > 0
    assert not heard.any()


def test_killed_rig_comes_back(sound_rig: SoundRig):
    """A sound card taken away can be brought back under the same name."""
    sound_rig.kill()
    gone = not sound_rig._answers()
    sound_rig.start()

    assert gone
    assert "speaker" in sound_rig.pactl("list", "short", "sinks")


@pytest.mark.parametrize("hung", [False, True])
def test_stop_leaves_nothing_behind(hung):
    """After its end neither process nor folder of a rig is left, even when the server hung."""
    rig = SoundRig().start()
    server = rig._server
    recorder = rig.capture()
    if hung:
        rig.hang()
    rig.stop()

    assert server is not None
    assert not Path(f"/proc/{server.pid}").exists()
    assert not Path(f"/proc/{recorder._process.pid}").exists()
    assert not rig.folder.exists()
