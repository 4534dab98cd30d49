"""What the lines of a record add up to."""

from __future__ import annotations

import pytest
from support.records import scribe

from assistant.record.state import open_run, runs, standing


def test_standing_leaves_out_what_was_taken_back(tmp_path):
    """A line that a later one takes back no longer counts; the taking back is still told."""
    with scribe(tmp_path) as made:
        made.begin()
        wrong = made.value("width", "inch and a half", "3/2")
        back = made.line("taken-back", step="width", entry=wrong.seq, said="scratch that")
        right = made.value("width", "inch and a quarter", "5/4")
        entries = made.record.entries

    assert standing(entries) == (entries[0], back, right)


def test_standing_without_corrections(tmp_path):
    """Where nothing was taken back, everything counts."""
    with scribe(tmp_path) as made:
        made.begin()
        made.yes_no("power")
        entries = made.record.entries

    assert standing(entries) == entries
    assert standing(()) == ()


def test_runs_are_grouped_by_their_first_line(tmp_path):
    """Each run has its own lines, in the order in which the runs began."""
    with scribe(tmp_path) as made:
        first = made.begin("pre-weld")
        made.line("ended")
        second = made.begin("finish-weld")
        made.yes_no("power")
        made.line("stopped", step="tools", said="stop")
        found = runs(made.record.entries)

    assert [(run.seq, run.began, len(run.entries)) for run in found] == [
        (first.seq, first, 2),
        (second.seq, second, 3),
    ]
    assert [run.closed for run in found] == ["ended", "stopped"]


@pytest.mark.parametrize(
    ("lines", "closed"),
    [
        ([], "open"),
        (["stopped"], "stopped"),
        (["stopped", "resumed"], "open"),
        (["stopped", "resumed", "ended"], "ended"),
        (["held"], "open"),
    ],
)
def test_closed(tmp_path, lines, closed):
    """A run is what its last line makes it: a stopped one may go on."""
    with scribe(tmp_path) as made:
        made.begin()
        for kind in lines:
            made.line(kind, step="power")
        run = runs(made.record.entries)[0]

        going_on = open_run(made.record.entries)

    assert run.closed == closed
    assert going_on == (None if closed == "ended" else run)


def test_only_the_last_run_goes_on(tmp_path):
    """An older run that was left open stays as it is."""
    with scribe(tmp_path) as made:
        made.begin()
        made.begin()
        made.line("ended")

        assert open_run(made.record.entries) is None
        assert open_run(()) is None


def test_run_without_its_first_line(tmp_path):
    """Lines whose beginning cannot be read still make a run."""
    with scribe(tmp_path) as made:
        made.begin()
        made.yes_no("power")
        found = runs(made.record.entries[1:])

    assert [(run.seq, run.began, len(run.entries)) for run in found] == [(0, None, 1)]
