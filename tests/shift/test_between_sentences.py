"""Without a headset the ears are shut while Lapcall speaks, but not all through a long prompt."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from datetime import datetime, timezone
from pathlib import Path

import pytest
from support.short_strip import CHECKLIST

from assistant import shift as shell
from assistant.dialogue.state import Settings
from assistant.ear.ports import EarEvent, Heard
from assistant.mouth.scripted import ScriptedMouth
from assistant.mouth.wording import sentences
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Procedure
from assistant.record.journal import Record
from assistant.shift import Manner, Shift
from assistant.words.phrase import Grammar

LONG = "Which seam? Say its number. Look for it at the edge. It is written there."


class Room:
    """An ear and a mouth in one room: notes when the ear was open, and says stop when told to."""

    def __init__(self, stop_at: int | None) -> None:
        self.stop_at = stop_at
        self.sink: Callable[[EarEvent], None] = lambda _: None
        self.opened: list[str] = []
        self.open_now = False

    @property
    def speaking(self) -> bool:
        """Nobody speaks but in whole words."""
        return False

    def start(self, sink: Callable[[EarEvent], None]) -> None:
        """Keep the sink."""
        self.sink = sink

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Answer a question with stop; between sentences only at the one that was told."""
        del patience_ms
        self.open_now = True
        self.opened.append(grammar.name)
        between = self.opened.count("stop")
        if grammar.name != "stop" or between == self.stop_at:
            threading.Thread(target=self.sink, args=(Heard("stop"),)).start()

    def shut(self) -> None:
        """Note that it is shut."""
        self.open_now = False

    def close(self) -> None:
        """Do nothing."""


class SentenceMouth(ScriptedMouth):
    """Says one sentence after the other, and nothing more once it is cut."""

    def __init__(self, room: Room) -> None:
        super().__init__()
        self.room = room
        self.spoken: list[str] = []

    def say(self, text: str, between: Callable[[], None] | None = None) -> bool:
        """Say the sentences of ``text`` with shut ears."""
        super().say(text)
        for place, sentence in enumerate(sentences(text)):
            if place and between is not None:
                between()
            if self.cuts:
                return False
            assert not self.room.open_now
            self.spoken.append(sentence)
        return True


@pytest.fixture
def procedure(tmp_path: Path) -> Procedure:
    """The short checklist, with a long first question."""
    path = tmp_path / "short-strip.yaml"
    path.write_text(CHECKLIST.replace("Which seam?", LONG), encoding="utf-8")
    return load_procedure(path)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A fresh record."""
    kept = Record.open(tmp_path / "record", lambda: datetime.now(timezone.utc))
    yield kept
    kept.close()


def walked(
    procedure: Procedure,
    record: Record,
    room: Room,
    monkeypatch: pytest.MonkeyPatch,
    every_s: float,
) -> SentenceMouth:
    """Walk until stop, listening for it behind every so many seconds of speech."""
    monkeypatch.setattr(shell, "STOP_HEARD_EVERY_S", every_s)
    monkeypatch.setattr(shell, "STOP_HEARD_FOR_S", 0.1)
    mouth = SentenceMouth(room)
    shift = Shift(room, mouth, record, Manner(echo_tail_s=0))
    shift.start()

    assert not shift.walk(procedure, Settings(), {})
    assert record.entries[-1].kind == "stopped"
    return mouth


def test_stop_is_heard_between_sentences(
    procedure: Procedure, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stop behind the second sentence silences the rest of the prompt."""
    # The first time is before the prompt.
    mouth = walked(procedure, record, Room(stop_at=3), monkeypatch, every_s=0.0)

    assert mouth.spoken == sentences(LONG)[:2]


def test_short_prompts_are_not_stretched(
    procedure: Procedure, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Speech that is over soon gets no pauses to listen in."""
    room = Room(stop_at=None)
    mouth = walked(procedure, record, room, monkeypatch, every_s=60.0)

    assert "stop" not in room.opened
    assert mouth.spoken[:4] == sentences(LONG)
