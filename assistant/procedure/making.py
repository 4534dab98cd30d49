"""What a step is built from: its keys, what all steps share, the file around it.

Imported by ``steps`` and ``questions``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypedDict

from assistant.procedure.conditions import Conditions
from assistant.procedure.fields import Fields
from assistant.procedure.model import Remind
from assistant.weld.limits import WidthLimits


@dataclass(frozen=True, slots=True)
class Around:
    """What a step must know of the file around it."""

    limits: WidthLimits
    reserved: frozenset[str]
    """Phrases that no choice may use."""
    conditions: Conditions = field(default_factory=Conditions)
    """What the job says of weather and supply."""


class Common(TypedDict):
    """The fields of a step that are read in the same way on every kind."""

    id: str
    line: int
    why: str
    how: str
    only_if: tuple[str, ...] | None
    once: bool
    remind: Remind | None
    file: str
    quiet_s: int | None
    danger: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Making:
    """A step while it is built."""

    fields: Fields
    common: Common
    lines: dict[str, int]
    around: Around
