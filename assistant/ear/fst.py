"""A transducer that can be written as OpenFst reads it. Imports nothing of ours.

Only what the recogniser's graph needs: states by number from 0, arcs with labels and a cost
(a negative logarithm of a probability), and the file form "vector" over "standard" arcs.
"""

from __future__ import annotations

import struct

import numpy as np

EPSILON = 0
"""The label that reads or writes nothing."""

_MAGIC = 2125659606
_VERSION = 2
_EXPANDED_AND_MUTABLE = 3
_HEAD = np.dtype([("final", "<f4"), ("arcs", "<i8")])
_ARC = np.dtype([("reads", "<i4"), ("writes", "<i4"), ("cost", "<f4"), ("to", "<i4")])


class Fst:
    """A transducer under construction; state 0 is the start."""

    def __init__(self) -> None:
        self._arcs: list[tuple[int, int, int, float, int]] = []
        self._finals: dict[int, float] = {}
        self._states = 0

    @property
    def states(self) -> int:
        """How many states there are."""
        return self._states

    @property
    def arcs(self) -> tuple[tuple[int, int, int, float, int], ...]:
        """All arcs: (from, reads, writes, cost, to)."""
        return tuple(self._arcs)

    @property
    def finals(self) -> dict[int, float]:
        """The cost of ending in each state in which that is possible."""
        return dict(self._finals)

    def state(self) -> int:
        """Add a state; return its number."""
        self._states += 1
        return self._states - 1

    def arc(self, start: int, reads: int, writes: int, cost: float, to: int) -> None:
        """Add an arc."""
        self._arcs.append((start, reads, writes, cost, to))

    def skip(self, start: int, cost: float, to: int) -> None:
        """Add an arc that reads and writes nothing."""
        self._arcs.append((start, EPSILON, EPSILON, cost, to))

    def final(self, state: int, cost: float = 0.0) -> None:
        """Let paths end in ``state``."""
        self._finals[state] = cost

    def to_bytes(self) -> bytes:
        """Return the file's bytes, the arcs of each state sorted by what they read."""
        rows = sorted(self._arcs)
        arcs = np.zeros(len(rows), _ARC)
        columns = list(zip(*rows, strict=True)) or [()] * 5
        for name, column in zip(("reads", "writes", "cost", "to"), columns[1:], strict=True):
            arcs[name] = column
        counts = np.bincount(np.asarray(columns[0], np.int64), minlength=self._states)
        heads = np.zeros(self._states, _HEAD)
        heads["final"] = np.inf
        heads["arcs"] = counts
        for state, cost in self._finals.items():
            heads["final"][state] = cost
        return self._header() + _interleaved(heads, arcs, counts)

    def _header(self) -> bytes:
        kinds = b"".join(struct.pack("<i", len(name)) + name for name in (b"vector", b"standard"))
        sizes = (_VERSION, 0, _EXPANDED_AND_MUTABLE, 0, self._states, len(self._arcs))
        return struct.pack("<i", _MAGIC) + kinds + struct.pack("<iiQqqq", *sizes)


def _interleaved(
    heads: np.ndarray[tuple[int], np.dtype[np.void]],
    arcs: np.ndarray[tuple[int], np.dtype[np.void]],
    counts: np.ndarray[tuple[int], np.dtype[np.intp]],
) -> bytes:
    """Return each state's head followed by its arcs."""
    sizes = _HEAD.itemsize + _ARC.itemsize * counts
    starts = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    out = np.zeros(int(starts[-1]), np.uint8)
    places = starts[:-1, None] + np.arange(_HEAD.itemsize)
    out[places] = heads.view(np.uint8).reshape(len(heads), -1)
    is_arc = np.ones(len(out), bool)
    is_arc[places] = False
    out[is_arc] = arcs.view(np.uint8).reshape(-1)
    return out.tobytes()
