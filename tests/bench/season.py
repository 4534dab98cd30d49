"""Measure how long a season of welds and tests takes to resolve into seam states.

Run by hand: ``python tests/bench/season.py`` writes ``results/season.md``. The season is invented:
several welders, each with a gun, weld runs one after another, test on scrap, now and then fail,
cut into what is suspect, probe and repair. The work is given in random order.
"""

from __future__ import annotations

import platform
import random
import statistics
import sys
import time
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from assistant.weld.seams import resolve
from assistant.weld.states import State
from assistant.weld.suspects import accused
from assistant.weld.work import Defect, Probe, Repair, SetUp, StripTest, Weld, Work

SIZES = (12_500, 25_000, 50_000, 100_000)
TIMES = 5
START = datetime(2026, 3, 2, 7, 0, tzinfo=timezone.utc)
HANDS = tuple(SetUp(f"welder {n}", f"gun {n % 9}") for n in range(12))
FEET = tuple(Fraction(n, 12) for n in range(120, 1200))


def season(size: int, seed: int = 5) -> Work:
    """Return about ``size`` welds and tests, and the repairs that go with them."""
    draw = random.Random(seed)  # noqa: S311 - an invented season, no secret
    welds: list[Weld] = []
    tests: list[StripTest] = []
    probes: list[Probe] = []
    defects: list[Defect] = []
    repairs: list[Repair] = []
    for number in range(size * 4 // 5):
        at = START + timedelta(minutes=2 * number)
        hand = HANDS[number % len(HANDS)]
        seam, feet = str(number // 3), draw.choice(FEET)
        start = number % 3 * 100
        welds.append(Weld(f"w{number}", at, seam, hand, Fraction(start), start + feet))
        if number // len(HANDS) % 4 == 0:
            passed = draw.random() > 0.05
            tests.append(StripTest(f"t{number}", at + timedelta(minutes=1), passed, hand))
            if not passed:
                place = start + feet * Fraction(1, 2)
                later = at + timedelta(hours=5)
                tests.append(StripTest(f"c{number}", later, True, hand, seam, place))
                span = (place - 1, place + 1)
                repairs.append(
                    Repair(f"r{number}", later + timedelta(minutes=9), seam, *span, hand)
                )
                probes.append(Probe(f"p{number}", later + timedelta(hours=1), seam, True, *span))
        if number % 50 == 0:
            defects.append(Defect(f"d{number}", at, seam, "void", start + feet / 3))
    for part in (welds, tests, probes, defects, repairs):
        draw.shuffle(part)
    return Work(tuple(welds), tuple(tests), tuple(probes), tuple(defects), tuple(repairs))


def measure(size: int) -> str:
    """Return a row of the table."""
    work = season(size)
    took = []
    for _ in range(TIMES):
        began = time.process_time()
        cover = resolve(work)
        took.append(time.process_time() - began)
    began = time.process_time()
    lists = accused(cover)
    listed = time.process_time() - began
    counts = " / ".join(str(len(cover.of(state))) for state in State)
    count = len(work.welds) + len(work.tests)
    middle = statistics.median(took)
    return (
        f"| {count} | {middle:.2f} | {max(took):.2f} | {1e6 * middle / count:.1f} | "
        f"{listed:.2f} | {len(lists)} | {counts} |"
    )


def main() -> None:
    """Write the table."""
    states = " / ".join(state.value for state in State)
    lines = [
        "# A season resolved into seam states",
        "",
        f"`python tests/bench/season.py`, {datetime.now(timezone.utc):%Y-%m-%d}, "
        f"Python {platform.python_version()} on {platform.machine()}, one thread of two busy "
        "cores. An invented season of 12 hands, given in random order; processor time, the middle "
        "and the slowest "
        f"of {TIMES} runs. Wanted: 100 000 welds and tests in less than 2 s, and a time for each "
        "that does not grow.",
        "",
        f"| welds and tests | seconds | slowest | microseconds each | suspect lists, s | lists | "
        f"stretches: {states} |",
        "|---|---|---|---|---|---|---|",
    ]
    for size in SIZES:
        lines.append(measure(size))
        print(lines[-1])
    out = Path(__file__).parent / "results" / "season.md"
    out.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
