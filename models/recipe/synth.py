"""Make planned speech on the processor. Can be stopped at any time and goes on where it was.

Run: ``python synth.py PARTS CORPUS`` after ``plan.py``, CORPUS being OUT/dev, OUT/test or
OUT/corpus. Writes w0.pcm (16-bit, 16 kHz, mono, little-endian) with w0.jsonl, one
``[id, offset, length]`` in samples a clip. Several machines or cores share the work with
``--worker 0 --of 4`` and so on. Manners are left out here: everything is said plainly.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from corpus import Corpus, made_in, rows_of
from speech import RATE, Parts, Speaker, to_int16
from voices import voice_from

_REPORT_EVERY = 100


def make_corpus(speaker: Speaker, folder: Path, worker: int, workers: int) -> None:
    """Make this worker's share of the speech that is not there yet."""
    corpus, there = Corpus(folder, worker), made_in(folder)
    began, at_start = time.monotonic(), corpus.samples
    for said in rows_of(folder / "utts.jsonl")[worker::workers]:
        if said["id"] in there:
            continue
        sound = to_int16(speaker.say(said["phonemes"], voice_from(said["voice"]), said["speed"]))
        if len(sound) == 0:
            print(f"silent: {said['id']} {said['text']}", flush=True)
            continue
        corpus.add(said["id"], sound)
        if len(corpus.made) % _REPORT_EVERY == 0:
            hours = corpus.samples / RATE / 3600
            pace = (corpus.samples - at_start) / RATE / (time.monotonic() - began)
            print(f"{len(corpus.made)} clips, {hours:.2f} h, {pace:.2f} x real time", flush=True)


def main() -> None:
    """Make speech until done or stopped."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("parts", type=Path)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("--worker", type=int, default=0)
    parser.add_argument("--of", type=int, default=1)
    asked = parser.parse_args()
    make_corpus(Speaker(Parts(asked.parts)), asked.corpus, asked.worker, asked.of)


if __name__ == "__main__":
    main()
