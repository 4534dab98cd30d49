"""A record on a disk that loses power keeps all that it acknowledged, once."""

from __future__ import annotations

import errno
import itertools
import random

import pytest
from support.crashes import FOLDER, Told, a_crash, check, opened
from support.power_cut import ForgetfulDisk, PowerCut

from assistant.errors import RecordBroken, RecordFull, RecordProblem, RecordReadOnly
from assistant.record.journal import Noticed

SEEDS = 150
"""Ten thousand are tried by hand: tests/bench/record_crashes.py."""
LINES = 3


def three_lines(disk: ForgetfulDisk, told: Told) -> None:
    """Open a record, keep a clip and three lines, and close it."""
    record = opened(disk, itertools.count())
    told.clips.add(record.keep_clip(b"\1\0" * 300, 16_000))
    for number in range(LINES):
        fields = {"step": f"step-{number}", "said": "é" * 400, "run": 0}
        told.line(record.append("answered", fields))
    record.close()


def changes_in_all() -> int:
    """Return how often three lines change something on the disk."""
    disk = ForgetfulDisk(random.Random(0))  # noqa: S311 - no secret
    three_lines(disk, Told())
    return disk.done


@pytest.mark.parametrize("place", range(1, changes_in_all() + 1))
def test_power_cut_at_every_change(place: int) -> None:
    """Whichever write, sync or name is the last, the acknowledged is there and the chain holds."""
    for seed in range(4):
        disk = ForgetfulDisk(random.Random(f"{place}-{seed}"))  # noqa: S311 - no secret
        told = Told()
        disk.cut_at = place
        with pytest.raises(PowerCut):
            three_lines(disk, told)
        disk.power_back()

        check(disk, itertools.count(), told)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_random_crashes(seed: int) -> None:
    """Power cuts one after another, also while the last is mended, lose and repeat nothing."""
    a_crash(seed)


def test_disk_that_never_syncs_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk of these tests does forget: without syncs it loses lines."""
    monkeypatch.setattr(ForgetfulDisk, "sync", lambda disk, _: disk.count())
    lost = 0
    for seed in range(10):
        try:
            a_crash(seed)
        except (AssertionError, RecordBroken):
            lost += 1

    assert lost > 0


@pytest.mark.parametrize(
    ("number", "error"),
    [(errno.ENOSPC, RecordFull), (errno.EROFS, RecordReadOnly), (errno.EIO, RecordProblem)],
)
def test_disk_that_refuses_any_change(number: int, error: type[RecordProblem]) -> None:
    """Whatever the disk refuses is told, nothing acknowledged is lost, and the next start works."""
    refused = set()
    for place in range(1, changes_in_all() + 1):
        disk, told = ForgetfulDisk(random.Random(place)), Told()  # noqa: S311 - no secret
        disk.fail_at = {place: number}
        try:
            three_lines(disk, told)
        except RecordProblem as problem:
            refused.add(type(problem))
        disk.fail_at = {}
        check(disk, itertools.count(), told)

    assert refused == {error}


def test_little_room_is_noticed() -> None:
    """What may fill up within the shift is told at its start."""
    disk = ForgetfulDisk(random.Random(1))  # noqa: S311 - no secret
    disk.free = 10 * 1024 * 1024
    record = opened(disk, itertools.count())

    assert record.noticed == (Noticed.LITTLE_ROOM,)
    assert record.notes == ("There is little room left for the record: 10 MiB.",)


def torn(seed: str) -> ForgetfulDisk:
    """Return a disk with a record whose last line is torn."""
    disk = ForgetfulDisk(random.Random(seed))  # noqa: S311 - no secret
    three_lines(disk, Told())
    descriptor = disk.open(FOLDER / "record.jsonl", 0)
    disk.write(descriptor, b'{"torn')
    disk.sync(descriptor)
    disk.done = 0
    return disk


def changes_of_mending() -> int:
    """Return how often opening such a record changes something on the disk."""
    disk = torn("")
    opened(disk, itertools.count()).close()
    return disk.done


@pytest.mark.parametrize("place", range(1, changes_of_mending() + 1))
def test_torn_line_is_kept_once(place: int) -> None:
    """A power cut while a torn line is set aside neither loses it nor keeps it twice."""
    for seed in range(4):
        disk = torn(f"{place}-{seed}")
        disk.cut_at = place
        with pytest.raises(PowerCut):
            opened(disk, itertools.count())
        disk.power_back()
        opened(disk, itertools.count()).close()
        asides = [name for name in disk.names(FOLDER) if name.startswith("record.torn-")]
        kept = [disk.read(FOLDER / name) for name in asides]

        assert kept.count(b'{"torn') == 1
