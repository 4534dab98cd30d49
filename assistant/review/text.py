"""A shift in a terminal: plain text, less than 80 columns. Imports ``record`` and ``review``."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path

from assistant.record.verify import Verified
from assistant.review.cover import as_lines
from assistant.review.figures import CAVEAT, figures
from assistant.review.reading import Read, read
from assistant.review.shift import Remark
from assistant.review.strips import Strip
from assistant.review.telling import (
    NOT_STATED,
    heading,
    label,
    rows,
    sections,
    span,
    tally,
    width_told,
)
from assistant.weld.job_rules import JobRules
from assistant.weld.verdict import Outcome
from assistant.words.spelling import spelled

COLUMNS = 78
_LABEL_COLUMNS = 22


def shift_text(folder: Path, rules: JobRules | None = None) -> str:
    """Return the review of the record in ``folder``, the most urgent first."""
    return as_text(read(folder, rules))


def as_text(found: Read) -> str:
    """Return a review as lines."""
    review = found.review
    lines = [
        *_wrapped(f"Shift: {'; '.join(review.names) or 'job ' + NOT_STATED}"),
        *_wrapped(span(review.began, review.ended)),
        *_record(found.verified),
    ]
    if review.rehearsal:
        lines += _wrapped("REHEARSAL: not all of this was said at a roof.")
    lines += ["", *_wrapped(tally(review)), ""]
    if found.cover.seams:
        lines += ["Seams", *as_lines(found.cover, COLUMNS), ""]
    if not review.strips:
        lines += ["No strip was judged.", ""]
    for strip in review.strips:
        lines += [*_strip(strip), ""]
    if review.strips:
        lines += [*_figures(review.strips), ""]
    for title, remarks in sections(review):
        if remarks:
            lines += [*_section(title, remarks), ""]
    return "\n".join(lines[:-1])


def _record(verified: Verified) -> Iterator[str]:
    if verified.problems:
        yield from _wrapped("THE RECORD IS NOT WHOLE. What follows may be wrong or lack something.")
        for problem in verified.problems:
            yield from _wrapped(problem, "  - ")
    else:
        yield from _wrapped(f"Record: {verified.lines} lines, unbroken, ends in {verified.head}.")
        if verified.lines:
            closed = "closes the shift" if verified.closed else "does not close the shift"
            yield from _wrapped(f"Its last line {closed}: {spelled(verified.letters)}.")
    for note in verified.notes:
        yield from _wrapped(note)


def _strip(strip: Strip) -> Iterator[str]:
    title = f"[{label(strip).upper()}] {heading(strip)}"
    plain = not (strip.doubtful or strip.reasons or strip.corrections)
    if strip.outcome == Outcome.PASS.value and plain:
        yield from _wrapped(f"{title}: {width_told(strip)}", "")
        return
    yield from _wrapped(title)
    if strip.doubtful:
        yield from _wrapped("IN DOUBT: a line that this rests on is not sound.", "  ")
    for reason in strip.reasons:
        yield from _wrapped(reason, "  ")
    for name, text in rows(strip):
        first = "  " + f"{name}:".ljust(_LABEL_COLUMNS)
        yield from textwrap.wrap(
            text, COLUMNS, initial_indent=first, subsequent_indent=" " * len(first)
        )


def _figures(strips: Sequence[Strip]) -> Iterator[str]:
    yield "What the strips add up to"
    for one in figures(strips):
        by = f"{one.welder or 'Welder ' + NOT_STATED}, {one.gun or 'gun ' + NOT_STATED}"
        yield from _wrapped(by, "  ")
        for sentence in one.told:
            yield from _wrapped(sentence, "  - ")
    yield from _wrapped(CAVEAT, "  ")


def _section(title: str, remarks: Sequence[Remark]) -> Iterator[str]:
    yield title
    for remark in remarks:
        yield from _wrapped(f"{remark.when:%H:%M} {remark.where}. {remark.text}", "  - ")


def _wrapped(text: str, first: str = "") -> list[str]:
    return textwrap.wrap(text, COLUMNS, initial_indent=first, subsequent_indent=" " * len(first))
