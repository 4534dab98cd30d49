"""A record folder read for review, broken or not. Imports ``record`` and ``shift``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from assistant.record.verify import Verified, read_and_verify
from assistant.review.shift import ShiftReview, shift_review


@dataclass(frozen=True, slots=True)
class Read:
    """What a record says, and whether it is as it was written."""

    review: ShiftReview
    verified: Verified


def read(folder: Path) -> Read:
    """Read a record; one that is broken or missing is told in ``verified`` and never raised."""
    found, verified = read_and_verify(folder)
    doubtful = {line.entry.seq for line in found.broken if line.entry is not None}
    return Read(shift_review(found.entries, doubtful), verified)
