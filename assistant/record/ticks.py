"""A clock that nobody sets, and that a sleeping computer does not stop. Imports nothing of ours."""

from __future__ import annotations

import sys
import time


def seconds_up() -> float:
    """Return seconds since some moment before; only differences within one process mean anything.

    The usual monotonic clock stands still while Linux or macOS sleeps, which would look as if the
    wall clock had been set.
    """
    if sys.platform == "linux":
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    if sys.platform == "darwin":
        return time.clock_gettime(time.CLOCK_MONOTONIC)
    return time.monotonic()
