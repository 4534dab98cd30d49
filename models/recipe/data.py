"""The speech that training draws on, and how often each kind of it is drawn.

A data folder holds one folder for each corpus (``w*.pcm`` or ``w*.ogg``, their ``.jsonl``,
``utts.jsonl`` or ``utts.jsonl.xz``), and ``lexicon.txt`` with every word. Sources differ in size
by far, so a draw first picks the kind of speech, then, for short phrases, the text, and only then
a recording: a word with three recordings is heard as often as one with three hundred.
"""

from __future__ import annotations

import json
import lzma
import random
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from texts import phrase_table, word_table
from voices import HELD_OUT

RATE = 16_000
LONGEST = 7 * RATE
PIECES = 4
"""Recordings that one example may be joined from."""
SHARES = {
    "command": 0.22,
    "word": 0.15,
    "width": 0.25,
    "number": 0.11,
    "talk": 0.11,
    "vocabulary": 0.05,
    "prompt": 0.04,
    "digit": 0.07,
}
"""How often each kind is drawn."""
_KINDS = {
    "command": "command",
    "cmd": "command",
    "word": "word",
    "width": "width",
    "meas": "width",
    "seam": "number",
    "ident": "number",
    "unit": "number",
    "measured": "number",
    "digit": "digit",
    "vocabulary": "vocabulary",
    "prompt": "prompt",
}
"""Kinds as corpora name them; all others are talk."""
_PHRASES, _SINGLES = frozenset(phrase_table()), frozenset(word_table())
_JOINED = 0.10
_SHORT = ("command", "word", "width")
_SOUNDLESS = 0.04
_LEFT_OUT = "test"


@dataclass(frozen=True, slots=True)
class Recording:
    """Where one utterance lies in the samples, and what it says."""

    start: int
    length: int
    words: tuple[str, ...]
    kind: str
    speaker: str
    corpus: str = ""
    number: int = -1
    """Where it comes from: the folder, and its id in there."""


@dataclass(frozen=True, slots=True)
class Example:
    """What one row of a batch holds: recordings one after the other; none is noise alone."""

    recordings: tuple[Recording, ...]
    offsets: tuple[int, ...]
    """Where each begins, in samples from the first."""
    gains: tuple[float, ...]

    @property
    def words(self) -> tuple[str, ...]:
        """What is said, in order."""
        return tuple(word for recording in self.recordings for word in recording.words)

    @property
    def length(self) -> int:
        """Samples from the first to the last."""
        return max(
            (at + one.length for at, one in zip(self.offsets, self.recordings, strict=True)),
            default=RATE,
        )


@dataclass(frozen=True, slots=True)
class Batch:
    """Examples as arrays, one row each."""

    starts: NDArray[np.int64]
    """Where each recording begins in the samples, [row, piece]; so the next three."""
    lengths: NDArray[np.int64]
    offsets: NDArray[np.int64]
    gains: NDArray[np.float32]
    totals: NDArray[np.int64]
    """Samples from the first to the last, [row, 1]."""
    spoken: NDArray[np.bool_]
    """Whether there is speech at all, [row, 1]."""
    texts: list[tuple[str, ...]]

    @staticmethod
    def of(examples: list[Example]) -> Batch:
        """Put examples side by side."""
        shape = (len(examples), PIECES)
        starts, lengths, offsets = (np.zeros(shape, np.int64) for _ in range(3))
        gains = np.zeros(shape, np.float32)
        for row, one in enumerate(examples):
            count = len(one.recordings)
            starts[row, :count] = [recording.start for recording in one.recordings]
            lengths[row, :count] = [recording.length for recording in one.recordings]
            offsets[row, :count] = one.offsets
            gains[row, :count] = one.gains
        totals = np.array([[one.length] for one in examples])
        spoken = np.array([[bool(one.recordings)] for one in examples])
        texts = [one.words for one in examples]
        return Batch(starts, lengths, offsets, gains, totals, spoken, texts)


Lexicon = dict[str, list[list[str]]]


def read_lexicon(path: Path) -> Lexicon:
    """Return the pronunciations of each word, as lists of phone names."""
    lexicon: Lexicon = defaultdict(list)
    for line in path.read_text("utf-8").splitlines():
        word, *phones = line.split()
        lexicon[word].append(phones)
    return dict(lexicon)


def _samples(sound: Path) -> NDArray[np.int16]:
    if sound.suffix == ".pcm":
        return np.fromfile(sound, "<i2")
    import soundfile  # noqa: PLC0415 - raw speech needs no decoder

    return np.asarray(soundfile.read(sound, dtype="int16")[0])


def _said(corpus: Path) -> dict[int, dict[str, Any]]:
    plain = corpus / "utts.jsonl"
    packed = corpus / "utts.jsonl.xz"
    if not plain.exists() and not packed.exists():
        raise SystemExit(f"{corpus} has sound but no utts.jsonl, which tells what is said in it.")
    whole = plain.read_bytes() if plain.exists() else lzma.decompress(packed.read_bytes())
    return {said["id"]: said for said in map(json.loads, whole.decode().splitlines())}


