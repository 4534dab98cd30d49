"""Turns a training checkpoint into the model folder that ships.

    python models/recipe/export.py CHECKPOINT models/ear [--second CHECKPOINT]

Needs torch (to read the checkpoint) and numpy. The lexicon already in the folder stays; write it
with lexicon.py. Batch normalisation is folded into the weights, and the step from Kaldi's MFCCs
back to the log-mel features of training into the first layer.
"""

from __future__ import annotations

import argparse
import hashlib
import json
from datetime import datetime, timezone
from pathlib import Path
from typing import Any

import numpy as np
import torch
from features import BANDS, MFCC_CONF, mfcc_matrix
from kaldi_files import Layer, Matrix, acoustic_model, phone_list
from voices import HELD_OUT_PEOPLE

FORMAT = 1
"""Raise when the program that reads the folder must change with it."""
_BATCH_NORM_EPSILON = 1e-5
_LASTING_SILENCE = 1
"""The output for silence that goes on."""
MODEL_CONF = """\
--min-active=200
--max-active=3000
--beam=13.0
--lattice-beam=10.0
--phone-determinize=false
--acoustic-scale=1.0
--frame-subsampling-factor=3
--endpoint.silence-phones=1
--endpoint.rule2.min-trailing-silence=0.5
--endpoint.rule3.min-trailing-silence=1.0
--endpoint.rule4.min-trailing-silence=2.0
"""


def layers_of(checkpoint: dict[str, Any], silence: float = 0.0) -> tuple[list[Layer], int]:
    """Return the layers and the frames of context on each side.

    ``silence`` is added to the output of lasting silence, in natural logarithms a frame.
    """
    weights = {name: value.double().numpy() for name, value in checkpoint["sd"].items()}
    count = 3 + int(checkpoint["nres"])
    layers = [_hidden_layer(weights, index) for index in range(count)]
    output = weights["out.weight"][:, :, 0]
    bias = weights["out.bias"].copy()
    bias[_LASTING_SILENCE] += silence
    layers.append(Layer("output", (0,), output, bias, relu=False))
    return layers, 3 + 3 * (count - 3)


def _hidden_layer(weights: dict[str, Matrix], index: int) -> Layer:
    kernel, bias = _without_batch_norm(weights, index)
    blocks = [kernel[:, :, place] for place in range(3)]
    if index == 0:
        deviation = weights["sd"]
        bias = bias - sum(block @ (weights["mu"] / deviation) for block in blocks)
        to_log_mel = np.diag(1 / deviation) @ np.linalg.inv(mfcc_matrix())
        blocks = [block @ to_log_mel for block in blocks]
    name, narrow = f"tdnn{index + 1}", index < 3
    below = f"tdnn{index}.relu" if index == 3 else f"tdnn{index}.noop"
    offsets = (-1, 0, 1) if narrow else (-3, 0, 3)
    whole = np.concatenate(blocks, axis=1)
    return Layer(name, offsets, whole, bias, skip_from=None if narrow else below)


def _without_batch_norm(weights: dict[str, Matrix], index: int) -> tuple[Matrix, Matrix]:
    deviation = np.sqrt(weights[f"bn.{index}.running_var"] + _BATCH_NORM_EPSILON)
    gain = weights[f"bn.{index}.weight"] / deviation
    shift = weights[f"c.{index}.bias"] - weights[f"bn.{index}.running_mean"]
    bias = shift * gain + weights[f"bn.{index}.bias"]
    return weights[f"c.{index}.weight"] * gain[:, None, None], bias


def export(
    checkpoint_path: Path, folder: Path, note: str, silence: float, second: Path | None = None
) -> None:
    """Write the model folder."""
    for part in ("am", "conf"):
        (folder / part).mkdir(parents=True, exist_ok=True)
    about = {
        "format": FORMAT,
        "made": datetime.now(timezone.utc).date().isoformat(),
        **_network(checkpoint_path, folder / "am" / "final.mdl", silence),
        "silence": silence,
        "trained_on": note,
        "held_out_speakers": list(HELD_OUT_PEOPLE),
    }
    if second is None:
        (folder / "am" / "second.mdl").unlink(missing_ok=True)
    else:
        about["second"] = _network(second, folder / "am" / "second.mdl", silence)
    (folder / "conf" / "mfcc.conf").write_text(MFCC_CONF, encoding="ascii")
    (folder / "conf" / "model.conf").write_text(MODEL_CONF, encoding="ascii")
    rows = [f"{phone.name} {phone.place}" for phone in phone_list()]
    (folder / "phones.txt").write_text("\n".join(rows) + "\n", encoding="ascii")
    text = json.dumps(about, indent=2, ensure_ascii=False)
    (folder / "about.json").write_text(text + "\n", encoding="utf-8")


def _network(checkpoint_path: Path, out: Path, silence: float) -> dict[str, Any]:
    """Write one network; return what about.json tells of it."""
    checkpoint = torch.load(checkpoint_path, weights_only=False, map_location="cpu")
    layers, context = layers_of(checkpoint, silence)
    model = acoustic_model(layers, BANDS, context, context)
    out.write_bytes(model)
    parameters = sum(layer.weight.size + layer.bias.size for layer in layers)
    print(f"{out}: {parameters:,} parameters, {len(model):,} bytes")
    return {
        "parameters": parameters,
        "sha256": hashlib.sha256(model).hexdigest(),
        "checkpoint_sha256": hashlib.sha256(checkpoint_path.read_bytes()).hexdigest(),
    }


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("checkpoint", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--note", default="", help="one line on what it was trained on")
    parser.add_argument(
        "--silence", type=float, default=0.0, help="a frame's bonus for silence, see README.md"
    )
    parser.add_argument("--second", type=Path, help="another network, for a second opinion")
    options = parser.parse_args()
    export(options.checkpoint, options.folder, options.note, options.silence, options.second)


if __name__ == "__main__":
    main()
