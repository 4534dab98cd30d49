"""``lapcall review`` and ``verify`` of a job folder, which holds the records of many shifts."""

from __future__ import annotations

import os
from pathlib import Path

from assistant.commands.options import now
from assistant.errors import RecordProblem, UsageProblem
from assistant.gather import signatures
from assistant.gather.job import records_in
from assistant.proof.reading import found
from assistant.proof.rows import rows_of
from assistant.record.verify import read_and_verify, verify
from assistant.review.cover import span_told
from assistant.review.telling import COUNTED
from assistant.weld.job_rules import JobRules
from assistant.weld.seams import resolve
from assistant.weld.work import Work, merged


def verify_job(job: Path, known: str) -> int:
    """Check every record; name those that are not whole, and those that were forked."""
    if known:
        raise UsageProblem("A head belongs to one record. Name that record's folder.")
    lines = broken = signed = 0
    folders = records_in(job)
    for folder in folders:
        verified = verify(folder)
        false, true = signatures.check(folder)
        lines += verified.lines
        signed += bool(true)
        problems = (*verified.problems, *false)
        broken += bool(problems)
        for told in problems:
            print(f"{folder.relative_to(job)}: {told}")
    forked = sorted({name.rpartition("-fork-")[0] for name in _names(folders) if "-fork-" in name})
    for name in forked:
        print(f"{name} was continued in more than one way; each branch is kept.")
    print(f"{len(folders)} records, {lines} lines; {broken} not whole, {len(forked)} forked.")
    if signed:
        print(f"Beside {signed} of them lie signatures; lapcall verify on one of them tells whose.")
    return RecordProblem.exit_code if broken or forked else 0


def _names(folders: tuple[Path, ...]) -> list[str]:
    return [folder.name for folder in folders]


def review_job(job: Path, page: Path | None, rules: JobRules) -> int:
    """Print the counts and the seams of all shifts; write a page for each and one for all."""
    from assistant.review import job_page  # noqa: PLC0415 - no other command needs pages
    from assistant.review.page import write_page  # noqa: PLC0415
    from assistant.review.shift import shift_review  # noqa: PLC0415

    out = page or job / "review.html"
    shifts, works = [], []
    for folder in records_in(job):
        chain, verified = read_and_verify(folder)
        doubtful = {line.entry.seq for line in chain.broken if line.entry is not None}
        write_page(folder, folder / "review.html", now(), rules)
        where = Path(os.path.relpath(folder / "review.html", out.parent)).as_posix()
        review = shift_review(chain.entries, doubtful)
        shifts.append(job_page.OneShift(folder.name, where, review, verified))
        works.append(found(rows_of(chain.entries)).work)
    told = job_page.job_review(shifts)
    seams = _seams(works, rules)
    job_page.write_job_page(told, seams, out)
    print(f"{len(shifts)} records, {told.told}; {told.broken} not whole.")
    counted = zip(told.counts, COUNTED, strict=True)
    print("Strips: " + ", ".join(f"{count} {what}" for count, what in counted) + ".")
    for line in seams:
        print(line)
    print(f"Page: {out}")
    return 0


def _seams(works: list[Work], rules: JobRules) -> list[str]:
    try:
        cover = resolve(merged(*works), rules.cover)
    except ValueError:
        return ["Two branches of one record tell the same work differently: no seam is told here."]
    return [
        f"Seam {each.seam}, {span_told(each)}: {each.state.value}, {each.because.value}."
        for each in cover.stretches
    ]
