"""The figure of the bench, small: many devices, many shifts, in any order."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest
from support.gathered import DAY, copied, device, merged, more, tree

from assistant.record import disk


@pytest.mark.parametrize("order", range(3))
def test_many_devices_and_days(tmp_path, monkeypatch, order):
    """Eight devices with three shifts each, some forked and some twice, give one result."""
    monkeypatch.setattr(disk.Disk, "sync", lambda *_: None)
    monkeypatch.setattr(disk.Disk, "sync_folder", lambda *_: None)
    every = [
        device(tmp_path / f"{number}-{day}", number, start=DAY + timedelta(days=day))
        for number in range(8)
        for day in range(3)
    ]
    every += [more(copied(folder, tmp_path / f"fork-{folder.name}")) for folder in every[::5]]
    for folder in every[:24:5]:
        more(folder, "held")
    merged(tmp_path / "job", *every)
    shuffled = every * 2
    random.Random(order).shuffle(shuffled)  # noqa: S311 - an order, not a secret
    for folder in shuffled:
        merged(tmp_path / "again", folder)

    assert tree(tmp_path / "again") == tree(tmp_path / "job")
    assert sum("fork" in path and "record.jsonl" in path for path in tree(tmp_path / "job")) == 10
