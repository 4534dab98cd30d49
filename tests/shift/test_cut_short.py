"""With a headset, an answer may cut its question short; cautions and read-backs never."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from datetime import datetime, timezone
from pathlib import Path
from tempfile import mkdtemp

import pytest

from assistant.dialogue.state import Settings, Trust
from assistant.ear.ports import EarEvent, Heard
from assistant.mouth.ports import Tone
from assistant.mouth.scripted import ScriptedMouth
from assistant.procedure.loader import load_procedure
from assistant.record.journal import Record
from assistant.shift import Manner, Shift
from assistant.words.phrase import Grammar

SETTINGS = Settings(trust=Trust(answer=0.7, value=0.9))
TOP = "procedure: small\ntitle: Small\nversion: '1'\nsteps:\n"
ROLLER = (
    TOP + "  - id: roller\n    ask: Clean?\n    answer: yes-no\n    hoped: 'yes'\n"
    "    otherwise: {say: Clean it., then: again}\n"
)
WARN = TOP + "  - id: burns\n    warn: The nozzle burns.\n"
SEAM = (
    TOP + "  - id: seam\n    ask: Which seam?\n    answer: value\n    unit: number\n"
    "    plausible: {from: 1, to: 99}\n    called: seam\n"
)


class Eager:
    """Says the next of its words each time it is opened; None says nothing."""

    def __init__(self, script: list[tuple[str, float] | None]) -> None:
        self.script, self.opened = script, []
        self.sink: Callable[[EarEvent], None] = lambda _: None
        self.speaking = False

    def start(self, sink: Callable[[EarEvent], None]) -> None:
        """Keep the sink."""
        self.sink = sink

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Note under which grammar it is opened, and speak."""
        del patience_ms
        self.opened.append(grammar.name)
        said = self.script.pop(0) if self.script else None
        if said is not None:
            threading.Thread(target=self.sink, args=(Heard(said[0], (), said[1]),)).start()

    def shut(self) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


class Breath(ScriptedMouth):
    """Speaks each text for a moment, and notes those that were cut short."""

    def __init__(self) -> None:
        super().__init__()
        self.silenced = threading.Event()
        self.short: list[str] = []

    def say(self, text: str, between: Callable[[], None] | None = None) -> bool:
        """Wait as long as it takes to speak, or until the cut."""
        super().say(text, between)
        if self.silenced.wait(0.2):
            self.short.append(text)
            self.silenced.clear()
        return text not in self.short

    def cut(self) -> None:
        """Fall silent."""
        self.silenced.set()


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A fresh record."""
    kept = Record.open(tmp_path / "record", lambda: datetime.now(timezone.utc))
    yield kept
    kept.close()


def walked(
    record: Record, text: str, script: list[tuple[str, float] | None], *, cut_short: bool = True
) -> tuple[Eager, Breath, list[tuple[object, object]]]:
    """Walk a checklist of one step; return ear, mouth, and kind and words of each record line."""
    path = Path(mkdtemp()) / "small.yaml"
    path.write_text(text, encoding="utf-8")
    ear, mouth = Eager(script), Breath()
    shift = Shift(ear, mouth, record, Manner(headset=True, cut_short=cut_short))
    shift.start()
    shift.walk(load_procedure(path), SETTINGS, {})
    return ear, mouth, [(e.kind, e.fields.get("said")) for e in record.entries[1:]]


def test_an_answer_cuts_its_question_short(record: Record) -> None:
    """A sure yes in the middle of the question is the answer; no tone asks for it any more."""
    ear, mouth, lines = walked(record, ROLLER, [("yes", 0.95)])

    assert mouth.short == ["Clean?"]
    assert lines[0] == ("answered", "yes")
    assert ("tone", Tone.LISTENING) not in mouth.uttered
    assert ear.opened[0] == "yes or no"


@pytest.mark.parametrize("said", [("yes", 0.6), ("[unk]", 1.0), ("", 0.0)])
def test_nothing_else_does(record: Record, said: tuple[str, float]) -> None:
    """Talk, and an answer that was hardly heard, let the question be spoken to its end."""
    _, mouth, lines = walked(record, ROLLER, [said, None, ("yes", 1.0)])

    assert mouth.short == []
    assert lines[0] == ("answered", "yes")
    assert ("tone", Tone.LISTENING) in mouth.uttered


def test_a_caution_is_spoken_to_its_end(record: Record) -> None:
    """While a caution is spoken only "stop" is heard."""
    ear, mouth, _ = walked(record, WARN, [("ready", 1.0), None, ("ready", 1.0)])

    assert ear.opened[:3] == ["stop", "stop", "done"]
    assert mouth.short == []


def test_a_read_back_is_spoken_to_its_end(record: Record) -> None:
    """A yes to what was not read back to its end would be no yes."""
    script = [("twelve", 1.0), ("yes", 1.0), None, ("yes", 1.0)]
    ear, mouth, lines = walked(record, SEAM, script)

    assert mouth.short == ["Which seam?"]
    assert ear.opened[:4] == ["value in number", "stop", "stop", "confirm number"]
    assert lines[0] == ("answered", "twelve")


def test_it_is_off_unless_asked_for(record: Record) -> None:
    """Usually nothing but "stop" is heard while Lapcall speaks."""
    ear, mouth, _ = walked(record, ROLLER, [None, ("yes", 1.0)], cut_short=False)

    assert ear.opened[:2] == ["stop", "yes or no"]
    assert mouth.short == []
