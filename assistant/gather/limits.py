"""How much is believed of what comes in from outside. Imports nothing of ours.

A shift of ten hours is some megabytes of lines, and a clip of half a minute one megabyte.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

MEGABYTE = 1 << 20
MOST_RECORD = 1024 * MEGABYTE
MOST_CLIP = 64 * MEGABYTE
MOST_SIDE = MEGABYTE
MOST_SIDE_FILES = 1000
MOST_MEMBERS = 1_000_000
MOST_RATIO = 50
"""A record cannot be packed so small: half of it is fingerprints, which hardly pack at all."""

_UNSHOWN = re.compile(r"[^\x20-\x7e\u00a1-\u1fff\u2c00-\ud7ff]")
_MOST_SHOWN = 160


class Refused(Exception):
    """A file that is not taken; ``str()`` says why, as a clause."""


@dataclass(frozen=True, slots=True)
class RecordFiles:
    """One record that came in, as files that can be read and never written."""

    label: str
    """Where it came from, fit to be shown."""
    read: Callable[[str, int], bytes]
    """Reads a file beside the record up to a size in bytes; raises ``Refused``."""
    clips: frozenset[str]
    """Names in its folder of clips, as they came."""
    sides: tuple[str, ...]
    """Names beside the record that begin as its own files do."""


def shown(text: str) -> str:
    """Return a name from outside so that it cannot steer a terminal, nor fill it."""
    safe = _UNSHOWN.sub("?", text)
    return safe if len(safe) <= _MOST_SHOWN else f"{safe[:60]}...{safe[-60:]}"