def _kind(said: dict[str, Any]) -> str:
    """Return the kind of what is said; a phrase that is not ours is talk, whoever calls it what."""
    kind = _KINDS.get(said["kind"], "talk")
    if kind in ("width", "number", "digit", "vocabulary", "prompt"):
        return kind
    if said["text"] in _PHRASES:
        return "command"
    return "word" if said["text"] in _SINGLES else "talk"


def _speaker(said: dict[str, Any]) -> str:
    return str(said.get("voice") or said.get("v"))


def _may_train(said: dict[str, Any], lexicon: Lexicon) -> bool:
    held = any(name in _speaker(said) for name in HELD_OUT)
    known = all(word in lexicon for word in said["text"].split())
    return said["split"] != _LEFT_OUT and not held and known


def _listed(sound: Path) -> Iterator[tuple[int, int, int]]:
    """Yield id, start and length; a line torn by a running writer is left out."""
    for line in sound.with_suffix(".jsonl").read_text("utf-8").splitlines():
        try:
            number, start, length = json.loads(line)
        except ValueError:
            continue
        yield number, start, length


def _dropped(corpus: Path) -> set[int]:
    """Return the ids that check.py found to be said wrong."""
    path = corpus / "dropped.json"
    return set(json.loads(path.read_text("utf-8"))) if path.exists() else set()


def load(
    folder: Path, lexicon: Lexicon, *, every: bool = False
) -> tuple[NDArray[np.int16], list[Recording]]:
    """Return all samples in one row, and the recordings in them that training may use.

    ``every``: also those that were dropped for being said wrong.
    """
    parts: list[NDArray[np.int16]] = []
    found: list[Recording] = []
    base = 0
    for corpus in sorted(path for path in folder.iterdir() if path.is_dir()):
        sounds = sorted([*corpus.glob("w*.pcm"), *corpus.glob("w*.ogg")])
        said = _said(corpus) if sounds else {}
        dropped = set() if every else _dropped(corpus)
        for sound in sounds:
            samples = _samples(sound)
            for number, start, length in _listed(sound):
                one = said[number]
                fits = start + length <= len(samples) and length < LONGEST
                fits = fits and number not in dropped
                if fits and _may_train(one, lexicon):
                    words = tuple(one["text"].split())
                    place = base + start
                    who = (_kind(one), _speaker(one), corpus.name, number)
                    found.append(Recording(place, length, words, *who))
            parts.append(samples)
            base += len(samples)
    return np.concatenate(parts), found


class Draws:
    """Draws examples for ever, balanced, from one seed."""

    def __init__(self, recordings: list[Recording], seed: int) -> None:
        self._rng = random.Random(seed)
        self._by_kind: dict[str, list[list[Recording]]] = {}
        for kind in SHARES:
            groups: dict[object, list[Recording]] = defaultdict(list)
            for one in recordings:
                if one.kind == kind:
                    groups[self._group(one)].append(one)
            if groups:
                self._by_kind[kind] = list(groups.values())
        self._kinds = list(self._by_kind)
        self._shares = [SHARES[kind] for kind in self._kinds]

    @staticmethod
    def _group(one: Recording) -> object:
        """Recordings drawn as one: of a text if short, of a person's digit, else each alone."""
        if one.kind in ("command", "word"):
            return one.words
        return (one.speaker, one.words) if one.kind == "digit" else one.start

    def example(self) -> Example:
        """Return one example."""
        rng = self._rng
        if rng.random() < _SOUNDLESS:
            return Example((), (), ())
        kind = rng.choices(self._kinds, self._shares)[0]
        group = rng.choice(self._by_kind[kind])
        if kind == "digit":
            return self._joined(self._digits(rng.choice(group).speaker), 0.03, 0.25)
        one = rng.choice(group)
        if kind in _SHORT and rng.random() < _JOINED:
            other = rng.choice(rng.choice(self._by_kind[rng.choice(self._kinds)]))
            if one.length + other.length < LONGEST - RATE:
                return self._joined([one, other], 0.1, 0.7)
        return self._joined([one], 0.0, 0.0)

    def _digits(self, speaker: str) -> list[Recording]:
        """Return one to four digits of one person, each digit as often as another."""
        mine = [group for group in self._by_kind["digit"] if group[0].speaker == speaker]
        count = self._rng.choice([1, 1, 2, 3, PIECES])
        return [self._rng.choice(self._rng.choice(mine)) for _ in range(count)]

    def _joined(self, recordings: list[Recording], least_s: float, most_s: float) -> Example:
        offsets, at = [], 0
        for one in recordings:
            offsets.append(at)
            at += one.length + int(RATE * self._rng.uniform(least_s, most_s))
        gains = tuple(self._rng.uniform(0.7, 1.2) for _ in recordings)
        return Example(tuple(recordings), tuple(offsets), gains)

    def batches(self, rows: int, at_once: int = 24) -> Iterator[Batch]:
        """Yield batches of examples of like length, for ever."""
        while True:
            drawn = [self.example() for _ in range(rows * at_once)]
            drawn.sort(key=lambda one: one.length + self._rng.uniform(0, 8000))
            begins = list(range(0, len(drawn), rows))
            self._rng.shuffle(begins)
            yield from (Batch.of(drawn[at : at + rows]) for at in begins)
