# ruff: noqa: I001 - dev_guesses puts the project on the path, so it comes first
"""Choose how far the ear is to be believed: hear dev clips, fit, print tables and a threshold.

    python models/recipe/calibrate.py --model models/ear --clips OUT/dev [--work FOLDER]

CLIPS holds manifest.jsonl as synth.py writes it. Clips are mixed with held-out noise and go
through gate, patience and grammar as live; tests/bench/ear tells what is asked of each. What each
network guessed is kept in WORK, a line for each utterance; run again, only what changed is heard
again. Never choose on the clips that the bench measures.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from calibration import (
    Taken,
    at_most,
    fitted,
    least_share,
    loss,
    percent,
    probabilities,
    reliability,
)
from dev_guesses import ROOT, Row, guessed, jobs_of, name_of

# What dev_guesses put on the path.
from bench.ear.judged import judge
from bench.ear.sets import ANSWERS, NOT_OURS, NUMBER_WORDS, PLAINLY, SEAMS, WIDTHS, Asked
from bench.ear.work import Job

from assistant.ear import opinion
from assistant.ear.model_folder import look_at
from assistant.ear.opinion import Belief, Guess
from assistant.words.phrase import Grammar

LEVELS = ("clean", "10", "5", "0")
MOST_WRONG = 0.003
SHARPNESS = (0.4, 0.5, 0.6, 0.7, 0.85, 1.0)
MISSED = (1e-2, 3e-3, 1e-3, 3e-4, 1e-4)
FIRST = (0.3, 0.4, 0.5, 0.6, 0.7)
"""Weights of the first of two networks."""
COUNTED = {"value": (WIDTHS, PLAINLY, SEAMS, NUMBER_WORDS), "answer": (ANSWERS,)}
"""The groups in which wrong ones are counted for each threshold."""


class Judge:
    """Turns rows into what they were taken for, under any belief."""

    def __init__(self, jobs: list[Job], rows: list[Row], only: int | None) -> None:
        asked = {(name_of(job), at): one for job in jobs for at, one in enumerate(job.asked)}
        self._rows = [(row, asked[row["job"], row["asked"]]) for row in rows]
        self._only = only
        # Reading a text takes milliseconds, and the same ones come again under each belief.
        self._judged: dict[tuple[str, str, str], tuple[str, bool]] = {}
        opinion.meaning_of = _remembered(opinion.meaning_of)

    def taken(self, how: Belief) -> list[Taken]:
        """Return what each utterance was taken for."""
        return [self._one(row, asked, how) for row, asked in self._rows]

    def _one(self, row: Row, asked: Asked, how: Belief) -> Taken:
        group, level, said = row["group"], row["level"], bool(asked.said)
        if row["networks"] is None:
            return Taken(group, level, said, "shut", False, 0.0)
        networks = row["networks"] if self._only is None else [row["networks"][self._only]]
        opinions = [
            opinion.weigh([Guess(*guess) for guess in guesses], asked.grammar, how.sharpness)
            for guesses in networks
        ]
        guess, share = opinion.joined(opinions, how).best()
        needs, right = self._judge(guess.text, asked)
        return Taken(group, level, said, needs, right, share)

    def _judge(self, text: str, asked: Asked) -> tuple[str, bool]:
        name = (text, asked.said, asked.grammar.key)
        if name not in self._judged:
            judged = judge(text, 1.0, asked)
            self._judged[name] = (judged.needs, judged.right)
        return self._judged[name]


def _remembered(meaning_of: Callable[[str, Grammar], Any]) -> Callable[[str, Grammar], Any]:
    known: dict[tuple[str, str], Any] = {}

    def remembered(text: str, grammar: Grammar) -> Any:  # noqa: ANN401 - a meaning is anything
        name = (text, grammar.key)
        if name not in known:
            known[name] = meaning_of(text, grammar)
        return known[name]

    return remembered


def chosen(judge_of: Judge, two: bool, options: argparse.Namespace) -> tuple[Belief, list[Taken]]:
    """Return the belief under which calibrated confidence says most, and what follows from it."""
    weights = (0.5, 0.5) if two else (1.0,)
    tried = [
        _tried(judge_of, Belief(sharpness, missed, weights, 0.0, 1.0))
        for sharpness in options.sharpness
        for missed in (options.missed if two else options.missed[:1])
    ]
    best = min(tried, key=lambda one: one[0])[1]
    if two:
        others = [replace(best, weights=(first, 1 - first)) for first in options.first]
        tried += [_tried(judge_of, how) for how in others]
    return min(tried, key=lambda one: one[0])[1:]


def _tried(judge_of: Judge, how: Belief) -> tuple[float, Belief, list[Taken]]:
    """Return what a belief costs, the same with offset and slope, and what it takes all for."""
    taken = judge_of.taken(how)
    counted = [one for one in taken if one.needs in ("value", "answer") and one.group != NOT_OURS]
    shares, right = [t.share for t in counted], [t.right for t in counted]
    offset, slope = fitted(shares, right)
    # What is not heard right at all must cost too: to doubt everything is no calibration.
    lost = sum(t.said and not t.right for t in taken) / len(taken)
    unsure = loss(probabilities(shares, offset, slope), right)
    print(
        f"sharpness {how.sharpness} missed {how.missed:g} weights {how.weights}: "
        f"loss {unsure:.4f}, not right {lost:.4f}"
    )
    return unsure + lost, replace(how, offset=offset, slope=slope), taken


def show(belief: Belief, taken: Sequence[Taken], most_wrong: float) -> None:
    """Print the reliability table, operating points, and right / wrong at several of them."""
    offset, slope = belief.offset, belief.slope
    print(f"\n{belief}")
    for needs in ("value", "answer"):
        counted = [one for one in taken if one.needs == needs and one.group != NOT_OURS]
        if not counted:
            continue
        found = probabilities([t.share for t in counted], offset, slope)
        print(f"\n{needs}s: promised and kept\n  from    to      n  promised  right")
        for low, high, count, mean, true in reliability(found, [t.right for t in counted]):
            print(f"{low:6.3f} {high:5.3f} {count:6d} {mean:9.4f} {true:6.4f}")
    for needs, groups in COUNTED.items():
        mine = [t for t in taken if t.group in groups]
        if mine:
            operating_point(belief, needs, mine, most_wrong)
    table(belief, taken)


def operating_point(belief: Belief, needs: str, taken: Sequence[Taken], most_wrong: float) -> None:
    """Print the lowest threshold that keeps wrong ones rare: over all levels, and at the worst."""
    levels: dict[str, list[Taken]] = defaultdict(list)
    for one in taken:
        levels[one.level].append(one)
    least = least_share(taken, most_wrong)
    worst = max(least_share(ones, most_wrong) for ones in levels.values())
    print(f"\n{needs}s: lowest confidence with at most {100 * most_wrong:g} % wrong")
    for name, share in (("over all levels", least), ("at every level", worst)):
        point = float(probabilities([share], belief.offset, belief.slope)[0])
        wrong = sum(t.outcome(share) == "wrong" for t in taken)
        right = percent(taken, share)[0]
        most = 100 * at_most(wrong, len(taken))
        print(
            f"  {name}: {point:.4f}; {right:.1f} % right, {wrong} of {len(taken)} wrong, so truly "
            f"up to {most:.2f} %"
        )


def table(belief: Belief, taken: Sequence[Taken]) -> None:
    """Print right / wrong in percent for each group and level at each threshold."""
    points = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.97, 0.98, 0.99, 0.995)
    odds = [np.log(max(p, 1e-9) / (1 - p)) for p in points]
    shares = [1 / (1 + np.exp(-(o - belief.offset) / belief.slope)) for o in odds]
    print("\nright / wrong in percent at a confidence of at least")
    print(f"{'':34s}{'n':>5s}" + "".join(f"{p:>12g}" for p in points))
    groups: dict[tuple[str, str], list[Taken]] = defaultdict(list)
    for one in taken:
        groups[one.group, one.level].append(one)
    for (group, level), ones in sorted(groups.items()):
        cells = ["{:5.1f} / {:4.1f}".format(*percent(ones, share)) for share in shares]
        print(f"{group[:26]:27s}{level:>7s}{len(ones):5d}" + "".join(f"{c:>13s}" for c in cells))


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--model", type=Path, default=ROOT / "models" / "ear")
    parser.add_argument("--clips", type=Path, required=True)
    parser.add_argument("--shared", type=Path, default=ROOT.parent / "shared" / "data")
    parser.add_argument("--work", type=Path, default=ROOT / ".cache" / "calibrate")
    parser.add_argument("--levels", nargs="+", default=list(LEVELS))
    parser.add_argument("--kinds", nargs="+", help="of clips, as the manifest names them")
    parser.add_argument("--limit", type=int, help="clips of each kind, drawn by chance")
    parser.add_argument("--noise-minutes", type=int, default=10)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--network", type=int, choices=(0, 1), help="believe one network alone")
    parser.add_argument("--sharpness", type=float, nargs="+", default=list(SHARPNESS))
    parser.add_argument("--missed", type=float, nargs="+", default=list(MISSED))
    parser.add_argument("--first", type=float, nargs="+", default=list(FIRST))
    parser.add_argument("--most-wrong", type=float, default=MOST_WRONG)
    options = parser.parse_args()
    jobs = jobs_of(options)
    rows = guessed(options, jobs)
    two = options.network is None and look_at(options.model).second is not None
    belief, taken = chosen(Judge(jobs, rows, options.network), two, options)
    show(belief, taken, options.most_wrong)


if __name__ == "__main__":
    main()
