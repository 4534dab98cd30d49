"""``lapcall review``, ``verify`` and ``cue-card``: what is read afterwards or before."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.commands.options import (
    add_record,
    add_rules,
    now,
)
from assistant.commands.whole_job import review_job, verify_job
from assistant.errors import UsageProblem
from assistant.gather import signatures
from assistant.gather.job import is_job
from assistant.procedure.testing_rules import load_rules
from assistant.record.head import can_be
from assistant.record.journal import FILE_NAME
from assistant.record.verify import verify
from assistant.words.cue_card import cue_card
from assistant.words.spelling import letters_of, spelled

if TYPE_CHECKING:
    from assistant.commands.options import Commands

CLOSES = "The last line closes a shift."
CLOSES_NOT = (
    "The last line does not close a shift: the end was sudden, or work goes on, or lines were cut "
    "from the end."
)
NO_KNOWN_HEAD = (
    "Lines cut from the end, or a record written anew, show only against an end that was noted "
    "elsewhere: give it with --head."
)


def add_to(commands: Commands) -> None:
    """Add the commands."""
    review = commands.add_parser("review", help="show a shift, and write its page")
    add_record(review, "folder of the record (usually the newest)")
    review.add_argument(
        "--page",
        type=Path,
        metavar="FILE",
        help="where to write the page (usually review.html beside the record)",
    )
    add_rules(review)
    review.set_defaults(run=run_review)
    check = commands.add_parser("verify", help="check that a record was not changed")
    add_record(check, "folder of the record (usually the newest)")
    check.add_argument(
        "--head",
        nargs="+",
        metavar="WORD",
        help="the end of the record as it was noted: six letters, or their words as they were "
        "spoken, or the hash",
    )
    check.set_defaults(run=run_verify)
    card = commands.add_parser("cue-card", help="print what can be said")
    card.set_defaults(run=run_cue_card)


def _folder(options: argparse.Namespace) -> Path:
    folder: Path = options.record or places.latest_shift()
    if not (folder / FILE_NAME).is_file():
        raise UsageProblem(f"There is no record in {folder}. Name its folder with --record.")
    return folder


def run_review(options: argparse.Namespace) -> int:
    """Print the shift and write the page."""
    from assistant.review.page import write_page  # noqa: PLC0415 - no other command needs pages
    from assistant.review.text import shift_text  # noqa: PLC0415

    rules = load_rules(options.rules or places.rules_file())
    if options.record and is_job(options.record):
        return review_job(options.record, options.page, rules)
    folder = _folder(options)
    page = options.page or folder / "review.html"
    print(shift_text(folder, rules))
    write_page(folder, page, now(), rules)
    print(f"Page: {page}")
    return 0


def run_verify(options: argparse.Namespace) -> int:
    """Check the chain and the clips."""
    known = _known_head(options.head or [])
    if options.record and is_job(options.record):
        return verify_job(options.record, known)
    folder = _folder(options)
    found = verify(folder, known)
    false, signed = signatures.check(folder)
    for told in (*found.notes, *signed, *found.problems, *false):
        print(told)
    if found.first_broken is not None:
        print(f"The chain is first broken at line {found.first_broken}.")
    if found.problems or false:
        print(f"{found.lines} lines read; this record is not whole.")
        return 7
    print(f"{found.lines} lines, unbroken. The last one ends in {found.head}.")
    if found.lines:
        print(f"Its letters are {found.letters}: {spelled(found.letters)}.")
        print(f"Its hash is {found.digest}.")
    print(CLOSES if found.closed else CLOSES_NOT)
    if not known:
        print(NO_KNOWN_HEAD)
    return 0


def _known_head(words: list[str]) -> str:
    """Return a head as ``verify`` takes it.

    Raises:
        UsageProblem: it can be none.
    """
    told = " ".join(words)
    known = letters_of(told) or "".join(words)
    if words and not can_be(known):
        raise UsageProblem(
            f"{told} cannot be the end of a record. Give six letters, their six words, or the "
            "last six or more characters of the hash."
        )
    return known


def run_cue_card(_: argparse.Namespace) -> int:
    """Print the card."""
    print(cue_card(), end="")
    return 0
