"""Lines of older formats, read as if they were of this one. Imports the names of lines only; pure.

A line says by ``v`` of which format it is; the first lines ever written have none and are of
format 1. Reading fills in what they lack, in memory alone: the bytes, and what is hashed, stay as
they are. What an old line did not say is null, never a guess; a value is filled in only where the
old format left no choice. FORMAT.md says when the number goes up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.record import kinds

FORMAT = 2
"""The format that is written."""
FIRST = 1
"""The format of lines without ``v``."""

Fields = dict[str, object]


def upgraded(version: int, kind: str, fields: Fields) -> Fields:
    """Return the fields of a line as this format holds them; newer lines stay as they are."""
    for step in _STEPS[version - FIRST :]:
        change = step.get(kind)
        if change is not None:
            fields = change(dict(fields))
    return fields


def _answered(fields: Fields) -> Fields:
    """Give the width in inches, which the first lines left to the unit."""
    if fields.get("act") == "value":
        inches = fields.get("answer") if fields.get("unit") == "in" else None
        fields.setdefault("width_in", inches)
        for name in ("hedge", "lean", "read_back", "confirmed_by", "confirmed_clip"):
            fields.setdefault(name, None)
    fields.setdefault("clip", None)
    return fields


def _taken_back(fields: Fields) -> Fields:
    """Nobody said a word only where Lapcall itself needed a plain width."""
    asked = fields.get("said") is not None
    fields.setdefault("reason", kinds.ASKED if asked else kinds.HEDGE_DECIDES)
    return fields


def _judged(fields: Fields) -> Fields:
    """Until format 2 one edge of the strip was read."""
    limits = fields.get("limits")
    if isinstance(limits, Mapping):
        fields["limits"] = {"edges": 1, **limits}
    for name in ("finding", "pull"):
        fields.setdefault(name, None)
    return fields


def _corrected(fields: Fields) -> Fields:
    fields.setdefault("reason", kinds.ASKED)
    return fields


def _began(fields: Fields) -> Fields:
    fields.setdefault("rules", None)
    return fields


_Step = Mapping[str, Callable[[Fields], Fields]]
_STEPS: tuple[_Step, ...] = (
    {
        kinds.BEGAN: _began,
        kinds.ANSWERED: _answered,
        kinds.TAKEN_BACK: _taken_back,
        kinds.JUDGED: _judged,
        kinds.CORRECTED: _corrected,
    },
)
"""What makes format 2 of format 1, and so on."""
