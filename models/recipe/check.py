"""Drop speech that was said wrong: another network listens to every clip before it trains one.

    python models/recipe/check.py DATA JUDGE.pt

JUDGE.pt is a checkpoint of an earlier ear, trained on other speech. A clip is dropped when sounds
other than those of its words are much likelier to it. Each corpus in DATA gets dropped.json, a list
of ids, which data.py leaves out.

Source of the idea: synthetic training speech is better once what an independent recogniser misreads
is dropped (arXiv 2409.12745).
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from pathlib import Path

import numpy as np
import torch
from augment import Augmenter
from data import RATE, Batch, Example, Lexicon, load, read_lexicon
from faults import Scored, excess, faulty, strange_words
from losses import Graphs, Objective, Stacked
from network import Network

_ROWS = 128
_MARGIN = RATE // 4


class Judge:
    """An earlier ear that tells how far a clip is from its words."""

    def __init__(self, checkpoint: Path, device: torch.device) -> None:
        saved = torch.load(checkpoint, map_location=device, weights_only=False)
        weights = {name: value.float() for name, value in saved["sd"].items()}
        self.network = Network(saved["H"], saved["nres"], weights["mu"], weights["sd"])
        self.network.load_state_dict(weights)
        self.network.to(device).eval()

    @torch.no_grad()
    def gaps(
        self, batch: Batch, graphs: Stacked, augmenter: Augmenter, objective: Objective
    ) -> list[float]:
        """Return nats for each row."""
        length = int(batch.totals.max()) + 2 * _MARGIN
        features = augmenter.plain(batch, length, _MARGIN)
        gaps: list[float] = objective.gaps(self.network(features), graphs).tolist()
        return gaps


def main() -> None:
    """Write the lists."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("data", type=Path)
    parser.add_argument("judge", type=Path)
    parser.add_argument("--show", type=int, default=0, help="print the worst of each kind")
    asked = parser.parse_args()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    lexicon = read_lexicon(asked.data / "lexicon.txt")
    samples, recordings = load(asked.data, lexicon, every=True)
    graphs = Graphs(lexicon)
    objective = Objective(graphs.denominator([], 1), device)
    augmenter = Augmenter(torch.from_numpy(samples), torch.zeros(1, RATE), device)
    judge = Judge(asked.judge, device)
    ordered = sorted(recordings, key=lambda one: one.length)
    found: Scored = []
    for at in range(0, len(ordered), _ROWS):
        rows = ordered[at : at + _ROWS]
        batch = Batch.of([Example((one,), (0,), (1.0,)) for one in rows])
        stacked = Stacked.of([graphs.numerator(one.words) for one in rows])
        found += zip(judge.gaps(batch, stacked, augmenter, objective), rows, strict=True)
    _write(asked.data, found, lexicon, asked.show)


def _write(data: Path, found: Scored, lexicon: Lexicon, show: int) -> None:
    # Also those without a fault: an earlier list of theirs must go.
    dropped: dict[str, list[int]] = {one.corpus: [] for _, one in found}
    kinds, bad = Counter(one.kind for _, one in found), Counter[str]()
    over = [(excess(gap, one, lexicon), one) for gap, one in found]
    strange = strange_words(over)
    for one in faulty(over, strange):
        dropped[one.corpus].append(one.number)
        bad[one.kind] += 1
    print(f"strange to the judge: {' '.join(sorted(strange)[:60])} ({len(strange)})")
    for corpus, numbers in dropped.items():
        (data / corpus / "dropped.json").write_text(json.dumps(sorted(numbers)), encoding="utf-8")
    for kind, count in kinds.items():
        mine = sorted((row for row in over if row[1].kind == kind), key=lambda row: -row[0])
        marks = np.percentile([min(nats, 99.0) for nats, _ in mine], [50, 90, 95, 99]).round(1)
        print(f"{kind}: {bad[kind]} of {count} dropped; nats at 50, 90, 95, 99 %: {marks}")
        for nats, one in mine[:show]:
            print(f"  {nats:.1f} over: {' '.join(one.words)} ({one.corpus} {one.number})")


if __name__ == "__main__":
    main()
