"""The speech network in PyTorch, so that a GPU can speak: some hours of speech in some minutes.

    python torch_speech.py pack PARTS PACKED            (needs the package onnx)
    python torch_speech.py make PACKED OUT --first 3456 --seconds 240 --processes 8

``pack`` writes the network's steps and its 8-bit weights as program.json and weights-0.npz,
weights-1.npz, and the voices. ``make`` speaks the texts of OUT/corpus/utts.jsonl from id FIRST on
into OUT/made, in the form of synth.py. Weights stay as they are; what flows between the layers is
not rounded to 8 bits here, so that it sounds a little better than on a processor.
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
from numpy.typing import NDArray
from speech import RATE, Parts, finished, to_int16
from synth import Corpus
from torch import nn
from torch.nn import functional as fn
from voices import ROWS, WIDTH, StyleTables, voice_from

Tensor = torch.Tensor
Attributes = dict[str, Any]
_FINE = 2.0**-13
"""The step of what stands in for 8-bit rounding: so small that it rounds nothing."""
_FILES = 2
_ROWS = 128
"""Rows of a style table that are packed: enough for the longest text here."""
_WHOLE, _TRUTH = 7, 9
"""ONNX's numbers for int64 and bool."""


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
    for part in range(_FILES):
        mine = weights[part::_FILES]
        names.append([name for name, _ in mine])
        arrays = {str(number): value for number, (_, value) in enumerate(mine)}
        np.savez_compressed(packed / f"weights-{part}.npz", **arrays)
    (packed / "names.json").write_text(json.dumps(names), encoding="utf-8")
    shutil.copy(parts.vocabulary, packed)
    tables = {one.stem: np.fromfile(one, "<f4") for one in sorted(parts.voices.glob("*.bin"))}
    rows = {name: table[: _ROWS * WIDTH].astype(np.float16) for name, table in tables.items()}
    np.savez_compressed(packed / "voices.npz", **rows)


def _plain(value: Any) -> Any:  # noqa: ANN401 - whatever ONNX holds
    if isinstance(value, bytes):
        return value.decode()
    if hasattr(value, "dims"):
        import onnx  # noqa: PLC0415 - only needed here

        return onnx.numpy_helper.to_array(value).tolist()
    return list(value) if isinstance(value, (list, tuple)) else value


class Program:
    """Runs the packed network. Shapes and indices stay on the processor."""

    def __init__(self, packed: Path, device: torch.device) -> None:
        program = json.loads((packed / "program.json").read_text("utf-8"))
        self._output: str = program["output"]
        self._device = device
        self._values: dict[str, Tensor] = {}
        names = json.loads((packed / "names.json").read_text("utf-8"))
        for part in range(_FILES):
            arrays = np.load(packed / f"weights-{part}.npz")
            for number, name in enumerate(names[part]):
                self._values[name] = self._weight(np.asarray(arrays[str(number)]))
        self._lstms: dict[str, nn.LSTM] = {}
        self._lift_zero_points(program["steps"])
        self._steps = [
            (getattr(self, f"_{op.lower()}", None) or _SIMPLE[op], inputs, outputs, attributes)
            for op, inputs, outputs, attributes in program["steps"]
        ]
        self._free = _last_uses(program["steps"], set(self._values) | {self._output})

    def _lift_zero_points(self, steps: list[Any]) -> None:
        """Take zero points off the weights once and for all; those of the sound are 0 here."""
        for op, inputs, _, _ in steps:
            if op in ("MatMulInteger", "ConvInteger"):
                name, zero = inputs[1], inputs[3]
                lifted = f"{name} - {zero}"
                if lifted not in self._values:
                    self._values[lifted] = self._values[name] - self._values[zero]
                inputs[1:] = [lifted]

    def _weight(self, value: NDArray[Any]) -> Tensor:
        if value.dtype in (np.int64, np.int32):
            return torch.from_numpy(value.astype(np.int64))
        floats = torch.from_numpy(value.astype(np.float32))
        return floats.to(self._device)

    @torch.inference_mode()
    def run(self, **inputs: Tensor) -> Tensor:
        """Return the output for named inputs."""
        values = dict(self._values)
        values.update({name: value.to(self._device) for name, value in inputs.items()})
        for (step, names, outputs, attributes), free in zip(self._steps, self._free, strict=True):
            given = [values[name] if name else None for name in names]
            made = step(attributes, *given)
            made = made if isinstance(made, (tuple, list)) else (made,)
            values.update(zip(outputs, made, strict=False))
            for name in free:
                values.pop(name, None)
        return values[self._output]

    # ---- steps that need more than their inputs

    def _dynamicquantizelstm(
        self, attributes: Attributes, sound: Tensor, *weights: Tensor
    ) -> tuple[Tensor]:
        key = str(weights[0].data_ptr())
        if key not in self._lstms:
            self._lstms[key] = _lstm(attributes["hidden_size"], *weights).to(self._device)
        heard, _ = self._lstms[key](sound)
        rows, batch, _ = heard.shape
        return (heard.reshape(rows, batch, 2, -1).transpose(1, 2),)

    def _constantofshape(self, attributes: Attributes, shape: Tensor) -> Tensor:
        filled = torch.full(shape.tolist(), attributes["value"][0])
        return filled.to(self._device) if isinstance(attributes["value"][0], float) else filled

    def _range(self, _: Attributes, first: Tensor, end: Tensor, step: Tensor) -> Tensor:
        return torch.arange(int(first), int(end), int(step))


