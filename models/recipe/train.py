"""Train the ear's network: a flat-start monophone TDNN with lattice-free MMI, on one GPU or a CPU.

    python models/recipe/train.py DATA CHECKPOINT --seconds 1140 --stop-after 570
    python models/recipe/train.py DATA CHECKPOINT --seconds 1140 --resume

DATA is described in data.py; ``noise.npy`` (noise.py) and ``noise.flac`` with ``noise.json``
(recordings.py) lie in it too. ``--seconds`` is the whole plan, over which the learning rate falls;
``--stop-after`` ends this run within it, and ``--resume`` goes on from the checkpoint.
``--begin-with`` starts a new plan from the weights of an earlier network of the same shape. The
weights under ``sd`` in the checkpoint are the running mean, which is what export.py takes.

Needs torch, numpy and, for Opus and FLAC, soundfile.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import torch
from augment import Augmenter, Severity, mask
from data import RATE, Batch, Draws, Recording, load, read_lexicon
from losses import Graphs, Objective, Stacked
from network import Average, Network
from numpy.typing import NDArray

SEED = 7
_CLAMP = 30.0
_LEVEL_WEIGHT = 5e-4
"""Keeps the outputs small; MMI alone does not care about their level."""
_WARM_STEPS = 200
_SAVED_EVERY_S = 60.0
_WINDOWS = 8
_NORM_STEPS = 100
_LONGEST = 9 * RATE
Meal = tuple[Batch, Stacked, int]
"""What one step eats: sound, graphs, and the samples in a row."""


def noises(data: Path) -> torch.Tensor:
    """Return the bank: made noises, and windows drawn from the recorded ones; RMS 1, float16."""
    bank = [np.load(data / "noise.npy").astype(np.float16)]
    if (data / "noise.json").exists():
        bank.append(_recorded(data, bank[0].shape[1], np.random.default_rng(SEED)))
    return torch.from_numpy(np.concatenate(bank))


def _recorded(data: Path, length: int, rng: np.random.Generator) -> NDArray[np.float16]:
    import soundfile  # noqa: PLC0415 - made noise needs no decoder

    whole, _ = soundfile.read(data / "noise.flac", dtype="float32")
    windows, at = [], 0
    for samples in json.loads((data / "noise.json").read_text("utf-8")).values():
        sound = whole[at : at + samples]
        at += samples
        for _ in range(_WINDOWS if samples > length else _WINDOWS // 4):
            begin = int(rng.integers(samples))
            piece = np.take(sound, np.arange(begin, begin + length), mode="wrap")
            windows.append((piece / (piece.std() + 1e-6)).astype(np.float16))
    return np.stack(windows)


class Meals(torch.utils.data.IterableDataset[Meal]):
    """Batches for ever; each worker process draws its own."""

    def __init__(self, recordings: list[Recording], graphs: Graphs, rows: int, seed: int) -> None:
        self._recordings, self._graphs, self._rows, self._seed = recordings, graphs, rows, seed

    def __iter__(self) -> Iterator[Meal]:
        """Yield batches with their graphs."""
        worker = torch.utils.data.get_worker_info()
        seed = self._seed * 1000 + (worker.id if worker else 0)
        spare = np.random.default_rng(seed)
        for batch in Draws(self._recordings, seed).batches(self._rows):
            longest = int(batch.totals.max() * 1.03) + int(spare.integers(3000, 14000))
            graphs = [self._graphs.numerator(words) for words in batch.texts]
            yield batch, Stacked.of(graphs), min(_LONGEST, longest // 1600 * 1600)


def _untouched(meal: Meal) -> Meal:
    return meal


class Trainer:
    """Network, optimiser and everything they eat."""

    def __init__(self, options: argparse.Namespace) -> None:
        self.options = options
        self.device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
        torch.manual_seed(options.seed)
        torch.backends.cuda.matmul.allow_tf32 = True
        torch.backends.cudnn.allow_tf32 = True
        saved = self._checkpoint()
        self.steps, self.elapsed = int(saved.get("it", 0)), float(saved.get("elapsed", 0.0))
        lexicon = read_lexicon(options.data / "lexicon.txt")
        samples, recordings = load(options.data, lexicon)
        _report(recordings)
        graphs = Graphs(lexicon)
        draws = Draws(recordings, options.seed)
        texts = [draws.example().words for _ in range(20_000)]
        self.objective = Objective(graphs.denominator(texts, options.seed), self.device)
        sound, bank = torch.from_numpy(samples), noises(options.data)
        print(f"{len(bank)} noises", flush=True)
        self.augmenter = Augmenter(sound, bank, self.device)
        meals = Meals(recordings, graphs, options.rows, options.seed + self.steps)
        loader = torch.utils.data.DataLoader(
            meals, batch_size=None, num_workers=options.workers, collate_fn=_untouched
        )
        self.meals = iter(loader)
        self._make_network(saved)
        if options.begin_with and not saved:
            self._begin_with(options.begin_with)

    def _checkpoint(self) -> dict[str, Any]:
        if not self.options.resume:
            return {}
        saved: dict[str, Any] = torch.load(
            self.options.checkpoint, map_location=self.device, weights_only=False
        )
        return saved

    def _make_network(self, saved: dict[str, Any]) -> None:
        mean, deviation = self._statistics()
        options = self.options
        self.network = Network(options.hidden, options.residual, mean, deviation).to(self.device)
        if saved:
            self.network.load_state_dict(saved["last"])
        self.average = Average(self.network, self.steps)
        self.optimiser = torch.optim.AdamW(self.network.parameters(), weight_decay=1e-3)
        if saved:
            self.average.network.load_state_dict(saved["sd"])
            self.optimiser.load_state_dict(saved["optimiser"])
        count = sum(one.numel() for one in self.network.parameters())
        print(f"{count:,} parameters on {self.device}", flush=True)

    def _begin_with(self, earlier: Path) -> None:
        saved = torch.load(earlier, map_location=self.device, weights_only=False)
        weights = {name: value.float() for name, value in saved["sd"].items()}
        self.network.load_state_dict(weights)
        self.average = Average(self.network)

    @torch.no_grad()
    def _statistics(self) -> tuple[torch.Tensor, torch.Tensor]:
        heard = [self._features(next(self.meals), Severity(0.7)).flatten(0, 1) for _ in range(4)]
        rows = torch.cat(heard)
        return rows.mean(0), rows.std(0) + 0.1

    def _features(self, meal: Meal, severity: Severity) -> torch.Tensor:
        batch, _, length = meal
        return self.augmenter.features(batch, length, severity)

    @property
    def done(self) -> float:
        """The share of the plan that is behind us."""
        return min(1.0, self.elapsed / self.options.seconds)

    def _set_rate(self) -> None:
        falling = 0.5 * (1 + math.cos(math.pi * self.done)) + 0.004
        rate = self.options.rate * min(1.0, (self.steps + 1) / 100) * falling
        for group in self.optimiser.param_groups:
            group["lr"] = rate

    def step(self, meal: Meal) -> tuple[torch.Tensor, torch.Tensor]:
        """Learn from one batch; return the loss and the count of rows left out."""
        self._set_rate()
        with torch.no_grad():
            features = self._features(meal, Severity(min(0.85, 0.2 + 8 * self.done)))
            if self.steps > _WARM_STEPS:
                features = mask(features, self.network.mu)
        outputs = self.network(features).clamp(-_CLAMP, _CLAMP)
        loss, slope, left_out = self.objective(outputs, meal[1])
        self.optimiser.zero_grad()
        level = _LEVEL_WEIGHT * outputs.pow(2).mean()
        torch.autograd.backward([outputs, level], [slope, None])
        torch.nn.utils.clip_grad_norm_(self.network.parameters(), 2.0)
        self.optimiser.step()
        self.average.update(self.network)
        self.steps += 1
        return loss.detach(), left_out

    @torch.no_grad()
    def settle_norms(self) -> None:
        """Measure the batch norms of the mean network afresh; its own are only means of others."""
        network = self.average.network
        norms = [one for one in network.modules() if isinstance(one, torch.nn.BatchNorm1d)]
        for norm in norms:
            norm.reset_running_stats()
            norm.momentum = None
            norm.train()
        for _ in range(self.options.norm_steps):
            network(self._features(next(self.meals), Severity()))
        network.eval()

    def save(self) -> None:
        """Write the checkpoint whole or not at all."""
        options = self.options
        state = {
            "sd": self.average.network.state_dict(),
            "last": self.network.state_dict(),
            "optimiser": self.optimiser.state_dict(),
            "H": options.hidden,
            "nres": options.residual,
            "it": self.steps,
            "elapsed": self.elapsed,
        }
        part = options.checkpoint.with_suffix(".part")
        torch.save(state, part)
        part.replace(options.checkpoint)

    def run(self) -> None:
        """Train until the plan, or this run's part of it, is over."""
        began, before, saved_at = time.monotonic(), self.elapsed, time.monotonic()
        losses: list[torch.Tensor] = []
        logged_at = began
        while self.done < 1 and self.elapsed - before < self.options.stop_after:
            loss, left_out = self.step(next(self.meals))
            losses.append(loss)
            now = time.monotonic()
            self.elapsed = before + now - began
            if self.steps % self.options.log_every == 0:
                mean = float(torch.stack(losses).mean())
                pace = len(losses) / (time.monotonic() - logged_at)
                print(
                    f"step {self.steps}, {self.elapsed:.0f} s, loss {mean:.4f}, "
                    f"{pace:.1f} a second, {int(left_out)} too short",
                    flush=True,
                )
                losses.clear()
                logged_at = time.monotonic()
            if now - saved_at > _SAVED_EVERY_S:
                self.save()
                saved_at = now
        self.settle_norms()
        self.save()
        print(f"{self.steps} steps, {self.elapsed:.0f} s, saved {self.options.checkpoint}")


def _report(recordings: list[Recording]) -> None:
    counts = Counter(one.kind for one in recordings)
    hours = sum(one.length for one in recordings) / RATE / 3600
    print(f"{hours:.2f} h in {len(recordings)} recordings: {dict(counts)}", flush=True)


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("data", type=Path)
    parser.add_argument("checkpoint", type=Path)
    parser.add_argument("--seconds", type=float, required=True, help="the whole plan")
    parser.add_argument("--stop-after", type=float, default=math.inf, help="seconds of this run")
    parser.add_argument("--resume", action="store_true")
    parser.add_argument("--begin-with", type=Path, help="an earlier network of this shape")
    parser.add_argument("--hidden", type=int, default=384)
    parser.add_argument("--residual", type=int, default=7)
    parser.add_argument("--rows", type=int, default=128, help="examples in a batch")
    parser.add_argument("--rate", type=float, default=2.5e-3, help="highest learning rate")
    parser.add_argument("--workers", type=int, default=0, help="processes that prepare batches")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--norm-steps", type=int, default=_NORM_STEPS)
    parser.add_argument("--log-every", type=int, default=100)
    Trainer(parser.parse_args()).run()


if __name__ == "__main__":
    main()
