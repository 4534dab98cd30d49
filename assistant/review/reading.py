"""A record folder read for review, broken or not. Imports ``record``, ``cover`` and ``shift``."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from assistant.proof.rows import rows_of
from assistant.record.verify import Verified, read_and_verify
from assistant.review.cover import SeamsCover, seams_cover
from assistant.review.shift import ShiftReview, shift_review
from assistant.weld.job_rules import JobRules


@dataclass(frozen=True, slots=True)
class Read:
    """What a record says, and whether it is as it was written."""

    review: ShiftReview
    verified: Verified
    cover: SeamsCover = field(default_factory=SeamsCover)


def read(folder: Path, rules: JobRules | None = None) -> Read:
    """Read a record; one that is broken or missing is told in ``verified`` and never raised."""
    found, verified = read_and_verify(folder)
    doubtful = {line.entry.seq for line in found.broken if line.entry is not None}
    cover = seams_cover(rows_of(found.entries), rules or JobRules())
    return Read(shift_review(found.entries, doubtful), verified, cover)
