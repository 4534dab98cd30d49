"""`lapcall work` through a virtual sound card: speech in, speech out, the record between."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from support.rig import SoundRig
from support.short_strip import CHECKLIST
from support.welder import Welder

from assistant.record.clips import unpacked

AUDIO = Path(__file__).parents[2] / "demo" / "audio"
AUDIO_OF_TESTS = Path(__file__).parents[1] / "support" / "audio"
ANSWERS: dict[str, str] = {
    "Which seam?": "seam-twelve",
    "The nozzle burns.": "first-ready",
    "Is the roller clean?": "first-yes",
    "Weld.": "first-done",
    "How did it fail?": "first-film-tearing",
    "How wide?": "first-width",
    "Heat marks?": "first-none",
    "Seam one two. Is that right?": "first-yes",
    "One and one quarter inches. One point two five. Is that right?": "first-yes",
}


def answer_from(answers: dict[str, str]) -> Callable[[str], Path | None]:
    """Return a welder's head: the longest known beginning of what was said decides.

    Several answers to one question are given in turn. A read-back that it does not know is
    denied, as a person would.
    """
    turns = {text: recordings.split() for text, recordings in answers.items()}

    def answer(said: str) -> Path | None:
        if said.endswith("Is that right?") and said not in answers:
            return AUDIO / "second-no.wav"
        known = [text for text in turns if said.startswith(text)]
        if not known:
            return None
        recordings = turns[max(known, key=len)]
        return AUDIO / f"{recordings.pop(0) if len(recordings) > 1 else recordings[0]}.wav"

    return answer


def work(
    rig: SoundRig,
    folder: Path,
    answers: dict[str, str],
    *options: str,
    limit_s: float = 150,
    text: str = CHECKLIST,
) -> tuple[int, Welder, np.ndarray]:
    """Run `lapcall work` with a welder; return its exit code, the welder and what was heard."""
    checklist = folder / "short-strip.yaml"
    checklist.write_text(text, encoding="utf-8")
    command = [sys.executable, "-u", "-m", "assistant", "work", str(checklist), "--once"]
    command += ["--record", str(folder / "record"), "--headset", *options]
    environment = {**rig.env, "LAPCALL_CACHE": os.environ.get("LAPCALL_CACHE", str(folder / "c"))}
    with rig.capture() as recorder:
        welder = Welder(rig, recorder, answer_from(answers))
        with subprocess.Popen(
            command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        ) as process:
            code = welder.work(process, limit_s)
        return code, welder, recorder.samples()


def record_of(folder: Path) -> list[dict[str, object]]:
    """Return the lines of the record."""
    text = (folder / "record" / "record.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


@pytest.mark.sound
def test_a_seam_is_proved_by_voice_alone(sound_rig: SoundRig, tmp_path: Path) -> None:
    """A narrow strip fails, a spoken stop ends, the next start goes on there, and a pass follows.

    What is said into the microphone is what the record holds, and it was read back aloud before.
    """
    narrow = "Seven eighths of an inch. Zero point eight seven five. Less than one inch. "
    first_start = {
        **ANSWERS,
        "How wide?": "first-narrow",
        f"{narrow}Is that right?": "first-yes",
        "Weld.": "first-done first-stop",
    }
    code, welder, heard = work(sound_rig, tmp_path, first_start)

    talk = "\n".join(welder.lines)
    assert code == 0, talk
    lines = record_of(tmp_path)
    assert judged(lines) == [("fail", "7/8")], talk
    assert [row["kind"] for row in lines[-2:]] == ["stopped", "closed"]
    # Lapcall really spoke: seconds of sound, well above silence.
    assert int((np.abs(heard.astype(np.int32)) > 1000).sum()) > 16_000

    code, welder, heard = work(sound_rig, tmp_path, ANSWERS)

    talk = "\n".join(welder.lines)
    assert code == 0, talk
    assert "Which seam?" not in talk
    lines = record_of(tmp_path)
    assert judged(lines) == [("fail", "7/8"), ("pass", "5/4")], talk
    assert next(row for row in lines if row["kind"] == "resumed")["step"] == "weld"
    assert [row["kind"] for row in lines[-2:]] == ["ended", "closed"]
    width = [row for row in lines if row.get("step") == "width" and row["kind"] == "answered"][-1]
    assert width["said"] == "inch and a quarter"
    assert str(width["read_back"]).startswith("One and one quarter inches. One point two five.")
    assert loudest(tmp_path / "record" / "clips" / str(width["clip"])) > 1000


SLEEPY = """\
procedure: small-job
title: Small job
version: "1"
steps:
  - {id: weld, tell: "Weld.", until: done, hands: busy}
  - id: roller
    ask: "Is the roller clean?"
    answer: yes-no
    hoped: "yes"
    otherwise: {say: "Clean it.", then: again}
"""


def beside_a_blower(folder: Path, *names: str, gap_s: float = 2.0) -> Path:
    """Return recordings one after the other, ten decibels above hiss that does not end."""
    voices = [samples_of(AUDIO_OF_TESTS / f"{name}.wav") for name in names]
    gap = np.zeros(int(gap_s * 16_000))
    sound = np.concatenate([part for voice in voices for part in (voice, gap)])
    loud = np.sqrt(np.mean(sound[np.abs(sound) > 500] ** 2))
    hiss = np.random.default_rng(5).normal(0, loud / 10 ** (10 / 20), len(sound))
    path = folder / "beside.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 16_000, 0, "NONE", ""))
        file.writeframes(np.clip(sound + hiss, -32_768, 32_767).astype("<i2").tobytes())
    return path


def samples_of(path: Path) -> np.ndarray:
    """Return the samples of a WAV file of 16 bits."""
    with wave.open(str(path)) as clip:
        return np.frombuffer(clip.readframes(clip.getnframes()), dtype="<i2").astype(float)


@pytest.mark.sound
def test_asleep_talk_does_nothing_and_the_phrase_wakes(sound_rig: SoundRig, tmp_path: Path) -> None:
    """It falls asleep at the weld, sleeps through talk, and takes "done" behind its phrase.

    Beside noise; a second talker says "done", "ready" and "carry on" among other words.
    """
    sleepy = beside_a_blower(tmp_path, "talk-beside", "okay-lapcall-done")
    answers = {"I rest now.": str(sleepy.with_suffix("")), "Is the roller clean?": "first-yes"}
    code, welder, _ = work(sound_rig, tmp_path, answers, text=SLEEPY)

    talk = "\n".join(welder.lines)
    assert code == 0, talk
    assert "[asleep]" in welder.lines
    lines = record_of(tmp_path)
    kinds = [row["kind"] for row in lines]
    assert kinds == ["began", "done", "answered", "ended", "closed"], talk
    assert lines[1]["said"] == "okay lapcall done"


def judged(lines: list[dict[str, object]]) -> list[tuple[object, object]]:
    """Return outcome and width of every verdict."""
    return [(row["outcome"], row["width"]) for row in lines if row["kind"] == "judged"]


def loudest(path: Path) -> int:
    """Return the peak of a clip."""
    pcm, _ = unpacked(path.name, path.read_bytes())
    samples = np.frombuffer(pcm, dtype="<i2")
    return int(np.abs(samples.astype(np.int32)).max())
