"""Put a telephone exchange's spoken prompts beside the other speech: one real voice, many words.

Run: ``python prompts.py SOUNDS TEXTS DATA``. SOUNDS is the folder of G.722 files, TEXTS the list
(``name: what is said``, may be gzipped) of the Debian packages asterisk-core-sounds-en-g722 and
asterisk-core-sounds-en (recorded by Allison Smith, CC BY-SA 3.0). Writes the corpus DATA/prompts
and adds its words to DATA/lexicon.txt. Needs the package av to decode.
"""

from __future__ import annotations

import argparse
import gzip
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from corpus import Corpus, write_rows
from data import LONGEST, read_lexicon
from numpy.typing import NDArray
from pronounce import dictionary, lines_of
from speech import finished_at_rate, to_int16

_WORDS = re.compile(r"[a-z']+")
_UNSPOKEN = re.compile(r"[\[\]0-9*#&]")


def said_in(line: str) -> tuple[str, str] | None:
    """Return name and words of a line, or None where it does not tell the words for certain."""
    name, colon, text = line.partition(":")
    if not colon or line.startswith(";") or _UNSPOKEN.search(text):
        return None
    words = _WORDS.findall(text.lower().replace("-", " "))
    return (name.strip(), " ".join(words)) if words else None


def texts(path: Path) -> dict[str, str]:
    """Return what each prompt says, by name."""
    whole = gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()
    found = (said_in(line) for line in whole.decode("utf-8", "replace").splitlines())
    return dict(one for one in found if one)


def decoded(path: Path) -> NDArray[np.float32]:
    """Return a G.722 file's sound at 16 kHz."""
    import av  # noqa: PLC0415 - only prompts need a decoder

    with av.open(str(path), format="g722") as source:
        blocks = [frame.to_ndarray().ravel() for frame in source.decode(audio=0)]
    return np.concatenate(blocks).astype(np.float32) / np.float32(32768)


def _spoken(sounds: Path, said: dict[str, str]) -> Iterator[tuple[str, NDArray[np.int16]]]:
    known = dictionary()
    for name, text in sorted(said.items()):
        path = sounds / f"{name}.g722"
        if path.exists() and all(word in known for word in text.split()):
            sound = to_int16(finished_at_rate(decoded(path)))
            if 0 < len(sound) < LONGEST:
                yield text, sound


def main() -> None:
    """Write the corpus."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("sounds", type=Path)
    parser.add_argument("texts", type=Path)
    parser.add_argument("data", type=Path)
    asked = parser.parse_args()
    folder: Path = asked.data / "prompts"
    folder.mkdir(parents=True, exist_ok=True)
    corpus, said = Corpus(folder, 0), []
    for number, (text, sound) in enumerate(_spoken(asked.sounds, texts(asked.texts))):
        if number not in corpus.made:
            corpus.add(number, sound)
        one = {"text": text, "kind": "prompt", "split": "train", "voice": ["exchange"]}
        said.append({"id": number, **one})
    write_rows(folder / "utts.jsonl", said)
    lexicon: Path = asked.data / "lexicon.txt"
    words = {word for one in said for word in str(one["text"]).split()}
    missing = sorted(words - set(read_lexicon(lexicon)))
    with lexicon.open("a", encoding="utf-8") as out:
        out.writelines(lines_of(missing, dictionary()))
    print(f"{len(said)} prompts, {corpus.samples / 16_000 / 60:.1f} min, {len(missing)} new words")


if __name__ == "__main__":
    main()
