"""Who speaks: single voices and blends of two, and which voices are never trained on.

A voice is a table of style vectors, one row for each length of text in phonemes. A weighted mean of
two tables is a third, believable person; blending an English voice with one of another language
gives an accent.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

HELD_OUT = (
    "am_puck",
    "af_nova",
    "bf_emma",
    "bm_george",
    "em_alex",
    "ff_siwis",
    "hm_omega",
    "am_eric",
    "af_sky",
)
"""Only tests and the demo speak with these, so that both stay fair."""
DEV = ("am_puck", "af_nova", "bm_george", "ff_siwis")
"""Held-out voices that thresholds may be chosen with; the rest are looked at once, at the end."""
HELD_OUT_PEOPLE = ("yweweler",)
"""Of the people whose digits are trained on, the last in the alphabet stays out: chosen before
anything was heard."""
ENGLISH = ("a", "b")
"""First letter of voices that speak American or British English."""
ROWS, WIDTH = 510, 256
_TYPICAL = 20
"""The row of a text of common length."""


class UnknownVoiceError(Exception):
    """A voice was asked for that is not there."""

    def __init__(self, name: str, known: list[str]) -> None:
        super().__init__(f"No voice is called {name}; there are {', '.join(known)}.")


@dataclass(frozen=True, slots=True)
class Voice:
    """One speaker: a voice by name, or a blend of two."""

    first: str
    second: str | None = None
    share: float = 1.0
    """How much of ``first`` is in the blend, 0 to 1."""

    def as_list(self) -> list[str | float | None]:
        """Return the form kept in manifests."""
        return [self.first, self.second, self.share]


def voice_from(spec: str | list[str | float | None]) -> Voice:
    """Return the voice named in a script ("af_nova") or kept in a manifest."""
    if isinstance(spec, str):
        return Voice(spec)
    first, second, share = spec
    return Voice(str(first), None if second is None else str(second), float(share or 1.0))


def names_in(folder: Path) -> list[str]:
    """Return the names of all voices in a folder of ``.bin`` tables."""
    return sorted(path.stem for path in folder.glob("*.bin"))


def training_voices(names: list[str], count: int, rng: random.Random) -> list[Voice]:
    """Return ``count`` different speakers, none of them made of a held-out voice.

    Every blend is led by an English voice; a foreign partner gets the smaller share, or words
    begin to slur.
    """
    free = [name for name in names if name not in HELD_OUT]
    english = [name for name in free if name.startswith(ENGLISH)]
    found = [Voice(name) for name in english]
    while len(found) < count:
        first, second = rng.choice(english), rng.choice(free)
        if first != second:
            least = 0.35 if second.startswith(ENGLISH) else 0.5
            found.append(Voice(first, second, round(rng.uniform(least, 0.85), 2)))
    return found[:count]


def held_out_speakers(voices: tuple[str, ...]) -> list[Voice]:
    """Return voices and every even blend of two of them: people never trained on."""
    pairs = [Voice(a, b, 0.5) for n, a in enumerate(voices) for b in voices[n + 1 :]]
    return [*map(Voice, voices), *pairs]


class StyleTables:
    """Reads style tables from a folder and blends them."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._kept: dict[str, NDArray[np.float32]] = {}

    def _table(self, name: str) -> NDArray[np.float32]:
        if name not in self._kept:
            path = self._folder / f"{name}.bin"
            if not path.is_file():
                raise UnknownVoiceError(name, names_in(self._folder))
            self._kept[name] = np.fromfile(path, np.float32).reshape(ROWS, WIDTH)
        return self._kept[name]

    def row(self, voice: Voice, phonemes: int) -> NDArray[np.float32]:
        """Return the style vector of a voice for a text of so many phonemes."""
        place = min(phonemes, ROWS - 1)
        first: NDArray[np.float32] = self._table(voice.first)[place]
        if voice.second is None:
            return first
        second = self._table(voice.second)[place]
        blend: NDArray[np.float32] = voice.share * first + (1 - voice.share) * second
        return blend

    def spread(self) -> NDArray[np.float32]:
        """Return the standard deviation of each number of a style between all voices."""
        rows = [self._table(name)[_TYPICAL] for name in names_in(self._folder)]
        deviation: NDArray[np.float32] = np.std(rows, axis=0)
        return deviation
