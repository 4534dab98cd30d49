"""Put recordings of people and of noise beside the synthetic speech, in the same form.

Run: ``python recordings.py DATA --digits DIGITS --noise NOISE``; either may be left out. DIGITS
holds ``DIGIT_SPEAKER_INDEX.wav`` at 8 kHz (Free Spoken Digit Dataset, CC BY-SA 4.0), NOISE any WAV
files. Writes the corpus DATA/people, and DATA/noise.flac with noise.json.

One of the speakers and the noises in ``HELD_OUT_NOISE`` are for testing alone.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import numpy as np
import soundfile
from corpus import write_rows
from noise import HELD_OUT_NOISE
from numpy.typing import NDArray
from scipy.signal import resample_poly
from voices import HELD_OUT_PEOPLE

RATE = 16_000
_DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_PEAK = 0.6


def at_rate(path: Path) -> NDArray[np.float64]:
    """Return a WAV file as one channel at 16 kHz, its peak at 0.6."""
    sound, rate = soundfile.read(path, dtype="float64", always_2d=True)
    level = resample_poly(sound.mean(axis=1), RATE, rate)
    return np.asarray(level / max(1e-6, float(np.abs(level).max())) * _PEAK)


def _waves(folder: Path) -> list[Path]:
    found = sorted(folder.glob("*.wav"))
    if not found:
        raise SystemExit(f"There are no WAV files in {folder}.")
    return found


def write_people(digits: Path, corpus: Path) -> None:
    """Write the digits as a corpus."""
    corpus.mkdir(parents=True, exist_ok=True)
    said, listed, sounds, at = [], [], [], 0
    for number, path in enumerate(_waves(digits)):
        digit, speaker, _ = path.stem.split("_")
        split = "test" if speaker in HELD_OUT_PEOPLE else "train"
        text = _DIGITS[int(digit)]
        one = {"text": text, "kind": "digit", "split": split, "voice": [speaker]}
        said.append({"id": number, **one})
        sound = (at_rate(path) * 32767).astype("<i2")
        listed.append([number, at, len(sound)])
        sounds.append(sound)
        at += len(sound)
    (corpus / "w0.pcm").write_bytes(np.concatenate(sounds).tobytes())
    write_rows(corpus / "w0.jsonl", listed)
    write_rows(corpus / "utts.jsonl", said)
    print(f"{len(said)} clips of people, {at / RATE / 60:.1f} minutes")


def write_noise(noise: Path, data: Path) -> None:
    """Write the noises that training may use, one behind the other."""
    names = [path for path in _waves(noise) if path.stem not in HELD_OUT_NOISE]
    sounds = [at_rate(path) for path in names]
    lengths = {path.stem: len(sound) for path, sound in zip(names, sounds, strict=True)}
    soundfile.write(data / "noise.flac", np.concatenate(sounds), RATE, subtype="PCM_16")
    (data / "noise.json").write_text(json.dumps(lengths), encoding="utf-8")
    print(f"{len(names)} noises, {sum(lengths.values()) / RATE / 60:.1f} minutes")


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("data", type=Path)
    parser.add_argument("--digits", type=Path)
    parser.add_argument("--noise", type=Path)
    asked = parser.parse_args()
    asked.data.mkdir(parents=True, exist_ok=True)
    if asked.digits:
        write_people(asked.digits, asked.data / "people")
    if asked.noise:
        write_noise(asked.noise, asked.data)


if __name__ == "__main__":
    main()
