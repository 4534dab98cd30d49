"""The speech network in PyTorch, so that a GPU can speak: an hour of speech in a minute.

    python torch_speech.py pack PARTS PACKED                  (needs the package onnx)
    python torch_speech.py make PACKED OUT/dev OUT/test OUT/corpus --seconds 240 --processes 14

``pack`` writes the network's steps and its 8-bit weights as program.json and weights-0.npz,
weights-1.npz, and the voices. ``make`` speaks the utts.jsonl of each folder into that folder, one
after the other until time is up, in the form of synth.py, each text in its own manner. Weights stay
as they are; what flows between the layers is not rounded to 8 bits here, so that it sounds a little
better than on a processor.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import time
from pathlib import Path
from typing import Any

import numpy as np
import torch
from corpus import Corpus, made_in, rows_of
from manner import Manner, lengthened, sung
from numpy.typing import NDArray
from speech import RATE, Parts, finished, to_int16
from torch_program import FILES, Program
from voices import ROWS, WIDTH, StyleTables, voice_from

_ROWS = 128
"""Rows of a style table that are packed: enough for the longest text here."""
_LENGTHS, _PITCH = "/encoder/Div_output_0", "/encoder/F0_proj/Conv_output_0"
"""Values within the network: how long each sound lasts, and the pitch curve in hertz."""
_TIMBRE = 128
"""The first half of a style is how a voice sounds, the second how it speaks."""


def pack(parts: Parts, packed: Path) -> None:
    """Write steps, weights and voices to a folder that needs no package but numpy and torch."""
    import onnx  # noqa: PLC0415 - only needed here

    graph = onnx.load(str(parts.network)).graph
    steps = []
    for node in graph.node:
        named = {one.name: onnx.helper.get_attribute_value(one) for one in node.attribute}
        plain = {name: _plain(value) for name, value in named.items()}
        steps.append([node.op_type, list(node.input), list(node.output), plain])
    packed.mkdir(parents=True, exist_ok=True)
    program = {"steps": steps, "output": graph.output[0].name}
    (packed / "program.json").write_text(json.dumps(program), encoding="utf-8")
    weights = [(one.name, onnx.numpy_helper.to_array(one)) for one in graph.initializer]
    names: list[list[str]] = []
    for part in range(FILES):
        mine = weights[part::FILES]
        names.append([name for name, _ in mine])
        arrays = {str(number): value for number, (_, value) in enumerate(mine)}
        np.savez_compressed(packed / f"weights-{part}.npz", **arrays)
    (packed / "names.json").write_text(json.dumps(names), encoding="utf-8")
    shutil.copy(parts.vocabulary, packed)
    tables = {one.stem: np.fromfile(one, "<f4") for one in sorted(parts.voices.glob("*.bin"))}
    rows: dict[str, Any] = {
        name: table[: _ROWS * WIDTH].astype(np.float16) for name, table in tables.items()
    }
    np.savez_compressed(packed / "voices.npz", **rows)


def _plain(value: Any) -> Any:  # noqa: ANN401 - whatever ONNX holds
    if isinstance(value, bytes):
        return value.decode()
    if hasattr(value, "dims"):
        import onnx  # noqa: PLC0415 - only needed here

        return onnx.numpy_helper.to_array(value).tolist()
    return list(value) if isinstance(value, (list, tuple)) else value


class GpuSpeaker:
    """Speaks like ``speech.Speaker``, on the device, and minds manners."""

    def __init__(self, packed: Path, device: torch.device) -> None:
        self._program = Program(packed, device)
        vocabulary = json.loads((packed / "vocab.json").read_text("utf-8"))
        self._number: dict[str, int] = vocabulary["vocab"]
        self._styles = StyleTables(_unpacked_voices(packed))
        self._spread = self._styles.spread()

    def say(self, said: dict[str, Any]) -> NDArray[np.int16]:
        """Return a planned utterance at 16 kHz."""
        numbers = [self._number[sign] for sign in said["phonemes"] if sign in self._number]
        manner = Manner(**said.get("manner", {}))
        touches = {
            _LENGTHS: lambda lengths: lengthened(lengths, manner),
            _PITCH: lambda pitch: sung(pitch, manner),
        }
        sound = self._program.run(
            touches if manner != Manner(seed=manner.seed) else {},
            tokens=torch.tensor([[0, *numbers, 0]]),
            style=torch.from_numpy(self._style(said, manner, len(numbers))[None]),
            speed=torch.tensor([said["speed"]], dtype=torch.float32),
        )
        return to_int16(finished(np.ravel(sound.cpu().numpy())))

    def _style(self, said: dict[str, Any], manner: Manner, length: int) -> NDArray[np.float32]:
        style = self._styles.row(voice_from(said["voice"]), length).astype(np.float32)
        if said.get("speaks_like"):
            other = self._styles.row(voice_from(said["speaks_like"]), length)
            style = np.concatenate([style[:_TIMBRE], 0.5 * (style + other)[_TIMBRE:]])
        noise = np.random.default_rng(manner.seed).normal(size=WIDTH) * self._spread
        return (style + manner.strangeness * noise).astype(np.float32)


def _unpacked_voices(packed: Path) -> Path:
    """Write the style tables as files again, short ones padded with zeros."""
    folder = packed / "voices"
    if not folder.exists():
        part = packed / f"voices-{os.getpid()}"
        part.mkdir()
        for name, rows in np.load(packed / "voices.npz").items():
            table = np.zeros(ROWS * WIDTH, "<f4")
            table[: len(rows)] = rows
            table.tofile(part / f"{name}.bin")
        try:
            part.rename(folder)
        except OSError:  # another process was faster
            shutil.rmtree(part)
    return folder


def _device(worker: int) -> torch.device:
    """Return the device of a worker; several GPUs share the workers."""
    count = torch.cuda.device_count()
    return torch.device(f"cuda:{worker % count}" if count else "cpu")


def _worker(worker: int, asked: argparse.Namespace) -> None:
    torch.set_num_threads(1)
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.allow_tf32 = True
    began = time.monotonic()
    speaker = GpuSpeaker(asked.source, _device(worker))
    for folder in asked.out:
        made, there = Corpus(folder, worker), made_in(folder)
        mine = rows_of(folder / "utts.jsonl")[worker :: asked.processes]
        for said in [one for one in mine if one["id"] not in there]:
            if time.monotonic() - began > asked.seconds:
                break
            sound = speaker.say(said)
            if len(sound):
                made.add(said["id"], sound)
        hours = made.samples / RATE / 3600
        print(f"{folder.name}, worker {worker}: {len(made.made)} clips, {hours:.2f} h", flush=True)


def main() -> None:
    """Pack the network, or speak with it."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("what", choices=["pack", "make"])
    parser.add_argument("source", type=Path)
    parser.add_argument("out", type=Path, nargs="+")
    parser.add_argument("--seconds", type=float, default=240)
    parser.add_argument("--processes", type=int, default=1)
    asked = parser.parse_args()
    if asked.what == "pack":
        pack(Parts(asked.source), asked.out[0])
        return
    torch.multiprocessing.spawn(_worker, (asked,), asked.processes)


if __name__ == "__main__":
    main()
