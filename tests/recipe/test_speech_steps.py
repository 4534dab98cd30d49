"""The speech network's steps and program in PyTorch, against ONNX's rules worked out with numpy."""

import json

import numpy as np
import pytest

torch = pytest.importorskip(
    "torch", reason="torch is not installed; models/recipe/requirements.txt has it"
)

from torch_program import Program  # noqa: E402 - needs torch
from torch_steps import SIMPLE, lstm  # noqa: E402

GRID = np.arange(12.0, dtype=np.float32).reshape(3, 4)
CPU = torch.device("cpu")


def whole(*numbers: int) -> np.ndarray:
    """Return integers as ONNX gives indices."""
    return np.array(numbers, np.int64)


@pytest.mark.parametrize(
    ("step", "attributes", "inputs", "wanted"),
    [
        ("Gather", {"axis": 1}, [GRID, whole(-1, 0)], GRID[:, [-1, 0]]),
        ("Gather", {}, [GRID, np.array(2)], GRID[2]),
        ("Slice", {}, [GRID, whole(1), whole(2**62), whole(0)], GRID[1:]),
        ("Slice", {}, [GRID, whole(0), whole(4), whole(-1), whole(2)], GRID[:, ::2]),
        ("Reshape", {}, [GRID, whole(0, 2, -1)], GRID.reshape(3, 2, 2)),
        ("Pad", {}, [GRID, whole(1, 0, 0, 2)], np.pad(GRID, ((1, 0), (0, 2)))),
        ("Transpose", {"perm": [1, 0]}, [GRID], GRID.T),
        ("Unsqueeze", {}, [GRID, whole(2, 0)], GRID[None, :, None]),
        ("Squeeze", {}, [GRID[None], whole(0)], GRID),
        ("ReduceMean", {"keepdims": 0}, [GRID, whole(1)], GRID.mean(1)),
        ("ReduceSum", {"keepdims": 1}, [GRID, whole(0)], GRID.sum(0, keepdims=True)),
        ("Div", {}, [whole(7, -7), whole(2, 2)], whole(3, -3)),
        ("Div", {}, [GRID, np.float32(2)], GRID / 2),
        ("Cast", {"to": 7}, [np.float32([1.9, -1.9])], whole(1, -1)),
        ("Cast", {"to": 9}, [whole(0, 3)], np.array([False, True])),
        ("Clip", {}, [GRID, None, np.float32(3)], np.minimum(GRID, 3)),
        ("Clip", {}, [GRID, np.float32(3)], np.maximum(GRID, 3)),
        ("Expand", {}, [GRID[:, :1], whole(3, 2)], np.repeat(GRID[:, :1], 2, 1)),
        ("CumSum", {}, [GRID, np.array(1)], GRID.cumsum(1)),
        ("NonZero", {}, [np.float32([[0, 2], [3, 0]])], np.array([[0, 1], [1, 0]])),
        ("Shape", {}, [GRID], whole(3, 4)),
        ("Atan", {}, [np.float32([np.nan, 1])], np.arctan(np.float32([0, 1]))),
        ("DequantizeLinear", {}, [whole(5, 9), np.float32(0.5), whole(3, 3)], np.float32([1, 3])),
        ("Concat", {"axis": 1}, [GRID, GRID[:, :1]], np.hstack([GRID, GRID[:, :1]])),
        (
            "FusedMatMul",
            {"transA": 0, "transB": 1, "alpha": 0.5},
            [GRID, GRID],
            0.5 * GRID @ GRID.T,
        ),
        (
            "ScatterND",
            {},
            [GRID, np.array([[0, 1], [2, 3]]), np.float32([-1, -2])],
            np.float32([[0, -1, 2, 3], [4, 5, 6, 7], [8, 9, 10, -2]]),
        ),
        (
            "Conv",
            {"pads": [2, 0], "strides": [1], "dilations": [1], "group": 1},
            [np.float32([[[1, 2, 3]]]), np.float32([[[1, 10, 100]]]), np.float32([5])],
            np.float32([[[105, 215, 326]]]),
        ),
        (
            "Resize",
            {},
            [np.float32([[[1, 2]]]), None, np.float32([1, 1, 2])],
            np.float32([[[1, 1, 2, 2]]]),
        ),
    ],
)
def test_a_step_does_what_onnx_says(step, attributes, inputs, wanted):
    """Results and their shapes are those of ONNX's operator."""
    given = [None if one is None else torch.from_numpy(np.array(one)) for one in inputs]
    made = SIMPLE[step](attributes, *given).numpy()

    assert made.shape == wanted.shape
    assert made == pytest.approx(wanted)


def test_split_parts_a_value_by_sizes_or_evenly():
    """Named sizes are kept; without them the parts are alike."""
    value = torch.from_numpy(GRID)
    by_size = SIMPLE["Split"]({"axis": 1}, value, torch.tensor([1, 3]))
    even = SIMPLE["Split"]({"axis": 1, "num_outputs": 2}, value)

    assert [part.shape[1] for part in by_size] == [1, 3]
    assert [part.shape[1] for part in even] == [2, 2]


