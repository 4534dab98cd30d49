"""Times of day as Lapcall says them. Imports ``numbers``."""

from __future__ import annotations

from datetime import datetime

from assistant.words.numbers import in_words


def clock_in_words(moment: datetime) -> str:
    """Return the time of day: 07:05 -> "seven oh five", 13:00 -> "one o'clock"."""
    hour = in_words(moment.hour % 12 or 12)
    if moment.minute == 0:
        return f"{hour} o'clock"
    oh = "oh " if moment.minute < 10 else ""
    return f"{hour} {oh}{in_words(moment.minute)}"
