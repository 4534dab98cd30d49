"""Measures how soon the mouth sounds and how soon it falls silent; run by hand.

    python tests/bench/mouth_latency.py > tests/bench/results/mouth.md

Each number is taken through the virtual sound card, from the call to the sample that comes out of
the loudspeaker; a real sound card adds its own delay. Also computes how well the processed voice
should be understood beside a blower (speech intelligibility index).
"""

from __future__ import annotations

import datetime
import json
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any

_ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(_ROOT), str(_ROOT / "tests")]

import numpy as np
from support.listening import Span, spans
from support.rig import SoundRig

from assistant.mouth.clarity import clarified
from assistant.mouth.player import LEAD_IN_S
from assistant.mouth.rendering import COMMAND, rendered
from assistant.mouth.sound import Sound, to_wave, trimmed

_ROUNDS = 10
_SENTENCE = "Is the seam cold enough to probe"
_LAST_WORDS = ("now", "here", "there", "today", "again", "first", "then", "yet", "already", "twice")
_CHILD = """
import json, sys, threading, time
from assistant.mouth.ports import Tone
from assistant.mouth.spoken import SpokenMouth
mouth = SpokenMouth()
def tell(what, at): print(json.dumps([what, at]), flush=True)
def timed(what, call, *given):
    at = time.monotonic()
    call(*given)
    tell(what, at)
    time.sleep(0.5)
timed("process's first tone", mouth.tone, Tone.HEARD)
for word in sys.argv[1:]:
    timed("cold", mouth.say, SENTENCE + " " + word)
for word in sys.argv[1:]:
    timed("warm", mouth.say, SENTENCE + " " + word)
for _ in sys.argv[1:]:
    timed("tone", mouth.tone, Tone.HEARD)
def cut_later():
    time.sleep(1.2)
    at = time.monotonic()
    mouth.cut()
    tell("cut", at)
for word in sys.argv[1:]:
    threading.Thread(target=cut_later).start()
    mouth.say(SENTENCE + " " + word)
    time.sleep(0.7)
mouth.close()
"""
_NAMES = {
    "process's first tone": "tone, first sound of the process (loads the sound library)",
    "cold": "sentence, not rendered before",
    "warm": "sentence, from the cache",
    "tone": "tone",
    "cut": "cut to silence",
}

# Band importance for third octaves from 160 Hz to 8 kHz, ANSI S3.5-1997 table 3 (from memory; the
# values sum to 1 as they must).
_BANDS_HZ = (160, 200, 250, 315, 400, 500, 630, 800, 1000)
_BANDS_HZ += (1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000)
_WEIGHTS = (83, 95, 150, 289, 440, 578, 653, 711, 818, 844, 882, 898, 868, 844, 771, 527, 364, 185)


def _measured(load: int) -> dict[str, list[float]]:
    """Return milliseconds for each kind of event, with ``load`` busy processes beside it."""
    busy = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(load)]
    try:
        with (
            tempfile.TemporaryDirectory() as cache,
            SoundRig() as rig,
            rig.capture() as recorder,
        ):
            code = _CHILD.replace("SENTENCE", repr(_SENTENCE))
            env = {**rig.env, "LAPCALL_CACHE": cache, "PYTHONPATH": str(_ROOT)}
            command = [sys.executable, "-c", code, *_LAST_WORDS[:_ROUNDS]]
            done = subprocess.run(command, env=env, capture_output=True, text=True, check=True)
            recorder.stop()
            facts = [json.loads(line) for line in done.stdout.splitlines()]
            return _delays_ms(facts, spans(recorder, rest_s=0.4))
    finally:
        for process in busy:
            process.kill()
            process.wait()


def _delays_ms(facts: list[list[Any]], heard: list[Span]) -> dict[str, list[float]]:
    delays: dict[str, list[float]] = {}
    for what, at in facts:
        if what == "cut":
            span = next(span for span in heard if span.began_s <= at <= span.ended_s + 0.2)
            delays.setdefault(what, []).append(1000 * (span.ended_s - at))
        else:
            span = next(span for span in heard if span.began_s > at)
            delays.setdefault(what, []).append(1000 * (span.began_s - at))
    return delays


