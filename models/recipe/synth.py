"""Make the planned speech. Can be stopped at any time and started again: it goes on where it was.

Run: ``python synth.py PARTS OUT`` after ``plan.py``. The test set comes first, as OUT/test/*.wav
with OUT/test/manifest.jsonl; then training speech into OUT/corpus: w0.pcm (16-bit, 16 kHz, mono,
little-endian) with w0.jsonl, one ``[id, offset, length]`` in samples a clip. Several machines or
cores share the work with ``--worker 0 --of 4`` and so on.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray
from speech import RATE, Parts, Speaker, to_int16
from voices import voice_from

_REPORT_EVERY = 100
_SAMPLE_BYTES = 2


def _lines(path: Path) -> list[Any]:
    if not path.exists():
        return []
    whole = path.read_text("utf-8").rpartition("\n")[0]  # a torn last line is left out
    return [json.loads(line) for line in whole.splitlines()]


def _spoken(speaker: Speaker, said: dict[str, Any]) -> NDArray[np.int16]:
    sound = speaker.say(said["phonemes"], voice_from(said["voice"]), said["speed"])
    return to_int16(sound)


def make_tests(speaker: Speaker, planned: Path, folder: Path) -> None:
    """Make the test clips that are not there yet, each as a WAV file."""
    folder.mkdir(exist_ok=True)
    manifest = folder / "manifest.jsonl"
    made = {entry["file"] for entry in _lines(manifest)}
    with manifest.open("a", encoding="utf-8") as listed:
        for said in _lines(planned):
            name = f"{said['id']:04d}-{said['text'].replace(' ', '-')[:40]}.wav"
            if name in made:
                continue
            soundfile.write(folder / name, _spoken(speaker, said), RATE, subtype="PCM_16")
            entry = {
                "file": name,
                "text": said["text"],
                "kind": said["kind"],
                "voice": said["voice"][0],
            }
            listed.write(json.dumps(entry) + "\n")
            listed.flush()


class Corpus:
    """One worker's growing file of samples and the list of what lies where in it."""

    def __init__(self, folder: Path, worker: int) -> None:
        self._sound = folder / f"w{worker}.pcm"
        self._list = folder / f"w{worker}.jsonl"
        entries = _lines(self._list)
        self.made: set[int] = {entry[0] for entry in entries}
        self.samples: int = max((start + length for _, start, length in entries), default=0)
        self._cut_torn_ends(entries)

    def _cut_torn_ends(self, entries: list[Any]) -> None:
        self._sound.touch()
        os.truncate(self._sound, self.samples * _SAMPLE_BYTES)
        kept = "".join(json.dumps(entry) + "\n" for entry in entries)
        self._list.write_text(kept, encoding="utf-8")

    def add(self, number: int, sound: NDArray[np.int16]) -> None:
        """Append one clip: samples first, so that nothing is listed that is not there."""
        with self._sound.open("ab") as samples:
            samples.write(sound.tobytes())
        with self._list.open("a", encoding="utf-8") as listed:
            listed.write(json.dumps([number, self.samples, len(sound)]) + "\n")
        self.made.add(number)
        self.samples += len(sound)


def make_corpus(speaker: Speaker, folder: Path, worker: int, workers: int) -> None:
    """Make this worker's share of the training speech that is not there yet."""
    corpus = Corpus(folder, worker)
    began, at_start = time.monotonic(), corpus.samples
    for said in _lines(folder / "utts.jsonl")[worker::workers]:
        if said["id"] in corpus.made:
            continue
        sound = _spoken(speaker, said)
        if len(sound) == 0:
            print(f"silent: {said['id']} {said['text']}", flush=True)
            continue
        corpus.add(said["id"], sound)
        if len(corpus.made) % _REPORT_EVERY == 0:
            hours = corpus.samples / RATE / 3600
            pace = (corpus.samples - at_start) / RATE / (time.monotonic() - began)
            print(f"{len(corpus.made)} clips, {hours:.2f} h, {pace:.2f} x real time", flush=True)


def main() -> None:
    """Make tests, then training speech, until done or stopped."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("parts", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--worker", type=int, default=0)
    parser.add_argument("--of", type=int, default=1)
    asked = parser.parse_args()
    speaker = Speaker(Parts(asked.parts))
    if asked.worker == 0:
        make_tests(speaker, asked.out / "test.jsonl", asked.out / "test")
    make_corpus(speaker, asked.out / "corpus", asked.worker, asked.of)


if __name__ == "__main__":
    main()
