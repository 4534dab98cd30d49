from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.errors import VoiceProblem
from assistant.mouth.cache import SoundCache
from assistant.mouth.render_child import english_voice
from assistant.mouth.rendering import COMMAND
from assistant.mouth.sound import trimmed
from assistant.mouth.sound_files import read_sound
from assistant.mouth.voice import Voice

_BROKEN = 'def init():\n    raise RuntimeError("no espeak here")\n'
_MUTE = """\
class Engine:
    def setProperty(self, name, value): pass
    def save_to_file(self, text, out): open(out, "wb").write(bytes(44))
    def runAndWait(self): pass
def init(): return Engine()
"""
_LATE = """\
import threading, time, wave
class Engine:
    def setProperty(self, name, value): pass
    def save_to_file(self, text, out): self.out = out
    def runAndWait(self): threading.Thread(target=self.work).start()
    def work(self):
        time.sleep(0.3)
        with wave.open(self.out, "wb") as out:
            out.setnchannels(1); out.setsampwidth(2); out.setframerate(8000)
            out.writeframes(b"\\1\\2" * 4000)
def init(): return Engine()
"""


@pytest.fixture
def espeak() -> None:
    """Skip where there is no espeak; fail where there has to be one."""
    if shutil.which("espeak-ng") is None:
        why = "espeak-ng not found: apt install espeak-ng"
        if os.environ.get("LAPCALL_NEED_SOUND") == "1":
            pytest.fail(why)
        pytest.skip(why)


def _stub(monkeypatch: pytest.MonkeyPatch, folder: Path, code: str) -> None:
    """Put a speech library of our own in front of the real one, for children only."""
    (folder / "pyttsx3.py").write_text(code, encoding="ascii")
    monkeypatch.setenv("PYTHONPATH", str(folder))


@pytest.mark.usefixtures("espeak")
def test_real_engine_speaks(tmp_path: Path):
    """The real engine renders a sentence in a child: seconds of sound, most of it audible."""
    out = tmp_path / "said.wav"
    command = [*COMMAND, "en-us+f2", "165", str(out)]
    subprocess.run(command, input=b"One and one quarter inches.", check=True, timeout=30)
    sound = read_sound(out.read_bytes())

    # Eight syllables at 165 words a minute.
    assert 1.0 < trimmed(sound).seconds < 2.5
    assert np.abs(sound.samples.astype(int)).max() > 3_000


@pytest.mark.usefixtures("espeak")
def test_every_child_says_its_own_sentence(tmp_path: Path):
    """Rendered at the same time by several threads, no sentence gets another's sound."""
    texts = ["Stop.", "Is the seam cold?", "Check the lap all along before you weld it."]
    voice = Voice(cache=SoundCache(tmp_path))
    seconds: dict[str, float] = {}

    def render(text: str) -> None:
        sound = voice.sound(text, threading.Event())
        seconds[text] = sound.seconds if sound else 0

    threads = [threading.Thread(target=render, args=(text,)) for text in texts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)

    assert sorted(seconds, key=seconds.__getitem__) == texts
    assert seconds[texts[0]] < 0.5 * seconds[texts[1]]


def test_missing_engine_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """When the speech library finds no engine, the user learns what to install."""
    _stub(monkeypatch, tmp_path, _BROKEN)
    voice = Voice(cache=SoundCache(tmp_path / "cache"))
    with pytest.raises(VoiceProblem, match="no espeak here"):
        voice.sound("Wait.", threading.Event())


def test_library_that_returns_too_early_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """The child does not leave before the file is there."""
    _stub(monkeypatch, tmp_path, _LATE)
    sound = Voice(cache=SoundCache(tmp_path / "cache")).sound("Wait.", threading.Event())

    assert sound is not None
    assert sound.seconds > 0.4


def test_header_alone_is_not_taken_for_sound(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """A file that never gets longer than its header is waited for in vain, and told."""
    _stub(monkeypatch, tmp_path, _MUTE)
    voice = Voice(cache=SoundCache(tmp_path / "cache"), timeout_s=0.5)
    with pytest.raises(VoiceProblem, match=r"within 0\.5 seconds"):
        voice.sound("Wait.", threading.Event())


def test_real_child_is_ended_by_a_cut(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """A cut ends the real child, whatever its library is doing."""
    _stub(monkeypatch, tmp_path, _MUTE)
    cut = threading.Event()
    threading.Timer(0.3, cut.set).start()
    began = time.monotonic()
    sound = Voice(cache=SoundCache(tmp_path / "cache")).sound("Wait.", cut)

    assert sound is None
    assert time.monotonic() - began < 2


@pytest.mark.parametrize(
    ("current", "tags", "chosen"),
    [
        ("a", {"a": ["en-US"], "b": ["en_GB"]}, "a"),
        ("a", {"a": ["de-DE"], "b": ["en_GB"]}, "b"),
        (None, {"a": ["fr"], "b": ["\x05en"]}, "b"),
        ("a", {"a": ["de-DE"], "b": []}, None),
        ("a", {"a": ["ende"]}, None),
    ],
)
def test_any_english_voice_will_do(current, tags, chosen):
    """The engine's own voice stays if it is English; else the first English one is taken."""
    voices = [SimpleNamespace(id=name, languages=languages) for name, languages in tags.items()]

    assert english_voice(current, voices) == chosen


def test_child_starts_lightly():
    """The child imports none of the heavy parts, which would cost more than the rendering."""
    code = (
        "import sys, assistant.mouth.render_child;"
        "sys.exit(int('numpy' in sys.modules or 'sounddevice' in sys.modules))"
    )

    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
