"""``lapcall check`` and ``card``: what is wrong in checklists, and one of them as a page."""

from __future__ import annotations

import argparse
import json
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.check.checking import Report, check_files
from assistant.check.findings import RULES, Severity
from assistant.check.hearing import Ear
from assistant.check.schema import schema
from assistant.check.timing import in_words
from assistant.commands.options import add_model, check_model, open_recogniser
from assistant.ear.lexicon import read_lexicon
from assistant.ear.model_folder import ModelKind, look_at
from assistant.errors import ProcedureProblem, UsageProblem
from assistant.procedure.job import Job
from assistant.procedure.loader import JOB_FILE, SUFFIXES, load_procedure, read_job
from assistant.words.phrase import Grammar, Word

if TYPE_CHECKING:
    from assistant.commands.options import Commands
    from assistant.ear.recogniser import Recogniser


def add_to(commands: Commands) -> None:
    """Add the commands."""
    check = commands.add_parser(
        "check", help="tell what is wrong in checklists, where, and how to mend it"
    )
    check.add_argument(
        "procedures",
        nargs="*",
        metavar="PROCEDURE",
        help="names, files or folders (usually all that ship)",
    )
    check.add_argument("--json", action="store_true", help="as JSON")
    check.add_argument("--times", action="store_true", help="how long each step speaks")
    check.add_argument("--rules", action="store_true", help="only list the rules")
    check.add_argument(
        "--schema", action="store_true", help="only print the JSON Schema of checklists"
    )
    _add_job(check)
    add_model(check)
    check.set_defaults(run=run_check)
    card = commands.add_parser("card", help="write a checklist and what can be said as a page")
    card.add_argument("procedure", metavar="PROCEDURE", help="a name or a file")
    card.add_argument(
        "--out", type=Path, metavar="FILE", help="where to (usually PROCEDURE-card.html here)"
    )
    _add_job(card)
    card.set_defaults(run=run_card)


def _add_job(command: argparse.ArgumentParser) -> None:
    command.add_argument("--job", type=Path, metavar="FILE", help="job file over the one beside it")


def _job(options: argparse.Namespace) -> Job | None:
    return read_job(options.job) if options.job else None


def run_check(options: argparse.Namespace) -> int:
    """Check, and tell what was found; 0 when nothing has to be mended."""
    if options.schema:
        print(json.dumps(schema(), indent=2))
        return 0
    if options.rules:
        for name, rule in RULES.items():
            print(f"{name:18} {rule.severity.value:8} {rule.looks_for}")
        return 0
    recogniser = open_recogniser(options) if options.model else None
    report = check_files(_paths(options.procedures), _ear(options.model, recogniser), _job(options))
    _print_json(report) if options.json else _print(report, times=options.times)
    if recogniser and report.checked:
        check_model(recogniser, [each.procedure for each in report.checked])
    return 0 if report.good else ProcedureProblem.exit_code


def _paths(named: list[str]) -> list[Path]:
    found: list[Path] = []
    for name in named or [str(places.home() / "checklists")]:
        path = Path(name)
        found += _inside(path) if path.is_dir() else [places.procedure_file(name)]
    return [_from_here(path) for path in found]


def _inside(folder: Path) -> list[Path]:
    files = [path for path in sorted(folder.iterdir()) if path.suffix.lower() in SUFFIXES]
    checklists = [path for path in files if path.name != JOB_FILE]
    if not checklists:
        raise UsageProblem(f"{folder}: no checklist is here. Name a folder with .yaml files.")
    return checklists


def _from_here(path: Path) -> Path:
    here = Path.cwd()
    return path.relative_to(here) if path.is_absolute() and path.is_relative_to(here) else path


class _Knows:
    """The words that a model without a lexicon of ours can hear."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser

    def __contains__(self, word: object) -> bool:
        return not self._recogniser.missing_words(Grammar("word", Word(str(word), None)))


def _ear(folder: Path | None, recogniser: Recogniser | None) -> Ear:
    """Return what the model knows; how alike words sound is told by our own lexicon."""
    if folder and recogniser and look_at(folder).kind is not ModelKind.OURS:
        return Ear(read_lexicon(places.model()).ways, _Knows(recogniser))
    return Ear(read_lexicon(folder or places.model()).ways)


def _print_json(report: Report) -> None:
    checklists = [
        {
            "procedure": each.procedure.id,
            "file": each.file,
            "say_s": round(each.say_s, 1),
            "why_s": round(each.why_s, 1),
            "wait_s": each.wait_s,
            "steps": [
                {
                    "step": time.step,
                    "line": time.line,
                    "say_s": time.say_s,
                    "why_s": time.why_s,
                    "wait_s": time.wait_s,
                }
                for time in each.times
            ],
        }
        for each in report.checked
    ]
    findings = [one.as_json() for one in report.findings]
    print(json.dumps({"good": report.good, "findings": findings, "checklists": checklists}))


def _print(report: Report, *, times: bool) -> None:
    for one in report.findings:
        print(one.sentence())
    for each in report.checked:
        waits = f", and {in_words(each.wait_s)} of waiting" if each.wait_s else ""
        with_why = in_words(each.say_s + each.why_s)
        spoken = f"{in_words(each.say_s)} of speech (with each why {with_why})"
        print(f"{each.procedure.id}: {len(each.times)} steps, {spoken}{waits}.")
        for time in each.times if times else ():
            print(f"  {time.step}: {time.say_s:.1f} s, why {time.why_s:.1f} s")
    count = Counter(one.severity for one in report.findings)
    told = [f"{count[kind]} {kind.value}{'s' * (count[kind] != 1)}" for kind in Severity]
    print(f"{', '.join(told)}." if report.findings else "Nothing to mend.")


def run_card(options: argparse.Namespace) -> int:
    """Write the page of one checklist."""
    from assistant.card.card import card  # noqa: PLC0415 - no other command needs pages

    procedure = load_procedure(places.procedure_file(options.procedure), job=_job(options))
    out = options.out or Path(f"{procedure.id}-card.html")
    out.write_text(card(procedure), encoding="utf-8")
    print(f"Card: {out}")
    return 0
