"""Put a folder of test clips into noise, to see where hearing ends.

Run: ``python mix.py TEST OUT --snr 10``. TEST holds WAV files and manifest.jsonl; OUT gets the same
names with half a second of the same noise before and after each clip, as an open microphone
would hear it. Noise seeds differ from those of the training bank.
"""

from __future__ import annotations

import argparse
import json
import shutil
from pathlib import Path

import numpy as np
import soundfile
from noise import RATE, Kind, make, mix
from speech import to_int16

_SEED = 500_000
_AROUND = RATE // 2


def in_noise(clip: Path, out: Path, snr_db: float, seed: int, kind: Kind | None) -> None:
    """Write one clip with noise under it and around it."""
    sound, rate = soundfile.read(clip, dtype="float32")
    if rate != RATE:
        raise SystemExit(f"{clip} has {rate} samples a second, not {RATE}.")
    padded = np.pad(sound, _AROUND)
    noise = make(np.random.default_rng(seed), len(padded), kind)
    soundfile.write(out, to_int16(mix(padded, noise, snr_db)), RATE, subtype="PCM_16")


def main() -> None:
    """Mix every clip in the manifest."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("test", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--snr", type=float, required=True, help="decibels, speech over noise")
    parser.add_argument("--kind", choices=["blower", "engine", "both", "hiss"])
    asked = parser.parse_args()
    asked.out.mkdir(parents=True, exist_ok=True)
    manifest = asked.test / "manifest.jsonl"
    entries = [json.loads(line) for line in manifest.read_text("utf-8").splitlines()]
    for number, entry in enumerate(entries):
        name = entry["file"]
        in_noise(asked.test / name, asked.out / name, asked.snr, _SEED + number, asked.kind)
    shutil.copy(manifest, asked.out / manifest.name)
    print(f"{len(entries)} clips at {asked.snr:g} dB in {asked.out}")


if __name__ == "__main__":
    main()
