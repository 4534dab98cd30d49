"""Reads what a wait says on its way. Imported by ``steps``."""

from __future__ import annotations

import re

from assistant.procedure.fields import Fields, kind_of
from assistant.procedure.model import Moment
from assistant.procedure.yaml_lines import Mapping, Scalar

_UNTIL = re.compile(r"until ((?:[01][0-9]|2[0-3]):[0-5][0-9])", re.ASCII)
MOST_MOMENTS = 200
"""More than anybody listens to in a wait."""


def clock_time(fields: Fields) -> str:
    """Return the time of ``wait: until 13:30`` as ``"13:30"``; empty for a wait of some length.

    A fault is told by whoever reads the length.
    """
    entry = fields.mapping.entries.get("wait")
    data = entry.value.data if entry and isinstance(entry.value, Scalar) else None
    found = _UNTIL.fullmatch(data) if isinstance(data, str) else None
    if not found:
        return ""
    fields.asked.append("wait")
    return found[1]


def moments(fields: Fields, seconds: int) -> tuple[Moment, ...]:
    """Return what ``meanwhile`` lists, in the order of time; what falls together is said together.

    Each item has ``say`` and one of ``left`` (so long before the end) and ``every`` (again and
    again, counted from the start).
    """
    if not fields.has("meanwhile"):
        fields.asked.append("meanwhile")
        return ()
    said: dict[int, list[str]] = {}
    if not seconds:
        fields.items("meanwhile")  # the length has a fault, or is not known
        return ()
    for item in fields.items("meanwhile"):
        if not isinstance(item, Mapping):
            fields.faults.add(item.line, "meanwhile", f"{kind_of(item)} is no moment", _EXAMPLE)
            continue
        one = Fields(item, fields.faults, "a moment")
        text = one.spoken("say")
        for after_s in _times(one, seconds):
            said.setdefault(after_s, []).append(text)
        one.close()
    if len(said) > MOST_MOMENTS:
        fields.fault("meanwhile", f"it speaks {len(said)} times", f"at most {MOST_MOMENTS} times")
        return ()
    return tuple(Moment(after_s, " ".join(said[after_s])) for after_s in sorted(said))


_EXAMPLE = "{left: 1 min, say: One minute left.}"


def _times(one: Fields, seconds: int) -> range:
    """Return after how many seconds this is said."""
    if one.has("left") == one.has("every"):
        one.fault("left", "a moment has one of 'left' and 'every'")
        one.asked += ["left", "every"]
        return range(0)
    key = "left" if one.has("left") else "every"
    span = one.whole_seconds(key, "12 h")
    if span is None:
        return range(0)
    if not span < seconds:
        one.fault(key, "the time is not shorter than the wait", "a shorter time")
        return range(0)
    if key == "left":
        return range(seconds - span, seconds - span + 1)
    return range(span, seconds, span)
