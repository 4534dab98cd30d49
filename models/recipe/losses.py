"""Lattice-free MMI for whole phones: the graphs, and the loss with its gradient.

A phone has two outputs, one for its first frame and one for those that follow; a phone may last
one frame. The numerator is every way to say the words, with silence between them or without; the
denominator is a bigram of phones counted on the same texts. Both are walked as one dense block
matrix in double precision: two launches a frame in each direction, which is what a GPU likes.

Source: Povey et al., "Purely sequence-trained neural networks for ASR based on lattice-free MMI",
Interspeech 2016.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor

SILENCE = "SIL"
_SPOKEN = """\
AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z
ZH"""
PHONES = (SILENCE, *_SPOKEN.split())
OUTPUTS = 2 * len(PHONES)
_NUMBERS = {phone: number for number, phone in enumerate(PHONES)}
_RESCALED_EVERY = 8
_TINY = 1e-300
_HOPELESS = 600.0
_SEEDED = 0.3
"""Added to each count of the bigram."""
Words = tuple[str, ...]


@dataclass(frozen=True)
class Denominator:
    """The bigram of phones as a matrix between outputs."""

    steps: NDArray[np.float64]
    first: NDArray[np.float64]
    last: NDArray[np.float64]


@dataclass(frozen=True)
class Numerator:
    """All ways to say one text. Two states a phone; a step costs one half each way."""

    outputs: NDArray[np.int64]
    sources: NDArray[np.int64]
    targets: NDArray[np.int64]
    first: NDArray[np.int64]
    last: NDArray[np.int64]


class Graphs:
    """Builds graphs from words."""

    def __init__(self, lexicon: dict[str, list[list[str]]]) -> None:
        self._ways = {
            word: [[_NUMBERS[phone] for phone in way] for way in ways]
            for word, ways in lexicon.items()
        }
        self.numerator = lru_cache(maxsize=50_000)(self._numerator)

    def denominator(self, texts: Iterable[Words], seed: int) -> Denominator:
        """Count the phones of texts, with silence where people may leave it."""
        rng = random.Random(seed)
        count = len(PHONES)
        pairs = np.full((count, count), _SEEDED)
        first, last = np.full(count, _SEEDED), np.full(count, _SEEDED)
        for words in texts:
            phones = self._one_way(words, rng)
            first[phones[0]] += 1
            last[phones[-1]] += 1
            np.add.at(pairs, (phones[:-1], phones[1:]), 1)
        total = pairs.sum(1) + last
        steps = np.zeros((OUTPUTS, OUTPUTS))
        for phone in range(count):
            for state in (2 * phone, 2 * phone + 1):
                steps[state, 2 * phone + 1] += 0.5
                steps[state, 0::2] += 0.5 * pairs[phone] / total[phone]
        begin = np.zeros(OUTPUTS)
        begin[0::2] = first / first.sum()
        return Denominator(steps, begin, np.repeat(0.5 * last / total, 2))

    def _one_way(self, words: Words, rng: random.Random) -> list[int]:
        phones = [0] if rng.random() < 0.9 else []
        for word in words:
            phones += rng.choice(self._ways[word])
            if rng.random() < 0.3:
                phones.append(0)
        if not phones or (phones[-1] != 0 and rng.random() < 0.9):
            phones.append(0)
        return phones

    def _numerator(self, words: Words) -> Numerator:
        phones, before = [0], [list[int]()]
        first, ends = {0}, [0]
        for place, word in enumerate(words):
            word_ends = []
            for way in self._ways[word]:
                previous = list(ends)
                for step, phone in enumerate(way):
                    phones.append(phone)
                    before.append(previous)
                    node = len(phones) - 1
                    if step == 0 and place == 0:
                        first.add(node)
                    previous = [node]
                word_ends.append(previous[0])
            phones.append(0)
            before.append(list(word_ends))
            ends = [*word_ends, len(phones) - 1]
        return _two_states(phones, before, first, ends)


def _two_states(
    phones: list[int], before: list[list[int]], first: set[int], ends: list[int]
) -> Numerator:
    outputs, sources, targets = [], [], []
    for node, phone in enumerate(phones):
        outputs += [2 * phone, 2 * phone + 1]
        for previous in before[node]:
            sources += [2 * previous, 2 * previous + 1]
            targets += [2 * node, 2 * node]
        sources += [2 * node, 2 * node + 1]
        targets += [2 * node + 1, 2 * node + 1]
    begin = sorted(2 * node for node in first)
    last = sorted(state for node in ends for state in (2 * node, 2 * node + 1))
    rows = (outputs, sources, targets, begin, last)
    return Numerator(*(np.array(row, np.int64) for row in rows))


@dataclass(frozen=True)
class Stacked:
    """The numerators of a batch, with the row of each entry."""

    outputs: NDArray[np.int64]
    """Output of each state, [row, state]."""
    steps: NDArray[np.int64]
    """Row, source, target of each step, [3, step]."""
    first: NDArray[np.int64]
    """Row and state, [2, state]; so the next."""
    last: NDArray[np.int64]

    @staticmethod
    def of(graphs: list[Numerator]) -> Stacked:
        """Put graphs of several sizes side by side."""
        outputs = np.zeros((len(graphs), max(len(one.outputs) for one in graphs)), np.int64)
        for row, one in enumerate(graphs):
            outputs[row, : len(one.outputs)] = one.outputs
        rows, sources = _flat([one.sources for one in graphs])
        _, targets = _flat([one.targets for one in graphs])
        first = np.stack(_flat([one.first for one in graphs]))
        last = np.stack(_flat([one.last for one in graphs]))
        return Stacked(outputs, np.stack([rows, sources, targets]), first, last)


def _flat(lists: list[NDArray[np.int64]]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    return np.repeat(np.arange(len(lists)), [len(one) for one in lists]), np.concatenate(lists)


class Objective:
    """Log-likelihood of any phones against that of the words, for each frame."""

    def __init__(self, denominator: Denominator, device: torch.device) -> None:
        self._device = device
        self._steps = torch.from_numpy(denominator.steps).to(device)
        self._first = torch.from_numpy(denominator.first).to(device)
        self._last = torch.from_numpy(denominator.last).to(device)

    def __call__(self, outputs: Tensor, graphs: Stacked) -> tuple[Tensor, Tensor, Tensor]:
        """Return loss per frame, its gradient by ``outputs`` [row, frame, output], rows left out.

        A row is left out when it is too short for its words.
        """
        rows, frames, _ = outputs.shape
        states, forward, backward, total = self._walked(outputs, graphs)
        both = forward * backward
        loose, tight = both[..., :OUTPUTS], both[..., OUTPUTS:]
        mass = tight.sum(2, keepdim=True)
        fits = (mass[..., 0] > 1e-280).all(0) & torch.isfinite(total).all(1)
        loose = loose / (loose.sum(2, keepdim=True) + _TINY)
        meant = torch.zeros_like(loose)
        meant.scatter_add_(2, states[None].expand(frames, rows, -1), tight / (mass + _TINY))
        slope = torch.where(fits[None, :, None], loose - meant, 0.0).transpose(0, 1).float()
        losses = torch.where(fits, total[:, 0] - total[:, 1], 0.0)
        loss = losses.sum() / (frames * fits.sum().clamp(min=1))
        return loss, torch.nan_to_num(slope) / (frames * rows), (~fits).sum()

    def gaps(self, outputs: Tensor, graphs: Stacked) -> Tensor:
        """Return how much likelier, in nats, the best other phones are than the words, for a row.

        Infinite for a row that is too short for its words.
        """
        _, _, _, total = self._walked(outputs, graphs)
        gap = total[:, 0] - total[:, 1]
        return torch.where(torch.isfinite(gap) & (total[:, 1] > -_HOPELESS), gap, torch.inf)

    def _walked(self, outputs: Tensor, graphs: Stacked) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        """Return the numerator's states, then what ``_walk`` tells of both graphs."""
        steps, states, first, last = self._blocks(graphs)
        rows, frames, _ = outputs.shape
        exact = outputs.detach().double()
        likely = torch.exp(exact - exact.amax(2, keepdim=True))
        index = states[:, None].expand(rows, frames, states.shape[1])
        emitted = torch.cat([likely, torch.gather(likely, 2, index)], 2).transpose(0, 1)
        return states, *_walk(emitted.contiguous(), steps, first, last)

    def _blocks(self, graphs: Stacked) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        """Return the steps as one matrix a row, numerator's states, first and last weights."""
        states, edges, begin, end = (
            torch.from_numpy(part).to(self._device)
            for part in (graphs.outputs, graphs.steps, graphs.first, graphs.last)
        )
        rows, size = len(states), OUTPUTS + states.shape[1]
        steps = torch.zeros(rows, size, size, dtype=torch.float64, device=self._device)
        first, last = torch.zeros_like(steps[:, 0]), torch.zeros_like(steps[:, 0])
        steps[:, :OUTPUTS, :OUTPUTS] = self._steps
        first[:, :OUTPUTS], last[:, :OUTPUTS] = self._first, self._last
        steps[edges[0], OUTPUTS + edges[1], OUTPUTS + edges[2]] = 0.5
        first[begin[0], OUTPUTS + begin[1]] = 1
        last[end[0], OUTPUTS + end[1]] = 1
        return steps, states, first, last


