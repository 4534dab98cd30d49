"""A corpus on disk: raw samples with a list of what lies where, safe against being stopped.

A folder holds utts.jsonl (what is said, by ``id``) and, for each worker, w0.pcm (16-bit, 16 kHz,
mono, little-endian) with w0.jsonl: one ``[id, offset, length]`` in samples a clip.

Run: ``python corpus.py FOLDER`` to write FOLDER/manifest.jsonl, which lists the clips for whoever
measures with them: file, start and samples, text, kind, voice.
"""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

_SAMPLE_BYTES = 2


def rows_of(path: Path) -> list[Any]:
    """Return the rows of a file of JSON lines; a last line torn by a running writer is left out."""
    if not path.exists():
        return []
    whole = path.read_text("utf-8").rpartition("\n")[0]
    return [json.loads(line) for line in whole.splitlines()]


def write_rows(path: Path, rows: list[Any]) -> None:
    """Write JSON lines."""
    lines = [json.dumps(row, ensure_ascii=False) + "\n" for row in rows]
    path.write_text("".join(lines), encoding="utf-8")


def made_in(folder: Path) -> set[int]:
    """Return the ids of all clips that a folder's lists name, whichever worker made them."""
    return {entry[0] for listed in folder.glob("w*.jsonl") for entry in rows_of(listed)}


class Corpus:
    """One worker's growing file of samples and the list of what lies where in it."""

    def __init__(self, folder: Path, worker: int) -> None:
        self._sound = folder / f"w{worker}.pcm"
        self._list = folder / f"w{worker}.jsonl"
        entries = rows_of(self._list)
        self.made: set[int] = {entry[0] for entry in entries}
        self.samples: int = max((start + length for _, start, length in entries), default=0)
        self._cut_torn_ends(entries)

    def _cut_torn_ends(self, entries: list[Any]) -> None:
        self._sound.touch()
        os.truncate(self._sound, self.samples * _SAMPLE_BYTES)
        kept = "".join(json.dumps(entry) + "\n" for entry in entries)
        # Left alone where it is whole: other workers may be reading it.
        if not self._list.exists() or self._list.read_text("utf-8") != kept:
            self._list.write_text(kept, encoding="utf-8")

    def add(self, number: int, sound: NDArray[np.int16]) -> None:
        """Append one clip: samples first, so that nothing is listed that is not there."""
        with self._sound.open("ab") as samples:
            samples.write(sound.tobytes())
        with self._list.open("a", encoding="utf-8") as listed:
            listed.write(json.dumps([number, self.samples, len(sound)]) + "\n")
        self.made.add(number)
        self.samples += len(sound)


def manifest(folder: Path) -> Iterator[dict[str, Any]]:
    """Yield what each clip of a corpus is and where it lies."""
    said = {one["id"]: one for one in rows_of(folder / "utts.jsonl")}
    for sound in sorted([*folder.glob("w*.pcm"), *folder.glob("w*.ogg")]):
        for number, start, samples in rows_of(sound.with_suffix(".jsonl")):
            one = said[number]
            yield {
                "file": sound.name,
                "start": start,
                "samples": samples,
                "text": one["text"],
                "kind": one["kind"],
                "voice": "+".join(str(name) for name in one["voice"] if isinstance(name, str)),
            }


def main() -> None:
    """Write the manifest of a folder."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("folder", type=Path)
    folder = parser.parse_args().folder
    rows = list(manifest(folder))
    write_rows(folder / "manifest.jsonl", rows)
    print(f"{len(rows)} clips in {folder}/manifest.jsonl")


if __name__ == "__main__":
    main()