def _last_uses(steps: list[Any], kept: set[str]) -> list[list[str]]:
    """Return which values may go after each step."""
    last: dict[str, int] = {}
    for number, (_, inputs, outputs, _) in enumerate(steps):
        for name in [*inputs, *outputs]:
            last[name] = number
    made = {name for _, _, outputs, _ in steps for name in outputs if name}
    free: list[list[str]] = [[] for _ in steps]
    for name, number in last.items():
        if name in made and name not in kept:
            free[number].append(name)
    return free


def _lstm(hidden: int, *given: Tensor) -> nn.LSTM:
    """Return ONNX's two-way LSTM as PyTorch's: gates i, o, f, c become i, f, c, o."""
    inward, recurrent, bias, _, _, _, _, s_in, z_in, s_rec, z_rec = given
    made = nn.LSTM(inward.shape[1], hidden, bidirectional=True)

    def ordered(rows: Tensor) -> Tensor:
        gate = rows.reshape(4, hidden, *rows.shape[1:])
        return gate[[0, 2, 3, 1]].reshape(rows.shape)

    for way, tail in ((0, ""), (1, "_reverse")):
        exact_in = (inward[way] - z_in[way]) * s_in[way]
        exact_rec = (recurrent[way] - z_rec[way]) * s_rec[way]
        state = {
            "weight_ih_l0": ordered(exact_in.T),
            "weight_hh_l0": ordered(exact_rec.T),
            "bias_ih_l0": ordered(bias[way][: 4 * hidden]),
            "bias_hh_l0": ordered(bias[way][4 * hidden :]),
        }
        for name, value in state.items():
            getattr(made, name + tail).data.copy_(value)
    return made


def _same(*tensors: Tensor) -> list[Tensor]:
    """Bring tensors to one device, that of the GPU if any is there."""
    place = next((one.device for one in tensors if one.is_cuda), tensors[0].device)
    return [one.to(place) for one in tensors]


def _quantise(_: Attributes, value: Tensor) -> tuple[Tensor, Tensor, Tensor]:
    step = torch.full((), _FINE, device=value.device)
    return value / _FINE, step, torch.zeros((), device=value.device)