def _band_levels_db(sound: Sound) -> np.ndarray:
    """Return the level in each band at equal peak."""
    wave = to_wave(sound)
    wave /= np.abs(wave).max()
    power = np.abs(np.fft.rfft(wave)) ** 2 / len(wave) ** 2
    hz = np.fft.rfftfreq(len(wave), 1 / sound.rate_hz)
    edges = [(band / 2 ** (1 / 6), band * 2 ** (1 / 6)) for band in _BANDS_HZ]
    return np.array([10 * np.log10(power[(hz >= a) & (hz < b)].sum() + 1e-12) for a, b in edges])


def _index(speech_db: np.ndarray, noise_db: np.ndarray) -> float:
    """Return the speech intelligibility index: 1 when all of speech's 30 dB clear the noise."""
    audible = np.clip((speech_db - noise_db + 15) / 30, 0, 1)
    return float(audible @ np.array(_WEIGHTS) / sum(_WEIGHTS))


def _clarity_rows() -> list[str]:
    text = "One and one quarter inches. Is that right? Check the lap for cold welds and voids."
    raws: dict[str, Sound] = {}
    for voice in ("en-us", "en-us+f2"):
        order = (*COMMAND, voice, "165", "OUT")
        raw = rendered(order, text, threading.Event(), 20)
        if raw is not None:
            raws[voice] = trimmed(raw)
    # A blower's noise: broad, falling 5 dB an octave; so loud that plain en-us scores 0.45.
    slope_db = -5 * np.log2(np.array(_BANDS_HZ) / 1000)
    levels_db = np.arange(-90, 0, 0.1)
    plain_db = _band_levels_db(raws["en-us"])
    scores = [_index(plain_db, slope_db + level) for level in levels_db]
    noise_db = slope_db + levels_db[int(np.abs(np.array(scores) - 0.45).argmin())]
    rows = []
    for voice, raw in raws.items():
        before, after = (
            _index(_band_levels_db(sound), noise_db) for sound in (raw, clarified(raw))
        )
        rows.append(f"| {voice} | {before:.2f} | {after:.2f} |")
    return rows


def _processor() -> str:
    info = Path("/proc/cpuinfo")
    lines = info.read_text().splitlines() if info.exists() else []
    named = [line.split(":")[1].strip() for line in lines if line.startswith("model name")]
    return named[0] if named else platform.processor()


def main() -> None:
    """Measure and write the page to standard output."""
    out = sys.stdout.write
    day = datetime.datetime.now(tz=datetime.timezone.utc).date()
    out("# The mouth's delays\n\n")
    out(f"{day}; {platform.system()}, Python {platform.python_version()}, {os.cpu_count()} cores ")
    out(f"of {_processor()}; virtual sound card. Written by `tests/bench/mouth_latency.py`.\n\n")
    out(f"Milliseconds from the call to the sound, with the {1000 * LEAD_IN_S:.0f} ms of lead-in ")
    out(f"silence; median (worst) of {_ROUNDS}. True to some 10 ms; a real sound card adds its ")
    out("own delay.\n\n")
    idle, loaded = _measured(0), _measured(os.cpu_count() or 1)
    out("| what | no load of ours | all cores kept busy |\n|---|---|---|\n")
    for what, name in _NAMES.items():
        cells = [
            f"{statistics.median(run[what]):.0f} ({max(run[what]):.0f})" for run in (idle, loaded)
        ]
        out(f"| {name} | {cells[0]} | {cells[1]} |\n")
    out("\nSpeech intelligibility index at equal peak beside noise that falls 5 dB an octave, so ")
    out("loud that plain en-us has 0.45:\n\n| voice | raw | processed |\n|---|---|---|\n")
    out("\n".join(_clarity_rows()) + "\n")


if __name__ == "__main__":
    main()
