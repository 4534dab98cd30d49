"""What tests of the ear share: the model that ships, and recordings kept outside the project."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODEL = ROOT / "models" / "ear"
SHARED = ROOT.parent / "shared" / "data"
"""Recordings of people and machines; not part of the project."""


def recordings(name: str) -> list[Path]:
    """Return the WAV files of one folder of ``SHARED``, sorted; skips the test without them."""
    found = sorted((SHARED / name).glob("*.wav"))
    if not found:
        pytest.skip(f"recordings {name} are kept outside the project and are not here")
    return found
