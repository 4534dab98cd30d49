"""Options that several commands share."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Mapping
from datetime import datetime, timezone
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.dialogue.prompts import step_grammar
from assistant.dialogue.state import Phase
from assistant.errors import ModelProblem, UsageProblem
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Procedure
from assistant.words import grammars
from assistant.words.phrase import Grammar

if TYPE_CHECKING:
    from assistant.ear.recogniser import Recogniser

    Commands = argparse._SubParsersAction[
        argparse.ArgumentParser
    ]  # argparse gives it no other name


NEEDED = frozenset({"yes", "no", "stop", "done"})
"""Words without which a model is of no use."""


def add_record(command: argparse.ArgumentParser, text: str) -> None:
    """Add ``--record``."""
    command.add_argument("--record", type=Path, metavar="FOLDER", help=text)


def add_rules(command: argparse.ArgumentParser) -> None:
    """Add ``--rules``."""
    command.add_argument(
        "--rules",
        type=Path,
        metavar="FILE",
        help="when a test is due and what a failed one puts in question (YAML)",
    )


def add_model(command: argparse.ArgumentParser) -> None:
    """Add ``--model``."""
    command.add_argument(
        "--model",
        type=Path,
        metavar="FOLDER",
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


def now() -> datetime:
    """Return the time, with the zone of this place."""
    return datetime.now(timezone.utc).astimezone()


def print_json(what: Mapping[str, object]) -> None:
    """Print one JSON object on one line."""
    print(json.dumps(what, ensure_ascii=False))


def open_recogniser(options: argparse.Namespace) -> Recogniser:
    """Return the recogniser of ``--model``, or of the model that ships; raises ``ModelProblem``."""
    from assistant.ear.recogniser import Recogniser  # noqa: PLC0415 - the library loads late

    return Recogniser(options.model or places.model())


def check_model(recogniser: Recogniser, procedures: Iterable[Procedure]) -> None:
    """Say on stderr which of our words the model lacks, and load every grammar once.

    The first time a grammar is met it must be compiled, which nobody should wait for on a roof.

    Raises:
        ModelProblem: it lacks words without which nobody can answer or stop.
    """
    heard = [grammar for procedure in procedures for grammar in grammars_of(procedure)]
    missing = say_missing_words(recogniser, heard)
    needed = sorted(missing & NEEDED)
    if needed:
        raise ModelProblem(
            f"Without {', '.join(needed)} nobody can answer or stop. Use another model, or leave "
            "--model out."
        )
    for grammar in {grammar.key: grammar for grammar in heard}.values():
        recogniser.prepare(grammar)


def say_missing_words(recogniser: Recogniser, heard: Iterable[Grammar]) -> set[str]:
    """Say on stderr which words of these grammars the model lacks, and return them."""
    by_key = {grammar.key: grammar for grammar in heard}
    missing = {word for grammar in by_key.values() for word in recogniser.missing_words(grammar)}
    if missing:
        print(
            f"lapcall: this model lacks {len(missing)} of our words, and no phrase with one of "
            f"them can be heard: {', '.join(sorted(missing))}",
            file=sys.stderr,
        )
    return missing


def grammars_of(procedure: Procedure) -> list[Grammar]:
    """Return every grammar that a procedure opens the ear with."""
    phases = (Phase.ANSWER, Phase.SECOND_WAY, Phase.CONFIRM)
    own = [step_grammar(step, phase) for step in procedure.steps for phase in phases]
    busy = [grammars.done(), grammars.waiting(), grammars.asleep()]
    return [*own, *busy, grammars.on_hold(), grammars.stop_only()]
