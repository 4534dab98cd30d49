"""What a job decides of tests due, of what is in question, and of where to cut. Data only."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.weld.due import DueRules
from assistant.weld.states import CoverRules
from assistant.weld.suspects import CutRules


@dataclass(frozen=True, slots=True)
class JobRules:
    """The rules of one file."""

    due: DueRules = field(default_factory=DueRules)
    cover: CoverRules = field(default_factory=CoverRules)
    cuts: CutRules = field(default_factory=CutRules)
    version: str = ""
    digest: str = ""
    """SHA-256 of the file's bytes: what is told by these rules says by which."""
