"""Many shifts on one page: what failed where, each seam across all days, and a link to each shift.

Imports the modules of ``review`` and ``record``; nothing is decided here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.record.verify import Verified
from assistant.review.page import environment, write_text
from assistant.review.shift import ShiftReview
from assistant.review.telling import COUNTED, span

_LOOKS = ("failed", "unjudged", "at-limit", "passed")


@dataclass(frozen=True, slots=True)
class OneShift:
    """One record of a job."""

    name: str
    link: str
    """Its page, seen from the job's page."""
    review: ShiftReview
    verified: Verified


@dataclass(frozen=True, slots=True)
class JobReview:
    """What the records of a job add up to."""

    shifts: tuple[OneShift, ...]
    """Those with failed tests first, then by name."""
    counts: tuple[int, ...]
    names: tuple[str, ...]
    told: str
    """From when to when."""

    @property
    def broken(self) -> int:
        """How many records are not whole."""
        return sum(bool(shift.verified.problems) for shift in self.shifts)


def job_review(shifts: Iterable[OneShift]) -> JobReview:
    """Return the review of a job's shifts."""
    every = sorted(shifts, key=lambda shift: (-shift.review.counts[0], shift.name))
    times = [
        moment
        for shift in every
        for moment in (shift.review.began, shift.review.ended)
        if moment is not None
    ]
    return JobReview(
        tuple(every),
        tuple(sum(shift.review.counts[place] for shift in every) for place in range(len(COUNTED))),
        tuple(dict.fromkeys(name for shift in every for name in shift.review.names)),
        span(min(times, default=None), max(times, default=None)),
    )


def write_job_page(job: JobReview, seams: Sequence[str], out: Path) -> None:
    """Write the page; ``seams`` are lines about each seam. Raises ``UsageProblem``."""
    text = environment().get_template("job.html").render(
        shifts=job.shifts,
        names=job.names,
        span=job.told,
        broken=job.broken,
        counts=tuple(zip(_LOOKS, job.counts, COUNTED, strict=True)),
        seams=seams,
    )  # fmt: skip
    write_text(out, text)
