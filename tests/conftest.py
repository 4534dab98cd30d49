"""Fixtures that several parts share."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from support.rig import SoundRig, missing_programs


@pytest.fixture
def sound_rig() -> Iterator[SoundRig]:
    """A running virtual sound card; skips where it cannot be had.

    With ``LAPCALL_NEED_SOUND=1`` it fails instead, so that no machine which is meant to test
    the sound can pass by skipping.
    """
    missing = missing_programs()
    if missing:
        why = f"no virtual sound card: {', '.join(missing)} not found; see DEVELOPERS.md"
        if os.environ.get("LAPCALL_NEED_SOUND") == "1":
            pytest.fail(why)
        pytest.skip(why)
    with SoundRig() as rig:
        yield rig
