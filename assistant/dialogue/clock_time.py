"""How long it is until a time of the clock. Imports nothing of ours."""

from __future__ import annotations

from datetime import datetime, timedelta

_DAY, _HALF = timedelta(days=1), timedelta(hours=12)


def seconds_until(clock: str, now: datetime | None) -> int:
    """Return the seconds until the next ``"13:30"``, rounded up; 0 where it has passed.

    The nearest such time counts: up to twelve hours back it has passed, else it is to come. Nought
    too where nobody knows what time it is.
    """
    if now is None:
        return 0
    hour, minute = (int(part) for part in clock.split(":"))
    there = now.replace(hour=hour, minute=minute, second=0, microsecond=0)
    left = (there - now + _HALF) % _DAY - _HALF
    return max(0, -int(-left.total_seconds() // 1))
