"""Options that several commands share."""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.dialogue.prompts import step_grammar
from assistant.dialogue.state import Phase
from assistant.errors import UsageProblem
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Procedure
from assistant.words.phrase import Grammar

if TYPE_CHECKING:
    from assistant.ear.recogniser import Recogniser

    Commands = argparse._SubParsersAction[argparse.ArgumentParser]  # argparse gives it no other name


def add_record(command: argparse.ArgumentParser, text: str) -> None:
    """Add ``--record``."""
    command.add_argument("--record", type=Path, metavar="FOLDER", help=text)


def add_model(command: argparse.ArgumentParser) -> None:
    """Add ``--model``."""
    command.add_argument(
        "--model", type=Path, metavar="FOLDER",
        help="another Vosk model; Lapcall says which of our words it lacks",
    )


def add_step(command: argparse.ArgumentParser) -> None:
    """Add ``--step``."""
    command.add_argument(
        "--step",
        default="finish-weld/width",
        metavar="PROCEDURE/STEP",
        help="whose answers may be said (usually finish-weld/width)",
    )
    command.add_argument(
        "--read-back",
        action="store_true",
        help="what may be said after the read-back of that step",
    )


def grammar_of(options: argparse.Namespace) -> Grammar:
    """Return the grammar that ``--step`` names.

    Raises:
        UsageProblem: there is no such step.
    """
    name, _, step_id = options.step.rpartition("/")
    procedure = load_procedure(places.procedure_file(name or "finish-weld"))
    phase = Phase.CONFIRM if options.read_back else Phase.ANSWER
    try:
        return step_grammar(procedure.steps[procedure.index(step_id)], phase)
    except KeyError:
        known = ", ".join(step.id for step in procedure.steps)
        raise UsageProblem(
            f"{procedure.title} has no step {step_id}. Its steps are: {known}."
        ) from None


def print_json(what: Mapping[str, object]) -> None:
    """Print one JSON object on one line."""
    print(json.dumps(what, ensure_ascii=False))
