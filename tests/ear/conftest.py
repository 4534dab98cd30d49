"""Fixtures of the ear's tests."""

from __future__ import annotations

from pathlib import Path

import pytest

CLIPS = Path(__file__).with_name("clips")


@pytest.fixture
def spoken_yes() -> Path:
    """A synthetic voice that says yes."""
    return CLIPS / "yes.wav"