def _convolve(attributes: Attributes, sound: Tensor, weight: Tensor, *rest: Tensor) -> Tensor:
    pads = attributes["pads"]
    return fn.conv1d(
        fn.pad(sound, (pads[0], pads[1])),
        weight,
        rest[0] if rest else None,
        attributes["strides"][0],
        0,
        attributes["dilations"][0],
        attributes["group"],
    )


def _widen(attributes: Attributes, sound: Tensor, weight: Tensor, *bias: Tensor) -> Tensor:
    return fn.conv_transpose1d(
        sound,
        weight,
        bias[0] if bias else None,
        attributes["strides"][0],
        attributes["pads"][0],
        attributes.get("output_padding", [0])[0],
        attributes["group"],
    )


def _product(_: Attributes, left: Tensor, right: Tensor) -> Tensor:
    return torch.matmul(*_same(left, right))


def _fused_product(attributes: Attributes, left: Tensor, right: Tensor) -> Tensor:
    left, right = _same(left, right)
    left = left.transpose(-1, -2) if attributes["transA"] else left
    right = right.transpose(-1, -2) if attributes["transB"] else right
    return attributes["alpha"] * torch.matmul(left, right)


def _cast(attributes: Attributes, value: Tensor) -> Tensor:
    if attributes["to"] == _WHOLE:
        return value.long()
    return value.bool() if attributes["to"] == _TRUTH else value.float()


def _gather(attributes: Attributes, value: Tensor, index: Tensor) -> Tensor:
    axis = attributes.get("axis", 0) % value.dim()
    index = index.long().to(value.device)
    index = torch.where(index < 0, index + value.shape[axis], index)
    picked = value.index_select(axis, index.reshape(-1))
    return picked.reshape([*value.shape[:axis], *index.shape, *value.shape[axis + 1 :]])


def _slice(_: Attributes, value: Tensor, *given: Tensor) -> Tensor:
    starts, ends = given[0].tolist(), given[1].tolist()
    axes = given[2].tolist() if len(given) > 2 else list(range(len(starts)))
    steps = given[3].tolist() if len(given) > 3 else [1] * len(starts)
    for start, end, axis, step in zip(starts, ends, axes, steps, strict=True):
        index = [slice(None)] * value.dim()
        index[axis] = slice(start, min(end, value.shape[axis]), step)
        value = value[tuple(index)]
    return value


def _split(attributes: Attributes, value: Tensor, *sizes: Tensor) -> list[Tensor]:
    axis = attributes.get("axis", 0)
    if sizes:
        return list(value.split(sizes[0].tolist(), axis))
    return list(value.chunk(attributes.get("num_outputs", 2), axis))


def _reshape(_: Attributes, value: Tensor, shape: Tensor) -> Tensor:
    sizes = [value.shape[place] if size == 0 else size for place, size in enumerate(shape.tolist())]
    return value.reshape(sizes)


def _mean(attributes: Attributes, value: Tensor, *axes: Tensor) -> Tensor:
    over = axes[0].tolist() if axes else attributes["axes"]
    return value.mean(over, keepdim=bool(attributes.get("keepdims", 1)))


def _total(attributes: Attributes, value: Tensor, axes: Tensor) -> Tensor:
    return value.sum(axes.tolist(), keepdim=bool(attributes["keepdims"]))


def _normal(attributes: Attributes, value: Tensor, weight: Tensor, bias: Tensor) -> Tensor:
    return fn.layer_norm(value, value.shape[-1:], weight, bias, attributes["epsilon"])


def _skip_normal(
    attributes: Attributes, value: Tensor, skip: Tensor, weight: Tensor, *bias: Tensor
) -> Tensor:
    whole = value + skip + (bias[1] if len(bias) > 1 else 0)
    return fn.layer_norm(whole, whole.shape[-1:], weight, bias[0], attributes["epsilon"])


def _transform(_: Attributes, sound: Tensor, step: Tensor, window: Tensor, size: Tensor) -> Tensor:
    frames = sound.squeeze(-1).unfold(-1, int(size), int(step))
    return torch.view_as_real(torch.fft.rfft(frames * window))


