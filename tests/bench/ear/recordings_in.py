"""Recordings to measure with: manifests of clips, people's digits, people's words."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.ear.sound import RATE_HZ, at_our_rate, read_wav

Sound = NDArray[np.float32]
DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True)
class Recording:
    """One clip: where its samples lie and what is said in it."""

    id: str
    """The same on every machine: it seeds the noise that the clip is mixed with."""
    file: Path
    text: str
    kind: str
    voice: str
    start: int = 0
    samples: int | None = None
    """Where the clip lies in a long file; None for the whole file."""

    def sound(self) -> Sound:
        """Return its samples at 16 kHz, mono, from -1 to 1."""
        if self.samples is None:
            return floats(_samples(self.file))
        return floats(_long_file(self.file)[self.start : self.start + self.samples])


def floats(samples: NDArray[Any]) -> Sound:
    """Return 16-bit samples as numbers from -1 to 1."""
    level: Sound = np.asarray(samples, np.float32) * np.float32(1 / 32_768)
    return level


@cache
def _long_file(path: Path) -> NDArray[np.int16]:
    """Return a file that holds many clips; it stays in memory, as they come in any order."""
    return _samples(path)


def _samples(path: Path) -> NDArray[np.int16]:
    if path.suffix == ".wav":
        return np.frombuffer(read_wav(path).pcm, "<i2")
    if path.suffix == ".pcm":  # a corpus as it was made
        return np.fromfile(path, "<i2")
    import soundfile  # noqa: PLC0415 - needed for Opus alone

    samples, rate_hz = soundfile.read(path, dtype="int16", always_2d=True)
    first: NDArray[np.int16] = samples[:, 0]
    return at_our_rate(first, rate_hz) if rate_hz != RATE_HZ else first


def own_phrases(folder: Path) -> list[Recording]:
    """Return the clips of ``folder``/manifest.jsonl.

    Each row has ``file``, ``text``, ``kind`` and ``voice``; where one file holds many clips, also
    ``start`` and ``samples``.
    """
    found = []
    for row in (folder / "manifest.jsonl").read_text("utf-8").splitlines():
        one = json.loads(row)
        start, samples = one.get("start", 0), one.get("samples")
        voice = one.get("voice", "")
        name = voice if isinstance(voice, str) else "+".join(str(part) for part in voice)
        found.append(
            Recording(
                f"{one['file']}@{start}",
                folder / one["file"],
                " ".join(one["text"].replace(",", " ").split()),
                one["kind"],
                name,
                start,
                samples,
            )
        )
    return found


def peoples_digits(folder: Path, speakers: list[str]) -> list[Recording]:
    """Return ``DIGIT_SPEAKER_INDEX.wav`` of some speakers.

    Without speakers: those clips of everybody that training leaves out (the index ends in 7).
    """
    found = []
    for path in sorted(folder.glob("*.wav")):
        digit, speaker, index = path.stem.split("_")
        if speaker in speakers or (not speakers and index.endswith("7")):
            text = DIGITS[int(digit)]
            found.append(Recording(f"digits/{path.name}", path, text, "digit", speaker))
    return found


def peoples_words(folder: Path) -> list[Recording]:
    """Return ``WORD_SPEAKER_nohash_INDEX.wav``."""
    found = []
    for path in sorted(folder.glob("*.wav")):
        word, speaker = path.stem.split("_")[:2]
        found.append(Recording(f"words/{path.name}", path, word, "person's word", speaker))
    return found


def held_out_speakers(model: Path) -> list[str]:
    """Return the people whose digits the model's maker says were not trained on."""
    about = json.loads((model / "about.json").read_text("utf-8"))
    return list(about.get("held_out_speakers", ()))
