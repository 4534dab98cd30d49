"""Records made up for tests: a clock that ticks, and a writer that fills in what is usual."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta, timezone
from pathlib import Path

from assistant.record.entry import Entry
from assistant.record.journal import Record

MORNING = datetime(2026, 5, 4, 7, 0, tzinfo=timezone(timedelta(hours=-5)))
JOB = {"name": "Quill Street depot", "area": "Area B", "welder": "first welder", "gun": "gun three"}
LIMITS = {"least_in": "1", "most_in": "3/2", "rule_step_in": "1/16"}


class TickingClock:
    """Gives a time a minute later at each call."""

    def __init__(self, start: datetime = MORNING) -> None:
        self.moment = self.start = start

    def up(self) -> float:
        """Return the seconds that a clock beside it counted, which nobody sets."""
        return (self.moment - self.start).total_seconds()

    def __call__(self) -> datetime:
        """Return the next minute."""
        self.moment += timedelta(minutes=1)
        return self.moment


class Scribe:
    """Writes the lines that a conversation would write."""

    def __init__(self, record: Record) -> None:
        self.record = record
        self.run: int | None = None

    def line(self, kind: str, **fields: object) -> Entry:
        """Write any line of the run."""
        return self.record.append(kind, {**fields, "run": self.run})

    def begin(self, procedure: str = "finish-weld", **more: object) -> Entry:
        """Start a run."""
        about = {
            "procedure": procedure,
            "title": procedure.replace("-", " ").capitalize(),
            "version": "1",
            "digest": "ab" * 32,
            "software": "0.1.0",
            "detail": "standard",
            "rehearsal": False,
            "job": JOB,
        }
        entry = self.record.append("began", {**about, **more})
        self.run = entry.seq
        return entry

    def yes_no(self, step: str, answer: str = "yes", *, hoped: bool = True) -> Entry:
        """Answer a yes/no question."""
        return self.line(
            "answered",
            step=step,
            act="yes-no",
            said=answer,
            answer=answer,
            hoped=hoped,
            confidence=1.0,
            clip=None,
        )

    def choice(self, step: str, answer: str, clip: str | None = None) -> Entry:
        """Answer a question with several answers."""
        return self.line(
            "answered",
            step=step,
            act="choice",
            said=answer.replace("-", " "),
            answer=answer,
            called=answer.replace("-", " "),
            confidence=0.98,
            clip=clip,
        )

    def value(self, step: str, said: str, answer: str, **more: object) -> Entry:
        """Answer with a value that was read back and confirmed."""
        usual = {
            "step": step,
            "act": "value",
            "said": said,
            "answer": answer,
            "unit": "in",
            "width_in": answer,
            "called": "width",
            "hedge": None,
            "lean": None,
            "read_back": f"{said.capitalize()}. Is that right?",
            "confidence": 0.97,
            "clip": None,
            "confirmed_by": "yes",
            "confirmed_clip": None,
        }
        return self.line("answered", **{**usual, **more})

    def seam(self, number: int) -> Entry:
        """Say which seam it is."""
        return self.value(
            "seam", "seam twelve", str(number), unit="number", width_in=None, called="seam"
        )

    def judged(self, outcome: str, width: Entry | None, **more: object) -> Entry:
        """Judge a strip."""
        said = width.fields if width else {}
        usual = {
            "step": "verdict",
            "outcome": outcome,
            "reasons": [],
            "width": said.get("answer"),
            "said": said.get("said"),
            "hedge": said.get("hedge"),
            "mode": "film-tearing",
            "solid": None,
            "heat": "none",
            "limits": LIMITS,
            "rule": "peel-strip 1",
            "from": [width.seq] if width else [],
            "clip": said.get("clip"),
        }
        return self.line("judged", **{**usual, **more})


@contextmanager
def scribe(folder: Path) -> Iterator[Scribe]:
    """Open a record in ``folder`` and yield its scribe."""
    clock = TickingClock()
    record = Record.open(folder, clock, ticks=clock.up)
    try:
        yield Scribe(record)
    finally:
        record.close()
