"""A conversation whose battery dies at any word goes on where it was, and asks nothing twice."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import datetime, timezone
from pathlib import Path

import pytest
from support.crashes import FOLDER
from support.power_cut import ForgetfulDisk, PowerCut
from support.short_strip import CHECKLIST

from assistant.day import Day
from assistant.dialogue.state import Settings
from assistant.ear.ports import EarEvent, Heard
from assistant.mouth.ports import Tone
from assistant.mouth.scripted import ScriptedMouth
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Procedure
from assistant.record.entry import Entry
from assistant.record.journal import Record
from assistant.record.verify import verify
from assistant.shift import Manner, Shift
from assistant.words.phrase import Grammar

ANSWERS = {
    "Which seam": "twelve",
    "Is that right": "yes",
    "Right?": "yes",
    "The nozzle burns": "ready",
    "Is the roller clean": "yes",
    "Weld.": "done",
    "How did it fail": "scrim showing",
    "How wide": "inch and a quarter",
    "Heat marks": "none",
}
Kept = set[tuple[int, str]]
"""Numbers and hashes of lines."""

QUESTIONS = ("seam", "roller", "failure", "width", "heat-marks", "verdict")


class Welder(ScriptedMouth):
    """Hears what is said and answers it; notes which lines had been kept when a tone sounded."""

    def __init__(self, record: Record) -> None:
        super().__init__()
        self.record, self.sink = record, _nobody
        self.told: Kept = set()
        self.speaking = False

    def tone(self, tone: Tone) -> None:
        """Note what stands in the record: from here on it is believed to be kept."""
        super().tone(tone)
        self.told |= {(entry.seq, entry.digest) for entry in self.record.entries}

    def start(self, sink: Callable[[EarEvent], None]) -> None:
        """Be an ear too."""
        self.sink = sink

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Answer what was asked last."""
        del grammar, patience_ms
        asked = max(ANSWERS, key=self.said[-1].rfind)
        self.sink(Heard(ANSWERS[asked]))

    def shut(self) -> None:
        """Do nothing."""


def _nobody(_: EarEvent) -> None:
    pass


@pytest.fixture
def procedure(tmp_path: Path) -> Procedure:
    """The short checklist."""
    path = tmp_path / "short-strip.yaml"
    path.write_text(CHECKLIST, encoding="utf-8")
    return load_procedure(path)


def work(
    procedure: Procedure, disk: ForgetfulDisk, told: set[tuple[int, str]]
) -> tuple[Entry, ...]:
    """Work until it is done or the power goes; return the lines."""
    record = Record.open(FOLDER, lambda: datetime.now(timezone.utc), disk=disk)
    welder = Welder(record)
    shift = Shift(welder, welder, record, Manner(pretend_time=True, echo_tail_s=0))
    shift.start()
    try:
        assert Day(shift, record, Settings(), {}).work([procedure], None, fresh=False)
    finally:
        told |= welder.told
    return record.entries


def test_power_cut_in_a_conversation(procedure: Procedure, tmp_path: Path) -> None:
    """At whichever change of the disk it dies: all told is kept, and each step is kept once."""
    whole = ForgetfulDisk(random.Random(0))  # noqa: S311 - no secret
    work(procedure, whole, set())
    for place in range(1, whole.done + 1):
        disk, told = ForgetfulDisk(random.Random(place)), set()  # noqa: S311 - no secret
        disk.cut_at = place
        with pytest.raises(PowerCut):
            work(procedure, disk, told)
        disk.power_back()
        entries = work(procedure, disk, told)
        folder = tmp_path / str(place)
        disk.copy_to(folder, of=FOLDER)
        answered = [e.fields["step"] for e in entries if e.kind in ("answered", "judged")]

        assert told <= {(entry.seq, entry.digest) for entry in entries}
        assert answered == list(QUESTIONS)
        assert [entry.kind for entry in entries].count("ended") == 1
        assert verify(folder).problems == ()
