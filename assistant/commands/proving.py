"""``lapcall due`` and ``lapcall seams``: what a record proves so far, as a table or as JSON."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.commands.options import add_rules, now, print_json
from assistant.errors import UsageProblem
from assistant.gather.job import records_of
from assistant.procedure.loader import load_job
from assistant.procedure.testing_rules import load_rules
from assistant.proof.now import due_now
from assistant.proof.reading import Found, found
from assistant.proof.rows import Row, rows_of
from assistant.record.verify import read_and_verify
from assistant.review.cover import hand_told, place_told, reason_told, span_told
from assistant.weld.due import Due
from assistant.weld.job_rules import JobRules
from assistant.weld.seams import Cover, resolve
from assistant.weld.states import Stretch
from assistant.weld.suspects import Accused, Place, accused
from assistant.weld.work import Hand, Work, merged

if TYPE_CHECKING:
    from assistant.commands.options import Commands


def add_to(commands: Commands) -> None:
    """Add both commands."""
    asked = commands.add_parser("due", help="say whether a peel test is due, why and since when")
    _common(asked)
    asked.add_argument("--job", type=Path, metavar="FILE", help="who welds with what (YAML)")
    asked.set_defaults(run=run_due)
    seams = commands.add_parser("seams", help="show what is proven, waiting or suspect, by seam")
    _common(seams)
    seams.set_defaults(run=run_seams)


def _common(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--record",
        nargs="+",
        type=Path,
        metavar="FOLDER",
        help="folders of records, taken together (usually the newest alone)",
    )
    add_rules(command)
    command.add_argument("--json", action="store_true", help="print JSON, one object a line")


def _rows(options: argparse.Namespace) -> list[tuple[Row, ...]]:
    """Return the lines of every record that was named; one that is not whole is told."""
    records = []
    for folder in records_of(options.record or [places.latest_shift()]):
        chain, verified = read_and_verify(folder)
        for problem in verified.problems:
            print(f"lapcall: {folder}: {problem} What follows may be wrong.", file=sys.stderr)
        records.append(rows_of(chain.entries))
    return records


# ---- due


def run_due(options: argparse.Namespace) -> int:
    """Say for the last set-up of each record, or for that of a job file, what is due."""
    rules = load_rules(options.rules or places.rules_file())
    records = _rows(options)
    every = tuple(row for rows in records for row in rows)
    moment = now()
    for rows in records:
        job: object = load_job(options.job) if options.job else _job_of(rows)
        state = due_now(every if options.job else rows, rules, moment, job)
        _tell_due(state, job, moment, as_json=options.json)
        if options.job:
            break
    return 0


def _job_of(rows: Iterable[Row]) -> object:
    jobs = [row.fields["job"] for row in rows if "job" in row.fields]
    return jobs[-1] if jobs else {}


def _tell_due(state: Due, job: object, moment: datetime, *, as_json: bool) -> None:
    fields = job if isinstance(job, dict) else {}
    hand: Hand = (fields.get("welder"), fields.get("gun"))
    if as_json:
        reasons = [
            {"why": each.why.value, "what": each.what, "since": each.since.isoformat()}
            for each in state.reasons
        ]
        passed = state.passed_at.isoformat() if state.passed_at else None
        print_json(
            {
                "due": state.due,
                "since": state.since.isoformat() if state.since else None,
                "reasons": reasons,
                "welder": hand[0],
                "gun": hand[1],
                "last_pass": passed,
                "asked_at": moment.isoformat(timespec="seconds"),
            }
        )
        return
    print(f"{hand_told(hand)}: {'a test is due' if state.due else 'no test is due'}.")
    for reason in state.reasons:
        what = reason_told(reason.why, reason.what)
        print(f"  since {reason.since:%Y-%m-%d %H:%M}: {what}")
    last = f"{state.passed_at:%Y-%m-%d %H:%M}" if state.passed_at else "none in the record"
    print(f"  last pass: {last}")


# ---- seams


def run_seams(options: argparse.Namespace) -> int:
    """Print the state of every seam, and what failed tests put in question."""
    rules = load_rules(options.rules or places.rules_file())
    known = [found(rows) for rows in _rows(options)]
    cover = resolve(together(known), rules.cover)
    lists = accused(cover, rules.cuts)
    if options.json:
        for stretch in cover.stretches:
            print_json(_stretch_json(stretch, known))
        for one in lists:
            print_json(_accused_json(one, known))
        return 0
    _print_table(cover, lists, rules)
    return 0


def together(known: Iterable[Found]) -> Work:
    """Return what several records tell of as one.

    Raises:
        UsageProblem: branches of one record tell one thing differently.
    """
    try:
        return merged(*(each.work for each in known))
    except ValueError as problem:
        raise UsageProblem(
            "Two branches of one record tell the same work differently. Name the folder of the "
            "right one with --record, not both."
        ) from problem


def _print_table(cover: Cover, lists: Sequence[Accused], rules: JobRules) -> None:
    if not cover.stretches:
        print("No finish weld of a seam is in the record.")
    rows = [("Seam", "Length", "State", "Because"), *(_row(each) for each in cover.stretches)]
    wide = [max(len(row[column]) for row in rows) for column in range(3)]
    for row in rows if cover.stretches else []:
        cells = [cell.ljust(width) for cell, width in zip(row, wide, strict=False)]
        print("  ".join([*cells, row[3]]))
    for one in lists:
        seams = ", ".join(f"{each.seam} ({span_told(each)})" for each in one.suspects)
        print(f"Suspect, {hand_told(one.hand)}: {seams}.")
        cuts = " and ".join(place_told(cut) for cut in one.cuts)
        print(f"  Cut next, by {rules.cuts.way.value}: {cuts or 'nothing; repair and test it'}.")
    for each in cover.unplaced:
        print(f"Line {each.split('-')[0]} of a record lies on no seam that was welded there.")


def _row(stretch: Stretch) -> tuple[str, str, str, str]:
    return stretch.seam, span_told(stretch), stretch.state.value, stretch.because.value


def _stretch_json(stretch: Stretch, known: Sequence[Found]) -> dict[str, object]:
    return {
        "seam": stretch.seam,
        "from_ft": str(stretch.from_ft),
        "to_ft": _text(stretch.to_ft),
        "state": stretch.state.value,
        "because": stretch.because.value,
        "by": [_line(each, known) for each in stretch.by],
        "welder": stretch.hand[0],
        "gun": stretch.hand[1],
    }


def _accused_json(one: Accused, known: Sequence[Found]) -> dict[str, object]:
    return {
        "failed": [_line(each, known) for each in one.failed],
        "welder": one.hand[0],
        "gun": one.hand[1],
        "suspects": [
            {"seam": each.seam, "from_ft": str(each.from_ft), "to_ft": _text(each.to_ft)}
            for each in one.suspects
        ],
        "cut_next": [_place_json(cut) for cut in one.cuts],
        "bounded": one.bounded,
    }


def _place_json(cut: Place) -> dict[str, object]:
    return {
        "seam": cut.seam,
        "at_ft": _text(cut.at_ft),
        "before_end_ft": _text(cut.before_end_ft),
        "told": place_told(cut),
    }


def _text(feet: Fraction | None) -> str | None:
    return None if feet is None else str(feet)


def _line(name: str, known: Sequence[Found]) -> dict[str, object]:
    """Return the record line behind an id: its number, as people count, and its time."""
    row = next(each.lines[name] for each in known if name in each.lines)
    return {"line": row.seq + 1, "at": row.at.isoformat()}
