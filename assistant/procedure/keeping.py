"""How long recordings are kept, as a job file sets it. Imported by ``loader``."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.procedure.fields import Fields

THEN = ("keep", "shorten", "drop")
SPARED = ("spare", "tidy")
USUAL_DAYS = 90


@dataclass(frozen=True, slots=True)
class Keeping:
    """What ``clips`` in a job file says; each may be left out."""

    then: str = "keep"
    """One of ``THEN``: what becomes of a recording that is old enough."""
    days: int = USUAL_DAYS
    failed_too: bool = False
    notes_too: bool = False


def keeping(fields: Fields) -> Keeping:
    """Read ``clips``; every fault is reported to the fields' own list."""
    inner = fields.inner("clips", required=False)
    if inner is None:
        return Keeping()
    days = inner.count("keep-days") if inner.has("keep-days") else None
    found = Keeping(
        inner.one_of("then", THEN) or "keep",
        USUAL_DAYS if days is None else int(days),
        inner.one_of("failed", SPARED, required=False) == "tidy",
        inner.one_of("notes", SPARED, required=False) == "tidy",
    )
    inner.close()
    return found
