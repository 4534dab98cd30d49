"""Whether the clock on the wall was set between two lines. Imports ``entry`` only; pure.

Each line holds the time, which anybody can set, and ``up_ms``, which nobody can. Between two lines
of one opening of the record both must have gone on by the same.
"""

from __future__ import annotations

from datetime import timedelta

from assistant.record.entry import Entry

_SLACK = timedelta(seconds=2)
"""Clocks that are kept right over a network creep; they do not jump."""
_DRIFT = 0.001


def jump(before: Entry, after: Entry) -> str:
    """Return a sentence about a clock that was set before line ``after``, or nothing."""
    passed = after.at - before.at
    if after.up_ms and before.up_ms is not None and after.up_ms >= before.up_ms:
        should = timedelta(milliseconds=after.up_ms - before.up_ms)
        off = passed - should
        if abs(off) <= _SLACK + should * _DRIFT:
            return ""
    elif passed >= timedelta():
        return ""  # another opening: how much time passed nobody knows
    else:
        off = passed
    way = "forward" if off > timedelta() else "back"
    return f"The clock was set {way} by {_told(abs(off))} before line {after.seq + 1}."


def _told(length: timedelta) -> str:
    seconds = round(length.total_seconds())
    for size, unit in ((86_400, "d"), (3600, "h"), (60, "min")):
        if seconds >= 2 * size:
            return f"about {round(seconds / size)} {unit}"
    return f"about {seconds} s"
