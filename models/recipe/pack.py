"""Pack raw training speech into a few Opus files that travel well, and unpack them again.

Run: ``python pack.py pack CORPUS PACKED`` or ``python pack.py unpack PACKED CORPUS``.

Packs what is listed by now, so it can run while speech is still being made. Offsets stay right to
the sample; the sound itself is lossy.
"""

from __future__ import annotations

import argparse
import json
import lzma
import shutil
from pathlib import Path

import numpy as np
import soundfile
from speech import RATE

_KEPT = ("lexicon.txt", "vocab.txt")
_BLOCK = 10 * RATE
_COMPRESSION = 0.9
"""0 is the largest file, 1 the smallest; 0.9 is about 24 kbit a second."""


def _samples_listed(listing: Path) -> int:
    lines = listing.read_text("utf-8").rpartition("\n")[0].splitlines()
    entries = [json.loads(line) for line in lines]
    return max((start + length for _, start, length in entries), default=0)


def pack(corpus: Path, packed: Path, compression: float = _COMPRESSION) -> None:
    """Write each w*.pcm as w*.ogg, and everything that describes it beside it."""
    for sound in sorted(corpus.glob("w*.pcm")):
        listing = sound.with_suffix(".jsonl")
        shutil.copy(listing, packed / listing.name)
        count = _samples_listed(packed / listing.name)
        samples = np.memmap(sound, "<i2", "r", shape=(count,))
        with soundfile.SoundFile(
            packed / f"{sound.stem}.ogg",
            "w",
            RATE,
            1,
            format="OGG",
            subtype="OPUS",
            compression_level=compression,
        ) as out:
            for start in range(0, count, _BLOCK):
                out.write(samples[start : start + _BLOCK])
        print(f"{sound.name}: {count / RATE / 3600:.2f} h")
    with lzma.open(packed / "utts.jsonl.xz", "wb") as out:
        out.write((corpus / "utts.jsonl").read_bytes())


def unpack(packed: Path, corpus: Path) -> None:
    """Write each w*.ogg as w*.pcm again."""
    for sound in sorted(packed.glob("w*.ogg")):
        with (corpus / f"{sound.stem}.pcm").open("wb") as out:
            for block in soundfile.blocks(sound, _BLOCK, dtype="int16"):
                out.write(block.astype("<i2").tobytes())
        shutil.copy(sound.with_suffix(".jsonl"), corpus)
    (corpus / "utts.jsonl").write_bytes(lzma.decompress((packed / "utts.jsonl.xz").read_bytes()))


def main() -> None:
    """Pack or unpack."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("what", choices=["pack", "unpack"])
    parser.add_argument("source", type=Path)
    parser.add_argument("target", type=Path)
    parser.add_argument("--compression", type=float, default=_COMPRESSION)
    asked = parser.parse_args()
    asked.target.mkdir(parents=True, exist_ok=True)
    if asked.what == "pack":
        pack(asked.source, asked.target, asked.compression)
    else:
        unpack(asked.source, asked.target)
    for name in _KEPT:
        if (asked.source / name).exists():
            shutil.copy(asked.source / name, asked.target / name)


if __name__ == "__main__":
    main()
