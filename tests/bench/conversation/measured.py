"""What the ear made of clips, as tests/bench/ear wrote it down."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[3]
EAR = ROOT / "tests" / "bench" / "results" / "ear.json"


@dataclass(frozen=True)
class Pair:
    """One clip: what was said in it, and what was heard."""

    set: str
    level: str
    """``clean``, or the voice over the noise in dB."""
    voice: str
    said: str
    """Empty where nothing may be taken for an answer."""
    heard: str | None
    """None where the gate stayed shut."""
    confidence: float


def read_pairs(path: Path) -> list[Pair]:
    """Return the ``pairs`` of a result of tests/bench/ear; none where it has no such field.

    A row is set, level, noise, voice, said, heard, confidence.
    """
    rows = json.loads(path.read_text("utf-8")).get("pairs", [])
    return [
        Pair(group, level, voice, said, heard, confidence)
        for group, level, _, voice, said, heard, confidence in rows
    ]
