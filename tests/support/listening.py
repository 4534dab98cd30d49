"""Finds out when something sounded in what a rig's recorder collected."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from support.rig import RATE_HZ, Recorder


@dataclass(frozen=True)
class Span:
    """A stretch of sound, in seconds of the monotonic clock, which all processes share."""

    began_s: float
    ended_s: float

    @property
    def seconds(self) -> float:
        """How long it lasted."""
        return self.ended_s - self.began_s


def spans(recorder: Recorder, rest_s: float = 0.3, audible: int = 200) -> list[Span]:
    """Return the stretches of sound, parted by at least ``rest_s`` of silence.

    A chunk's last sample is taken to be as old as its arrival: true to some 10 ms.
    """
    found: list[Span] = []
    for came_at, chunk in recorder.chunks():
        samples = np.frombuffer(chunk[: len(chunk) // 2 * 2], dtype="<i2").astype(int)
        loud = np.flatnonzero(np.abs(samples) > audible)
        if not len(loud):
            continue
        began, ended = (came_at - (len(samples) - at) / RATE_HZ for at in (loud[0], loud[-1]))
        if found and began - found[-1].ended_s < rest_s:
            found[-1] = Span(found[-1].began_s, ended)
        else:
            found.append(Span(began, ended))
    return found
