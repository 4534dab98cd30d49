"""Runs a packed ONNX network in PyTorch, step by step. ``torch_speech.py`` packs and speaks.

Values may be changed on their way: a touch is a function for one named value, and that is how a
voice is given another rhythm and another melody.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn
from torch_steps import SIMPLE, Attributes, lstm

FILES = 2
"""Files that the weights are spread over."""
Touch = Callable[[Tensor], Tensor]


class Program:
    """Runs the packed network. Shapes and indices stay on the processor."""

    def __init__(self, packed: Path, device: torch.device) -> None:
        program = json.loads((packed / "program.json").read_text("utf-8"))
        self._output: str = program["output"]
        self._device = device
        self._values: dict[str, Tensor] = {}
        names = json.loads((packed / "names.json").read_text("utf-8"))
        for part in range(FILES):
            arrays = np.load(packed / f"weights-{part}.npz")
            for number, name in enumerate(names[part]):
                self._values[name] = self._weight(np.asarray(arrays[str(number)]))
        self._lstms: dict[str, nn.LSTM] = {}
        self._lift_zero_points(program["steps"])
        self._steps = [
            (getattr(self, f"_{op.lower()}", None) or SIMPLE[op], inputs, outputs, attributes)
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
    def run(self, touches: dict[str, Touch], **inputs: Tensor) -> Tensor:
        """Return the output for named inputs; ``touches`` change the values they are named for."""
        values = dict(self._values)
        values.update({name: value.to(self._device) for name, value in inputs.items()})
        for (step, names, outputs, attributes), free in zip(self._steps, self._free, strict=True):
            given = [values[name] if name else None for name in names]
            made = step(attributes, *given)
            made = made if isinstance(made, (tuple, list)) else (made,)
            values.update(zip(outputs, made, strict=False))
            if outputs[0] in touches:
                values[outputs[0]] = touches[outputs[0]](values[outputs[0]])
            for name in free:
                values.pop(name, None)
        return values[self._output]

    # ---- steps that need more than their inputs

    def _dynamicquantizelstm(
        self, attributes: Attributes, sound: Tensor, *weights: Tensor
    ) -> tuple[Tensor]:
        key = str(weights[0].data_ptr())
        if key not in self._lstms:
            self._lstms[key] = lstm(attributes["hidden_size"], *weights).to(self._device)
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
