"""``lapcall tidy``: what becomes of recordings once they have served."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.commands.options import now
from assistant.errors import RecordProblem, UsageProblem
from assistant.procedure.faults import Faults
from assistant.procedure.keeping import Keeping, keeping
from assistant.procedure.loader import read_bytes, top_fields
from assistant.record.journal import CLIPS_NAME, FILE_NAME, Record
from assistant.record.tidy import Done, Plan, Rule, Then, carry_out, plan, unnamed

if TYPE_CHECKING:
    from assistant.commands.options import Commands

MARGIN_MS = 100
"""Sound that stays on either side of speech: soft consonants are no speech to the network."""


def add_to(commands: Commands) -> None:
    """Add the command."""
    tidy = commands.add_parser(
        "tidy",
        help="drop or shorten old recordings; every line stays",
        description="Say which recordings are old enough to go; with --do-it let them go. Lines "
        "stay as they are, and a new one tells what went, when and by which rule.",
    )
    which = tidy.add_mutually_exclusive_group()
    which.add_argument(
        "--record", type=Path, metavar="FOLDER", help="folder of the record (usually the newest)"
    )
    which.add_argument("--all", action="store_true", help="every record of this machine")
    tidy.add_argument(
        "--job", type=Path, metavar="FILE", help="take the rule from 'clips' in a job file"
    )
    how = tidy.add_mutually_exclusive_group()
    for then, text in ((Then.DROP, "remove them"), (Then.SHORTEN, "cut away what is no speech")):
        how.add_argument(
            f"--{then.value}", dest="then", action="store_const", const=then.value, help=text
        )
    how.add_argument(
        "--told",
        action="store_true",
        help="only remove what the record already tells of, as in a gathered copy; adds no line",
    )
    tidy.add_argument("--days", type=_days, metavar="N", help="older than this (usually 90)")
    tidy.add_argument(
        "--failed-too",
        action="store_true",
        help="also those of tests that failed, were corrected, taken back or not heard",
    )
    tidy.add_argument(
        "--notes-too",
        action="store_true",
        help="also those of notes, marks and events: their sound is all there is of a note",
    )
    tidy.add_argument("--do-it", action="store_true", help="really do it; without, it only tells")
    tidy.set_defaults(run=run_tidy)


def _days(text: str) -> int:
    if not text.isdigit() or int(text) > 36_500:
        raise argparse.ArgumentTypeError("write whole days, 0 or more")
    return int(text)


def run_tidy(options: argparse.Namespace) -> int:
    """Tell what a rule would do to a record, or do it."""
    rule = Rule() if options.told else _rule(options)
    if rule.then is Then.KEEP and not options.told:
        raise UsageProblem(
            "Say what shall become of old recordings: --drop or --shorten, or a job file with "
            "'clips' in it."
        )
    failed = 0
    for folder in _folders(options):
        if options.all:
            print(f"{folder}:")
        try:
            _tidy(folder, rule, do_it=options.do_it)
        except RecordProblem as problem:
            if not options.all:
                raise
            print(problem)
            failed = problem.exit_code
    if not options.do_it:
        print("Nothing was changed. With --do-it it is done.")
    return failed


def _folders(options: argparse.Namespace) -> list[Path]:
    if options.all:
        return sorted(path.parent for path in places.data().glob(f"*/{FILE_NAME}"))
    folder: Path = options.record or places.latest_shift()
    if not (folder / FILE_NAME).is_file():
        raise UsageProblem(f"There is no record in {folder}. Name its folder with --record.")
    return [folder]


def _tidy(folder: Path, rule: Rule, *, do_it: bool) -> None:
    record = Record.open(folder, now)
    try:
        planned = plan(record.entries, now(), rule)
        _tell(planned, len(unnamed(folder, planned)), _there(folder, planned))
        if do_it:
            _tell_done(carry_out(record, folder, planned, speech_alone))
    finally:
        record.close()


def _there(folder: Path, planned: Plan) -> int:
    """Count the clips that the record already tells of and that are there all the same."""
    return sum((folder / CLIPS_NAME / name).exists() for name in planned.leftovers)


def _rule(options: argparse.Namespace) -> Rule:
    job = _keeping(options.job) if options.job else Keeping()
    return Rule(
        Then(options.then or job.then),
        job.days if options.days is None else options.days,
        options.failed_too or job.failed_too,
        options.notes_too or job.notes_too,
    )


def _keeping(path: Path) -> Keeping:
    faults = Faults()
    found = keeping(top_fields(read_bytes(path), path.name, "the job file", faults))
    faults.raise_any(path.name)
    return found


def _tell(planned: Plan, nobodys: int, told_of: int) -> None:
    if planned.rule.then is not Then.KEEP:
        print(f"Rule: {planned.rule.told}.")
        print(f"{_clips(len(planned.old))} to {planned.rule.then.value}.")
    if told_of:
        print(f"{_clips(told_of)} to remove, as the record already tells.")
    for why in dict.fromkeys(planned.spared.values()):
        count = sum(other == why for other in planned.spared.values())
        print(f"{_clips(count)} {why}: kept.")
    if nobodys:
        print(f"{_clips(nobodys)} that no line names to remove: what was said there never counted.")


def _tell_done(done: Done) -> None:
    print(
        f"{_clips(done.dropped)} dropped, {done.shortened} shortened, {done.unnamed} without a "
        f"line removed; {done.freed_bytes // 1024} KiB less."
    )
    if done.left:
        print(f"{_clips(len(done.left))} missing or not as kept: left alone. See lapcall verify.")


def _clips(count: int) -> str:
    return f"{count} {'clip' if count == 1 else 'clips'}"


def speech_alone(pcm: bytes, rate_hz: int) -> bytes:
    """Return a sound without what lies more than a margin before and behind all speech in it.

    Sound in which no speech is found, or at another rate than the ear's, stays whole.
    """
    from assistant.ear.gate import (  # noqa: PLC0415 - loads a network
        FRAME_BYTES,
        FRAME_MS,
        GateSettings,
        network,
    )
    from assistant.ear.sound import RATE_HZ  # noqa: PLC0415

    if rate_hz != RATE_HZ:
        return pcm
    chance, least = network(), GateSettings().go_on_at
    starts = range(0, len(pcm) - FRAME_BYTES + 1, FRAME_BYTES)
    spoken = [at for at in starts if chance(pcm[at : at + FRAME_BYTES]) >= least]
    if not spoken:
        return pcm
    margin = round(MARGIN_MS / FRAME_MS) * FRAME_BYTES
    return pcm[max(0, spoken[0] - margin) : spoken[-1] + FRAME_BYTES + margin]
