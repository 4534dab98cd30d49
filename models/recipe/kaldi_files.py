"""Writes ``am/final.mdl`` as Kaldi writes it: a transition model and an nnet3 network.

Needs numpy only; no part of Kaldi. The topology is that of Kaldi's chain models with one state
per phone: a first frame (forward) and any number of later ones (self-loop), each with a pdf of
its own. Phones that belong to words have four variants by place in the word (begin, end, inside,
alone), which share their two pdfs; silence has one.
"""

from __future__ import annotations

import io
import math
import struct
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Matrix = npt.NDArray[np.float64]

SILENCE = "SIL"
SPOKEN = (  # noqa: SIM905 - a list of forty strings reads worse
    "AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW "
    "V W Y Z ZH"
).split()
BASE_PHONES = (SILENCE, *SPOKEN)
"""The order of the network's outputs: two for each, first frame and later frames."""
PLACES = (("_B", "begin"), ("_E", "end"), ("_I", "internal"), ("_S", "singleton"))
"""Suffix and Kaldi's name for each place in a word."""
_STEPS = 65_535


@dataclass(frozen=True)
class Phone:
    """One phone of the model; its number is its place in the list, from 1."""

    name: str
    base: str
    place: str
    """begin, end, internal, singleton; ``nonword`` for silence."""


def phone_list() -> list[Phone]:
    """Return all phones, in order of their numbers."""
    spoken = [Phone(base + end, base, place) for base in SPOKEN for end, place in PLACES]
    return [Phone(SILENCE, SILENCE, "nonword"), *spoken]


@dataclass(frozen=True)
class Layer:
    """One affine layer of the network, as Kaldi sees it."""

    name: str
    offsets: tuple[int, ...]
    """Frames of the layer below that it sees, relative to its own."""
    weight: Matrix
    """Shape (outputs, inputs * len(offsets)), offset by offset."""
    bias: Matrix
    relu: bool = True
    skip_from: str | None = None
    """The node that is added to its output."""


class KaldiWriter:
    """Collects bytes in Kaldi's binary form."""

    def __init__(self) -> None:
        self._bytes = io.BytesIO()
        self._bytes.write(b"\0B")

    def token(self, *names: str) -> None:
        """Write names such as ``<Tuples>``."""
        for name in names:
            self._bytes.write(name.encode() + b" ")

    def raw(self, text: str) -> None:
        """Write text as it is."""
        self._bytes.write(text.encode())

    def integer(self, *values: int) -> None:
        """Write 32-bit integers, each with its length byte."""
        for value in values:
            self._bytes.write(b"\x04" + struct.pack("<i", value))

    def single(self, value: float) -> None:
        """Write a 32-bit float."""
        self._bytes.write(b"\x04" + struct.pack("<f", value))

    def double(self, value: float) -> None:
        """Write a 64-bit float."""
        self._bytes.write(b"\x08" + struct.pack("<d", value))

    def integers(self, values: Iterable[int]) -> None:
        """Write a vector of 32-bit integers."""
        block = np.asarray(list(values), "<i4")
        self._bytes.write(b"\x04" + struct.pack("<i", block.size) + block.tobytes())

    def vector(self, values: npt.ArrayLike) -> None:
        """Write a vector of 32-bit floats."""
        block = np.asarray(values, "<f4")
        self.token("FV")
        self.integer(block.size)
        self._bytes.write(block.tobytes())

    def matrix(self, values: npt.ArrayLike) -> None:
        """Write a matrix of 32-bit floats, row by row."""
        block = np.ascontiguousarray(values, "<f4")
        self.token("FM")
        self.integer(*block.shape)
        self._bytes.write(block.tobytes())

    def packed_matrix(self, values: npt.ArrayLike) -> None:
        """Write a matrix row by row in 16 bits a value: even steps from its least to its greatest.

        Kaldi's ``CompressedMatrix`` of the two-byte kind, which it reads wherever it reads a
        matrix of floats.
        """
        block = np.ascontiguousarray(values, np.float64)
        least = float(np.float32(block.min()))
        span = float(np.float32(max(block.max() - least, 1e-5)))
        steps = np.clip(np.rint((block - least) / span * _STEPS), 0, _STEPS)
        self.token("CM2")
        # Unlike elsewhere, no length byte stands before these numbers.
        self._bytes.write(struct.pack("<ffii", least, span, *block.shape))
        self._bytes.write(steps.astype("<u2").tobytes())

    def done(self) -> bytes:
        """Return all that was written."""
        return self._bytes.getvalue()


