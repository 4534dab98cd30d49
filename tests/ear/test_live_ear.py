from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from support.ear import MODEL, ROOT
from support.rig import SoundRig

pytestmark = pytest.mark.sound

CLIPS = Path(__file__).with_name("clips")

# Runs in a process of its own: the sound library reads the environment once, at its start.
LISTENER = """
import queue, sys
from pathlib import Path
from assistant.ear.ports import EarBack, EarLost
from assistant.ear.recogniser import Recogniser
from assistant.ear.vosk_ear import VoskEar
from assistant.words.grammars import confirm

recogniser = Recogniser(Path(sys.argv[1]))
grammar = confirm("in")
recogniser.prepare(grammar)
ear, got = VoskEar(recogniser), queue.Queue()
ear.start(got.put)
for _ in range(2):
    ear.open(grammar, 500)
    print("open", flush=True)
    print("heard", got.get(timeout=20).text, flush=True)
for kind in (EarLost, EarBack):
    assert isinstance(got.get(timeout=20), kind)
    print(kind.__name__, flush=True)
ear.open(grammar, 500)
print("open", flush=True)
print("heard", got.get(timeout=20).text, flush=True)
ear.close()
"""


def test_what_is_said_into_the_microphone_is_heard(sound_rig: SoundRig, tmp_path: Path):
    """Speech through a sound card is heard, and heard again after the card went and came back."""
    command = [sys.executable, "-c", LISTENER, str(MODEL)]
    env = {**sound_rig.env, "LAPCALL_CACHE": str(tmp_path), "PYTHONPATH": str(ROOT)}
    process = subprocess.Popen(
        command, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )

    def told() -> str:
        line = process.stdout.readline().strip()
        if not line:
            process.kill()
            pytest.fail(f"the listener ended early:\n{process.stderr.read()}")
        return line

    def said(name: str) -> str:
        assert told() == "open"
        sound_rig.play_mic(CLIPS / f"{name}.wav")
        return told()

    try:
        assert said("yes") == "heard yes"
        assert said("two-and-seven-eighths") == "heard two and seven eighths"
        sound_rig.kill()
        assert told() == "EarLost"
        sound_rig.start()
        assert told() == "EarBack"
        assert said("one-and-an-eighth") == "heard one and an eighth"
        assert process.wait(10) == 0
    finally:
        process.kill()
        process.communicate()
