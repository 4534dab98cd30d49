"""How words sound: the model folder's lexicon and phones. Imports ``errors`` only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import ModelProblem

SILENCE = "SIL"
_BEGIN, _INSIDE, _END, _ALONE = "_B", "_I", "_E", "_S"


@dataclass(frozen=True)
class Lexicon:
    """Pronunciations of words in numbered phones."""

    ways: Mapping[str, tuple[tuple[str, ...], ...]]
    """For each word, the ways to say it, in phones without their place in the word."""
    numbers: Mapping[str, int]
    """The number of each phone with its place in the word: ``AA_B`` and so on, and ``SIL``."""
    places: tuple[str, ...]
    """Kaldi's name of the place of each phone, in order of their numbers, from 1."""

    def missing(self, words: Iterable[str]) -> tuple[str, ...]:
        """Return those words that have no pronunciation, sorted."""
        return tuple(sorted({word for word in words if word not in self.ways}))

    def pronunciations(self, word: str) -> list[list[int]]:
        """Return the ways to say ``word``, as numbers of phones."""
        return [
            [
                self.numbers[phone + place]
                for phone, place in zip(way, _word_places(way), strict=True)
            ]
            for way in self.ways[word]
        ]

    def spoken(self) -> list[tuple[int, int, int]]:
        """Return each speech phone's numbers: at a word's begin, inside it, at its end."""
        bases = [name[: -len(_BEGIN)] for name in self.numbers if name.endswith(_BEGIN)]
        return [
            (self.numbers[base + _BEGIN], self.numbers[base + _INSIDE], self.numbers[base + _END])
            for base in bases
        ]


def _word_places(way: tuple[str, ...]) -> list[str]:
    if len(way) == 1:
        return [_ALONE]
    return [_BEGIN, *[_INSIDE] * (len(way) - 2), _END]


def read_lexicon(folder: Path) -> Lexicon:
    """Read ``lexicon.txt`` (word phone phone ...) and ``phones.txt`` (phone place).

    Raises:
        ModelProblem: a file is missing or a line makes no sense.
    """
    rows = _rows(folder / "phones.txt")
    numbers = {row[0]: number for number, row in enumerate(rows, start=1)}
    if SILENCE not in numbers or any(len(row) != 2 for row in rows):
        raise ModelProblem(f"{folder / 'phones.txt'} is damaged. Copy the model folder afresh.")
    ways: dict[str, list[tuple[str, ...]]] = {}
    for word, *phones in _rows(folder / "lexicon.txt"):
        if not phones or any(phone + _BEGIN not in numbers for phone in phones):
            raise ModelProblem(
                f"{folder / 'lexicon.txt'}: the line of {word!r} has a phone that phones.txt "
                "lacks. Write the word and its phones, parted by spaces."
            )
        ways.setdefault(word, []).append(tuple(phones))
    places = tuple(row[1] for row in rows)
    return Lexicon({word: tuple(said) for word, said in ways.items()}, numbers, places)


def _rows(path: Path) -> list[list[str]]:
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as problem:
        raise ModelProblem(
            f"The model file {path} cannot be read: {problem}. Copy the model folder afresh."
        ) from problem
    return [row for row in map(str.split, text.splitlines()) if row]