def _sigmoid(value: np.ndarray) -> np.ndarray:
    return 1 / (1 + np.exp(-value))


def _onnx_lstm(sound, inward, recurrent, bias):
    """Walk one direction as ONNX's operator LSTM defines it, gates in the order i, o, f, c."""
    size = len(recurrent)
    state, cell, heard = np.zeros(size), np.zeros(size), []
    for row in sound:
        gates = row @ inward + state @ recurrent + bias[: 4 * size] + bias[4 * size :]
        enter, leave, keep, fresh = np.split(gates, 4)
        cell = _sigmoid(keep) * cell + _sigmoid(enter) * np.tanh(fresh)
        state = _sigmoid(leave) * np.tanh(cell)
        heard.append(state)
    return np.array(heard)


def test_lstm_follows_onnx_in_both_directions():
    """Gates stand in another order in PyTorch, and weights come as whole numbers with scales."""
    rng = np.random.default_rng(2)
    hidden, width, frames = 3, 5, 7
    inward = rng.integers(0, 255, (2, width, 4 * hidden))
    recurrent = rng.integers(0, 255, (2, hidden, 4 * hidden))
    bias = rng.normal(size=(2, 8 * hidden))
    zeros, scales = np.array([120, 130]), np.array([0.01, 0.02])
    packed = [inward, recurrent, bias, *[np.zeros(1)] * 4, scales, zeros, scales, zeros]
    made = lstm(hidden, *(torch.from_numpy(np.float32(one)) for one in packed))
    sound = rng.normal(size=(frames, width))
    with torch.no_grad():
        heard = made(torch.from_numpy(np.float32(sound))[:, None])[0][:, 0].numpy()
    exact = [
        ((inward[way] - zeros[way]) * scales[way], (recurrent[way] - zeros[way]) * scales[way])
        for way in (0, 1)
    ]
    ahead = _onnx_lstm(sound, *exact[0], bias[0])
    back = _onnx_lstm(sound[::-1], *exact[1], bias[1])[::-1]

    assert heard == pytest.approx(np.hstack([ahead, back]), abs=1e-5)


TABLE = np.random.default_rng(3).normal(size=(6, 4)).astype(np.float32)
WEIGHT = np.random.default_rng(4).integers(0, 255, (4, 3)).astype(np.uint8)
ZERO = np.uint8(117)
STEPS = [
    ["Gather", ["table", "tokens"], ["rows"], {"axis": 0}],
    ["DynamicQuantizeLinear", ["rows"], ["small", "scale", "zero"], {}],
    ["MatMulInteger", ["small", "weight", "zero", "weight zero"], ["product"], {}],
    ["Mul", ["product", "scale"], ["loud"], {}],
    ["Mul", ["loud", "quiet"], ["level"], {}],
    ["Shape", ["level"], ["shape"], {}],
    ["ConstantOfShape", ["shape"], ["ones"], {"value": [1.0]}],
    ["Add", ["level", "ones"], ["raised"], {}],
    ["Tanh", ["raised"], ["sound"], {}],
]


@pytest.fixture
def program(tmp_path) -> Program:
    """A packed network of nine steps, in the form that ``torch_speech.py pack`` writes."""
    (tmp_path / "program.json").write_text(json.dumps({"steps": STEPS, "output": "sound"}))
    names = [["table", "weight zero"], ["weight", "quiet"]]
    (tmp_path / "names.json").write_text(json.dumps(names))
    np.savez(tmp_path / "weights-0.npz", **{"0": TABLE, "1": ZERO})
    np.savez(tmp_path / "weights-1.npz", **{"0": WEIGHT, "1": np.float32(0.01)})
    return Program(tmp_path, CPU)


def expected(tokens: list[int], factor: float = 1.0) -> np.ndarray:
    """Return what the nine steps come to."""
    level = TABLE[tokens] @ (WEIGHT.astype(np.float32) - float(ZERO)) * 0.01
    return np.tanh(factor * level + 1)


def test_program_runs_its_steps(program):
    """Steps follow each other; zero points are off the weights; nothing is rounded to 8 bits."""
    sound = program.run({}, tokens=torch.tensor([5, 0, 2]))

    assert sound.numpy() == pytest.approx(expected([5, 0, 2]), abs=1e-4)


def test_program_can_run_again(program):
    """Values freed on the way are not those that the next run needs."""
    program.run({}, tokens=torch.tensor([1]))

    assert program.run({}, tokens=torch.tensor([3, 4])).numpy() == pytest.approx(
        expected([3, 4]), abs=1e-4
    )


def test_a_touch_changes_a_value_on_its_way(program):
    """What is done to a named value reaches everything behind it."""
    sound = program.run({"level": lambda value: 3 * value}, tokens=torch.tensor([2, 2]))

    assert sound.numpy() == pytest.approx(expected([2, 2], 3.0), abs=1e-4)