def _walk(
    emitted: Tensor, steps: Tensor, first: Tensor, last: Tensor
) -> tuple[Tensor, Tensor, Tensor]:
    """Go through [frame, row, state] forwards and backwards; return both and two log totals."""
    frames = len(emitted)
    forward, backward = torch.empty_like(emitted), torch.empty_like(emitted)
    back = steps.transpose(1, 2).contiguous()
    total = torch.zeros(emitted.shape[1], 2, dtype=torch.float64, device=emitted.device)
    torch.mul(first, emitted[0], out=forward[0])
    backward[-1] = last
    for now in range(1, frames):
        torch.bmm(forward[now - 1][:, None], steps, out=forward[now][:, None])
        forward[now].mul_(emitted[now])
        if now % _RESCALED_EVERY == 0:
            total += _rescale(forward[now])
    for now in range(frames - 1, 0, -1):
        torch.bmm((emitted[now] * backward[now])[:, None], back, out=backward[now - 1][:, None])
        if now % _RESCALED_EVERY == 0:
            _rescale(backward[now - 1])
    end = forward[-1] * last
    sums = torch.stack([end[:, :OUTPUTS].sum(1), end[:, OUTPUTS:].sum(1)], 1)
    return forward, backward, total + torch.log(sums + _TINY)


def _rescale(values: Tensor) -> Tensor:
    """Bring both halves of each row to a sum of 1 in place; return the logs of what they were."""
    loose = values[:, :OUTPUTS].sum(1, keepdim=True) + _TINY
    tight = values[:, OUTPUTS:].sum(1, keepdim=True) + _TINY
    values[:, :OUTPUTS] /= loose
    values[:, OUTPUTS:] /= tight
    return torch.log(torch.cat([loose, tight], 1))
