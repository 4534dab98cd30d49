"""The ear's network: three narrow layers, the last of which keeps every third frame, then blocks.

Names of the weights are those that ``export.py`` reads.
"""

from __future__ import annotations

import copy

import torch
from losses import OUTPUTS
from torch import Tensor, nn

NARROW = 3
BANDS = 40


def context(residual: int) -> int:
    """Return the frames that the network looks to each side."""
    return NARROW + 3 * residual


class Network(nn.Module):
    """Log-mel features [row, frame, band] to outputs [row, frame / 3, output]."""

    def __init__(self, hidden: int, residual: int, mean: Tensor, deviation: Tensor) -> None:
        super().__init__()
        self.register_buffer("mu", mean)
        self.register_buffer("sd", deviation)
        widths = [(BANDS, 1), (hidden, 1), (hidden, 3), *[(hidden, 1)] * residual]
        layers = [nn.Conv1d(width, hidden, 3, stride=stride) for width, stride in widths]
        self.c = nn.ModuleList(layers)
        self.bn = nn.ModuleList([nn.BatchNorm1d(hidden) for _ in layers])
        self.out = nn.Conv1d(hidden, OUTPUTS, 1)
        self.drop = nn.Dropout(0.1)
        self._around = context(residual)
        nn.init.normal_(self.out.weight, std=0.01)

    def forward(self, features: Tensor) -> Tensor:
        """Return the outputs; the first and last frame are repeated beyond the ends."""
        around = self._around
        before = features[:, :1].expand(-1, around, -1)
        behind = features[:, -1:].expand(-1, around, -1)
        whole = torch.cat([before, features, behind], 1)
        layer = ((whole - self.mu) / self.sd).transpose(1, 2)
        for index, (convolve, norm) in enumerate(zip(self.c, self.bn, strict=True)):
            above = torch.relu(norm(convolve(layer)))
            if index >= NARROW - 1:
                above = self.drop(above)
            layer = above if index < NARROW else layer[:, :, 1:-1] + above
        outputs: Tensor = self.out(layer).transpose(1, 2)
        return outputs


class Average:
    """A running mean of a network's weights, which hears better than the last weights do."""

    def __init__(self, network: Network, steps: int = 0, keep: float = 0.999) -> None:
        self.network = copy.deepcopy(network).eval().requires_grad_(False)
        self._keep = keep
        self._steps = steps

    @torch.no_grad()
    def update(self, network: Network) -> None:
        """Take in the weights after one more step; the mean is short while it is young."""
        self._steps += 1
        keep = min(self._keep, self._steps / (self._steps + 10))
        ours, theirs = self.network.state_dict(), network.state_dict()
        floats = [name for name, value in ours.items() if value.is_floating_point()]
        old, new = [ours[name] for name in floats], [theirs[name] for name in floats]
        torch._foreach_lerp_(old, new, 1 - keep)
