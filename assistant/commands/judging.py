"""``lapcall understand``: one phrase read, as JSON. ``lapcall judge`` is in ``peel_test``."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from assistant.commands import peel_test
from assistant.commands.options import add_step, grammar_of, print_json
from assistant.words.meaning import Chosen, Command, Measure, YesNo
from assistant.words.readback import spoken, two_forms
from assistant.words.understand import Ask, Reading, Understood, understand

if TYPE_CHECKING:
    from assistant.commands.options import Commands


def add_to(commands: Commands) -> None:
    """Add both commands."""
    read = commands.add_parser("understand", help="read a phrase as Lapcall would, as JSON")
    read.add_argument("phrase", nargs="+", help='what is said, such as "inch and a quarter"')
    add_step(read)
    read.set_defaults(run=run_understand)
    peel_test.add_to(commands)


def run_understand(options: argparse.Namespace) -> int:
    """Print what a phrase means."""
    understood = understand(" ".join(options.phrase), grammar_of(options))
    print_json(as_json(understood))
    return 0


def as_json(understood: Understood) -> dict[str, object]:
    """Return a meaning as plain data."""
    if isinstance(understood, Reading):
        return {"said": understood.said, **_value(understood.measure)}
    if isinstance(understood, Ask):
        return {"said": understood.said, "ask": understood.question, "reason": understood.reason}
    if isinstance(understood, Command):
        return {"command": understood.value}
    if isinstance(understood, YesNo):
        return {"answer": "yes" if understood.yes else "no"}
    return {"answer": understood.id if isinstance(understood, Chosen) else "done"}


def _value(measure: Measure) -> dict[str, object]:
    sixteenths = measure.value_in * 16
    return {
        "value": str(measure.value),
        "unit": measure.unit,
        "sixteenths": int(sixteenths) if measure.is_width and sixteenths.denominator == 1 else None,
        "hedge": measure.hedge,
        "lean": measure.lean.value if measure.lean else None,
        "read_back": spoken(two_forms(measure)),
    }
