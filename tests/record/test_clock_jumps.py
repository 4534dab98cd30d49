"""The clock on the wall against one that nobody sets."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from support.records import MORNING

from assistant.record import chain
from assistant.record.journal import Record
from assistant.record.ticks import seconds_up
from assistant.record.verify import verify


class Clocks:
    """A wall clock and one beside it that only counts."""

    def __init__(self) -> None:
        self.wall, self.up_s = MORNING, 1000.0

    def now(self) -> datetime:
        """Return what the wall says."""
        return self.wall

    def ticks(self) -> float:
        """Return what was counted."""
        return self.up_s

    def passes(self, wall_s: float, up_s: float) -> None:
        """Let time pass."""
        self.wall += timedelta(seconds=wall_s)
        self.up_s += up_s


def written(folder: Path, clocks: Clocks, *steps: tuple[float, float]) -> None:
    """Write a line, then one after each step of both clocks."""
    record = Record.open(folder, clocks.now, ticks=clocks.ticks)
    record.append("began", {"procedure": "x"})
    for wall_s, up_s in steps:
        clocks.passes(wall_s, up_s)
        record.append("ended", {"run": 0})
    record.close()


@pytest.mark.parametrize(
    ("wall_s", "up_s", "told"),
    [
        (60, 60, ()),
        (61.5, 60, ()),
        (28_800, 28_790, ()),  # a cheap clock creeps some seconds in a day's work
        (-10_740, 60, ("The clock was set back by about 3 h before line 2.",)),
        (7_260, 60, ("The clock was set forward by about 2 h before line 2.",)),
        (0, 300, ("The clock was set back by about 5 min before line 2.",)),
        (86_400 * 30, 5, ("The clock was set forward by about 30 d before line 2.",)),
        (-20, 5, ("The clock was set back by about 25 s before line 2.",)),
    ],
)
def test_jump(tmp_path: Path, wall_s: float, up_s: float, told: tuple[str, ...]) -> None:
    """A clock that was set is told with its size; one that creeps is not."""
    written(tmp_path, Clocks(), (wall_s, up_s))

    assert verify(tmp_path).notes == told
    assert verify(tmp_path).problems == ()


def test_another_opening_has_a_count_of_its_own(tmp_path: Path) -> None:
    """Between two openings only a clock that went back is known to have been set."""
    clocks = Clocks()
    written(tmp_path, clocks, (60, 60))
    clocks.passes(3600, 0)
    clocks.up_s = 5.0  # another start of the computer
    written(tmp_path, clocks, (60, 60))
    assert verify(tmp_path).notes == ()
    clocks.passes(-7200, 10)
    written(tmp_path, clocks)

    assert verify(tmp_path).notes == ("The clock was set back by about 2 h before line 5.",)


def test_each_line_counts_from_the_first(tmp_path: Path) -> None:
    """Lines hold milliseconds since the first one that this opening wrote."""
    written(tmp_path, Clocks(), (1, 1.25), (1, 2))
    entries = chain.read((tmp_path / "record.jsonl").read_bytes()).entries

    assert [entry.up_ms for entry in entries] == [0, 1250, 3250]


def test_the_clock_of_this_machine_goes_on() -> None:
    """Seconds up never go back."""
    before = seconds_up()

    assert seconds_up() >= before