def _put(_: Attributes, value: Tensor, index: Tensor, updates: Tensor) -> Tensor:
    changed = value.clone()
    index = index.to(value.device)
    changed[tuple(index.unbind(-1))] = updates.to(value.device)
    return changed


def _stretch(_: Attributes, value: Tensor, __: object, scales: Tensor) -> Tensor:
    return fn.interpolate(value, scale_factor=float(scales[-1]), mode="nearest")


def _pad(attributes: Attributes, value: Tensor, pads: Tensor, *_: Tensor) -> Tensor:
    sizes = pads.tolist()
    half = len(sizes) // 2
    wanted = [size for axis in reversed(range(half)) for size in (sizes[axis], sizes[half + axis])]
    while wanted[-2:] == [0, 0]:
        wanted = wanted[:-2]
    return fn.pad(value, wanted, attributes.get("mode", "constant"))


def _unsqueeze(_: Attributes, value: Tensor, axes: Tensor) -> Tensor:
    for axis in sorted(axes.tolist()):
        value = value.unsqueeze(axis)
    return value


def _squeeze(_: Attributes, value: Tensor, *axes: Tensor) -> Tensor:
    return value.squeeze(tuple(axes[0].tolist())) if axes else value.squeeze()


def _clip(_: Attributes, value: Tensor, *limits: Tensor | None) -> Tensor:
    low, high = (*limits, None, None)[:2]
    return torch.clamp(value, *(None if one is None else float(one) for one in (low, high)))


def _expand(_: Attributes, value: Tensor, shape: Tensor) -> Tensor:
    return value * torch.ones(shape.tolist(), dtype=value.dtype, device=value.device)


def _dequantise(_: Attributes, value: Tensor, scale: Tensor, *zero: Tensor) -> Tensor:
    return (value - zero[0] if zero else value).float() * scale


def _gelu(_: Attributes, value: Tensor, *bias: Tensor) -> Tensor:
    return fn.gelu(value + bias[0] if bias else value, approximate="tanh")


def _divide(_: Attributes, left: Tensor, right: Tensor) -> Tensor:
    left, right = _same(left, right)
    whole = not (left.is_floating_point() or right.is_floating_point())
    return torch.div(left, right, rounding_mode="trunc" if whole else None)


_SIMPLE: dict[str, Any] = {
    "Add": lambda _, a, b: torch.add(*_same(a, b)),
    "Sub": lambda _, a, b: torch.sub(*_same(a, b)),
    "Mul": lambda _, a, b: torch.mul(*_same(a, b)),
    "Pow": lambda _, a, b: torch.pow(*_same(a, b)),
    "Div": _divide,
    "Equal": lambda _, a, b: torch.eq(*_same(a, b)),
    "Greater": lambda _, a, b: torch.gt(*_same(a, b)),
    "Less": lambda _, a, b: torch.lt(*_same(a, b)),
    "GreaterOrEqual": lambda _, a, b: torch.ge(*_same(a, b)),
    "And": lambda _, a, b: torch.logical_and(*_same(a, b)),
    "Where": lambda _, *abc: torch.where(*_same(*abc)),
    "Sin": lambda _, a: torch.sin(a),
    "Cos": lambda _, a: torch.cos(a),
    "Atan": lambda _, a: torch.atan(torch.where(torch.isnan(a), 0.0, a)),  # of 0 / 0: silence
    "Exp": lambda _, a: torch.exp(a),
    "Tanh": lambda _, a: torch.tanh(a),
    "Sqrt": lambda _, a: torch.sqrt(a),
    "Floor": lambda _, a: torch.floor(a),
    "Round": lambda _, a: torch.round(a),
    "Sigmoid": lambda _, a: torch.sigmoid(a),
    "Softmax": lambda at, a: torch.softmax(a, at.get("axis", -1)),
    "LeakyRelu": lambda at, a: fn.leaky_relu(a, at.get("alpha", 0.01)),
    "Transpose": lambda at, a: a.permute(at["perm"]),
    "Concat": lambda at, *parts: torch.cat(_same(*parts), at["axis"]),
    "Shape": lambda _, a: torch.tensor(a.shape),
    "NonZero": lambda _, a: torch.nonzero(a).T,
    "CumSum": lambda _, a, axis: torch.cumsum(a, int(axis)),
    "Cast": _cast,
    "Gather": _gather,
    "Slice": _slice,
    "Split": _split,
    "Reshape": _reshape,
    "ReduceMean": _mean,
    "ReduceSum": _total,
    "LayerNormalization": _normal,
    "SkipLayerNormalization": _skip_normal,
    "FastGelu": _gelu,
    "STFT": _transform,
    "ScatterND": _put,
    "Resize": _stretch,
    "Pad": _pad,
    "Unsqueeze": _unsqueeze,
    "Squeeze": _squeeze,
    "Clip": _clip,
    "Expand": _expand,
    "DequantizeLinear": _dequantise,
    "DynamicQuantizeLinear": _quantise,
    "MatMulInteger": _product,
    "MatMul": _product,
    "FusedMatMul": _fused_product,
    "ConvInteger": _convolve,
    "Conv": _convolve,
    "ConvTranspose": _widen,
}