def acoustic_model(layers: Sequence[Layer], features: int, left: int, right: int) -> bytes:
    """Return the bytes of ``final.mdl``.

    ``features`` is the input width; ``left`` and ``right`` are the frames of context that the
    whole network sees.
    """
    out = KaldiWriter()
    _transition_model(out, phone_list())
    _network(out, layers, features)
    out.token("<LeftContext>")
    out.integer(left)
    out.token("<RightContext>")
    out.integer(right)
    out.token("<Priors>")
    out.vector([])
    return out.done()


def _transition_model(out: KaldiWriter, phones: Sequence[Phone]) -> None:
    count = len(phones)
    out.token("<TransitionModel>")
    _topology(out, count)
    out.token("<Tuples>")
    out.integer(count)
    for number, phone in enumerate(phones, start=1):
        pdf = 2 * BASE_PHONES.index(phone.base)
        out.integer(number, 0, pdf, pdf + 1)
    # Two transitions a phone (stay, leave), numbered from 1: hence the unused first place.
    out.token("</Tuples>", "<LogProbs>")
    out.vector([0.0] + [math.log(0.5)] * (2 * count))
    out.token("</LogProbs>", "</TransitionModel>")


def _topology(out: KaldiWriter, count: int) -> None:
    out.token("<Topology>")
    out.integers(range(1, count + 1))
    out.integers([-1] + [0] * count)
    # -1 says that first and later frames have pdfs of their own; then one entry of two states.
    out.integer(-1, 1, 2)
    out.integer(0, 1, 2)
    for target in (0, 1):
        out.integer(target)
        out.single(0.5)
    out.integer(-1, -1, 0)
    out.token("</Topology>")


def _network(out: KaldiWriter, layers: Sequence[Layer], features: int) -> None:
    lines = [f"input-node name=input dim={features}"]
    parts: list[tuple[str, str, Layer]] = []
    below = "input"
    for layer in layers:
        nodes = _nodes(layer, below)
        for name, kind, takes in nodes:
            lines.append(f"component-node name={name} component={name} input={takes}")
            parts.append((name, kind, layer))
        below = nodes[-1][0]
    lines.append(f"output-node name=output input={below} objective=linear")
    out.token("<Nnet3>")
    out.raw("\n" + "\n".join(lines) + "\n\n")
    out.token("<NumComponents>")
    out.integer(len(parts))
    for name, kind, layer in parts:
        out.token("<ComponentName>", name)
        _component(out, kind, layer)
    out.token("</Nnet3>")


def _nodes(layer: Layer, below: str) -> list[tuple[str, str, str]]:
    """Return (node, kind, input descriptor) of one layer, bottom first."""
    seen = [below if offset == 0 else f"Offset({below}, {offset})" for offset in layer.offsets]
    takes = seen[0] if len(seen) == 1 else f"Append({', '.join(seen)})"
    nodes = [(f"{layer.name}.affine", "affine", takes)]
    if layer.relu:
        nodes.append((f"{layer.name}.relu", "relu", nodes[-1][0]))
    if layer.skip_from is not None:
        nodes.append((f"{layer.name}.noop", "noop", f"Sum({layer.skip_from}, {nodes[-1][0]})"))
    return nodes


def _component(out: KaldiWriter, kind: str, layer: Layer) -> None:
    size = len(layer.bias)
    if kind == "affine":
        out.token("<FixedAffineComponent>", "<LinearParams>")
        out.packed_matrix(layer.weight)
        out.token("<BiasParams>")
        out.vector(layer.bias)
        out.token("</FixedAffineComponent>")
    elif kind == "relu":
        out.token("<RectifiedLinearComponent>", "<Dim>")
        out.integer(size)
        out.token("<ValueAvg>")
        out.vector([])
        out.token("<DerivAvg>")
        out.vector([])
        out.token("<Count>")
        out.double(0.0)
        out.token("</RectifiedLinearComponent>")
    else:
        out.token("<NoOpComponent>", "<Dim>")
        out.integer(size)
        out.token("<BackpropScale>")
        out.single(1.0)
        out.token("</NoOpComponent>")
