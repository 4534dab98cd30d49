"""Count the words that Lapcall speaks for each completed peel test, setting by setting.

    python tests/bench/conversation/spoken_words.py [--steps]

Walks the shipped finish weld without sound, every answer heard right at once: a test piece made,
cooled, cut, peeled and judged. Pure; prints a table. ``--steps`` adds the words of each step.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from support.seam import GOOD_STRIP
from support.talk import Talk, walk

from assistant.dialogue.state import Detail, Settings
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Judge, Procedure

ANSWERS = {**GOOD_STRIP, "heat-marks": "none", "solid": "inch and an eighth"}


def spoken(procedure: Procedure, detail: Detail) -> Counter[str]:
    """Return how many words are spoken at each step of a run in which all is well."""
    talk = Talk(procedure, Settings(detail=detail))
    found = Counter({str(talk.at): _words(talk)})
    before = talk.at

    def watch(now: Talk) -> None:
        nonlocal before
        # What follows an answer is the next step's question, but for a read-back.
        found[str(before if now.finished else now.at)] += _words(now)
        before = now.at

    walk(talk, ANSWERS, watch=watch)
    return found


def _words(talk: Talk) -> int:
    return len(talk.says.split())


def of_the_test(procedure: Procedure, found: Counter[str]) -> int:
    """Return the words from the dial to the verdict: what a strip that is made anew costs."""
    judge = next(step for step in procedure.steps if isinstance(step, Judge))
    first, last = procedure.index(judge.on_fail or procedure.steps[0].id), procedure.index(judge.id)
    # The verdict is spoken in one breath with the question behind it.
    behind = procedure.steps[last + 1]
    asked = len(behind.say.split())
    return sum(found[step.id] for step in procedure.steps[first : last + 2]) - asked


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--steps", action="store_true")
    options = parser.parse_args()
    procedure = load_procedure(ROOT / "checklists" / "finish-weld.yaml")
    print("| setting | whole finish weld | of that, the peel test (dial to verdict) |")
    print("|---|---|---|")
    for detail in Detail:
        found = spoken(procedure, detail)
        print(f"| {detail.value} | {sum(found.values())} | {of_the_test(procedure, found)} |")
        if options.steps:
            print("\n".join(f"    {count:4d} {step}" for step, count in found.items()))


if __name__ == "__main__":
    main()