class GpuSpeaker:
    """Speaks like ``speech.Speaker``, on the device."""

    def __init__(self, packed: Path, device: torch.device) -> None:
        self._program = Program(packed, device)
        vocabulary = json.loads((packed / "vocab.json").read_text("utf-8"))
        self._number: dict[str, int] = vocabulary["vocab"]
        self._styles = StyleTables(_unpacked_voices(packed))

    def say(self, said: dict[str, Any]) -> NDArray[np.int16]:
        """Return a planned utterance at 16 kHz."""
        numbers = [self._number[sign] for sign in said["phonemes"] if sign in self._number]
        style = self._styles.row(voice_from(said["voice"]), len(numbers))[None]
        sound = self._program.run(
            tokens=torch.tensor([[0, *numbers, 0]]),
            style=torch.from_numpy(style.astype(np.float32)),
            speed=torch.tensor([said["speed"]], dtype=torch.float32),
        )
        return to_int16(finished(np.ravel(sound.cpu().numpy())))


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


def _worker(worker: int, asked: argparse.Namespace) -> None:
    torch.set_num_threads(1)
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.allow_tf32 = True
    began = time.monotonic()
    speaker = GpuSpeaker(asked.packed, torch.device("cuda" if torch.cuda.is_available() else "cpu"))
    made = Corpus(asked.out / "made", worker)
    lines = (asked.out / "corpus" / "utts.jsonl").read_text("utf-8").splitlines()[asked.first :]
    for line in lines[worker :: asked.processes]:
        if time.monotonic() - began > asked.seconds:
            break
        said = json.loads(line)
        sound = speaker.say(said)
        if len(sound):
            made.add(said["id"], sound)
    hours = made.samples / RATE / 3600
    print(f"worker {worker}: {len(made.made)} clips, {hours:.2f} h", flush=True)


def main() -> None:
    """Pack the network, or speak with it."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("what", choices=["pack", "make"])
    parser.add_argument("packed", type=Path, metavar="source")
    parser.add_argument("out", type=Path)
    parser.add_argument("--first", type=int, default=0, help="id of the first text")
    parser.add_argument("--seconds", type=float, default=240)
    parser.add_argument("--processes", type=int, default=1)
    asked = parser.parse_args()
    if asked.what == "pack":
        pack(Parts(asked.packed), asked.out)
        return
    (asked.out / "made").mkdir(parents=True, exist_ok=True)
    torch.multiprocessing.spawn(_worker, (asked,), asked.processes)
    shutil.copy(asked.out / "corpus" / "utts.jsonl", asked.out / "made")


if __name__ == "__main__":
    main()
