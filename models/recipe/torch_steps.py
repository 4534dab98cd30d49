"""What each kind of step of an ONNX network does, in PyTorch. ``torch_program.py`` runs them.

Only the kinds that the speech network needs, and of these only what it uses.
"""

from __future__ import annotations

from typing import Any

import torch
from torch import Tensor, nn
from torch.nn import functional as fn

Attributes = dict[str, Any]
_FINE = 2.0**-13
"""The step of what stands in for 8-bit rounding: so small that it rounds nothing."""
_WHOLE, _TRUTH = 7, 9
"""ONNX's numbers for int64 and bool."""


def lstm(hidden: int, *given: Tensor) -> nn.LSTM:
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


SIMPLE: dict[str, Any] = {
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
