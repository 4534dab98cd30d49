"""Simulate shifts of 10,000 values: how many wrong ones are logged, and what that costs in words.

    python tests/bench/conversation/measure.py [--pairs FILE ...] [--shifts 4] [--values 10000]

The ear's mistakes are drawn from the ``pairs`` of tests/bench/results/ear.json (tests/bench/ear)
and answers.json (answers.py here), or of the files named. Pure and seeded; writes
tests/bench/results/conversation.md and .json. Not part of the test suite.
"""

from __future__ import annotations

import argparse
import platform
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timezone
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from bench.conversation import report
from bench.conversation.hearing import clips_of
from bench.conversation.measured import (
    ANSWERS,
    EAR,
    KINDS,
    Pair,
    files_of_one_model,
    read_pairs,
    value_clips,
)
from bench.conversation.shift import Setting, Welder, shifts
from bench.ear.kept import as_lines

from assistant.dialogue.state import Detail, Trust
from assistant.ear import trust

WORST = "5"
"""The level at which the target holds, in dB."""
LEVELS = ("clean", "10", "5", "0")
IN_USE = Trust(trust.ANSWER_TRUST, trust.VALUE_TRUST, getattr(trust, "YES_TRUST", 0.0))
VALUE_POINTS = (0.9, 0.95, 0.97, 0.98, 0.99)
YES_POINTS = (0.7, 0.95, 0.98)
CARELESS = (0.0, 0.01, 0.05, 0.2)
MOST_WRONG = 1.0
"""Wrong values in 10,000 that are allowed."""
Row = dict[str, Any]


@dataclass(frozen=True)
class Simulation:
    """The source of chance and the size of everything."""

    pairs: Sequence[Pair]
    kinds: tuple[str, ...]
    shifts: int
    values: int

    def rows(self, table: str, level: str, setting: Setting) -> Iterator[Row]:
        """Yield what each kind of value came to under a setting."""
        for kind in self.kinds:
            clips = clips_of(self.pairs, kind, level)
            every, total = shifts(clips, setting, self.shifts, self.values, f"{level} 1")
            yield {
                "table": table,
                "kind": kind,
                "level": level,
                "detail": setting.detail.value,
                **asdict(setting.trust),
                **asdict(setting.welder),
                "values": self.values,
                "wrong": [one.wrong for one in every],
                **{
                    name: 10_000 * getattr(total, name) / total.values
                    for name in ("misread", "not_heard", "stopped")
                },
                "asked": total.asked / total.values,
                "words": total.words / total.values,
            }


def everything(sim: Simulation) -> list[Row]:
    """Return the rows of all tables."""
    grid = [
        row
        for value in VALUE_POINTS
        for yes in YES_POINTS
        for row in sim.rows("thresholds", WORST, Setting(trust=Trust(IN_USE.answer, value, yes)))
    ]
    cheapest = report.cheapest(grid, MOST_WRONG) or asdict(IN_USE)
    proposed = Trust(cheapest["answer"], cheapest["value"], cheapest["yes"])
    rows = list(grid)
    for name, point in (("in use", IN_USE), ("proposed", proposed)):
        for level in LEVELS:
            # What is confirmed is the same in each setting, so one level tells the words of all.
            for detail in Detail if level == WORST else (Detail.STANDARD,):
                rows += sim.rows(f"settings, {name}", level, Setting(detail, point))
        for careless in CARELESS:
            rows += sim.rows(
                f"careless, {name}", WORST, Setting(trust=point, welder=Welder(careless))
            )
        again = Welder(again_is_yes=True)
        rows += sim.rows(f"again is yes, {name}", WORST, Setting(trust=point, welder=again))
    for answer in (0.5, 0.7, 0.9):
        point = Trust(answer, proposed.value, proposed.yes)
        rows += sim.rows("answers", WORST, Setting(trust=point))
    return rows


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--pairs", type=Path, nargs="+", default=files_of_one_model(EAR, ANSWERS))
    parser.add_argument("--shifts", type=int, default=4)
    parser.add_argument("--values", type=int, default=10_000)
    parser.add_argument("--out", type=Path, default=EAR.parent)
    options, began = parser.parse_args(), time.monotonic()
    pairs = [pair for path in options.pairs for pair in read_pairs(path)]
    kinds = tuple(kind for kind in KINDS if value_clips(pairs, kind, WORST))
    if not kinds:
        raise SystemExit("There are no pairs of what was said and heard in these files.")
    sim = Simulation(pairs, kinds, options.shifts, options.values)
    result = {
        "made": str(datetime.now(timezone.utc).date()),
        "machine": f"{platform.machine()} {platform.system()}, Python {platform.python_version()}",
        "sources": [report.source(path) for path in options.pairs],
        "clips": {
            kind: {level: len(value_clips(pairs, kind, level)) for level in LEVELS}
            for kind in kinds
        },
        "values": options.values,
        "rows": everything(sim),
    }
    options.out.mkdir(parents=True, exist_ok=True)
    (options.out / "conversation.json").write_text(as_lines(result), encoding="utf-8")
    (options.out / "conversation.md").write_text(report.text(result), encoding="utf-8")
    print(report.text(result), f"{time.monotonic() - began:.0f} s", sep="\n")


if __name__ == "__main__":
    main()
