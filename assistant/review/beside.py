"""What was said beside the steps, as a foreman reads it. Imports ``record`` and ``widths``; pure.

Everything may be missing: a record can be broken. Each function tells of one line, or None when it
is no line of its kind.
"""

from __future__ import annotations

from fractions import Fraction

from assistant.record import kinds
from assistant.record.entry import Entry
from assistant.record.state import Run
from assistant.review.strips import readable
from assistant.review.widths import fraction

_EVENTS = {
    "power-lost": "power was lost",
    "rain": "rain",
    "break": "a break",
    "changing": "a change",
}
_ENDED = {"words": "ended by its last words", "full": "cut at its longest"}


def told(entry: Entry) -> str:
    """Return in a few words what a mark, a note or an event says."""
    if entry.kind == kinds.MARK:
        return f"{readable(entry.fields.get('what'))} at {_feet(entry)}"
    if entry.kind == kinds.EVENT:
        what, part = str(entry.fields.get("what")), entry.fields.get("part")
        return _EVENTS.get(what, readable(what)) + (f" of {part}" if part else "")
    said = entry.fields.get("said")
    return str(said) if said else _length(entry)


def mark(_: Run, entry: Entry) -> str | None:
    """Tell of a mark, or of one that was meant and not heard."""
    if entry.kind == kinds.MARK_NOT_HEARD:
        tries = entry.fields.get("said")
        made = ", ".join(f"“{said}”" for said in tries if said) if isinstance(tries, list) else ""
        behind = f" What was made of it: {made}." if made else ""
        return f"{_sentence(readable(entry.fields.get('what')))}: its place was not heard.{behind}"
    if entry.kind != kinds.MARK:
        return None
    apart = entry.fields.get("said_at") != entry.fields.get("said")
    place = f", “{entry.fields.get('said_at')}”" if apart else ""
    yes = entry.fields.get("confirmed_by")
    return (
        f"{_sentence(told(entry))}. Said “{entry.fields.get('said')}”{place}, "
        f"{f'confirmed by “{yes}”' if yes else 'not confirmed'}."
    )


def event(_: Run, entry: Entry) -> str | None:
    """Tell of what may have ended a set-up."""
    if entry.kind != kinds.EVENT:
        return None
    return f"{_sentence(told(entry))}. Said “{entry.fields.get('said')}”."


def note(_: Run, entry: Entry) -> str | None:
    """Tell of a note: how long it is, or what was typed."""
    if entry.kind != kinds.NOTE:
        return None
    said = entry.fields.get("said")
    if said:
        return f"Typed: “{said}”."
    ended = _ENDED.get(str(entry.fields.get("ended_by")), "ended by quiet")
    gap = " Some of its sound was lost." if entry.fields.get("damaged") is True else ""
    return f"{_sentence(_length(entry))}, {ended}.{gap}"


def _length(entry: Entry) -> str:
    length = entry.fields.get("length_ms")
    if not isinstance(length, int) or length <= 0:
        return "a note of unknown length"
    return f"{max(1, round(length / 1000))} s of sound"


def _feet(entry: Entry) -> str:
    position = fraction(entry.fields.get("position_ft"))
    if position is None:
        return "a place that is not stated"
    whole, rest = divmod(position, 1)
    if rest in (0, Fraction(1, 2)):
        return f"{whole}{'½' if rest else ''} ft" if whole or not rest else "½ ft"
    return f"{position} ft"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
