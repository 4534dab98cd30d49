"""The shell with fakes at its edges: order of things, stop while speaking, lost microphones."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import datetime, timezone
from pathlib import Path

import pytest
from support.short_strip import CHECKLIST

from assistant.day import Day
from assistant.dialogue import lines
from assistant.dialogue.state import Settings
from assistant.ear.ports import Clip, EarBack, EarEvent, EarLost, Heard
from assistant.ear.scripted import ScriptedEar
from assistant.errors import RecordFull
from assistant.mouth.ports import Tone
from assistant.mouth.scripted import ScriptedMouth
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Procedure
from assistant.record.journal import Record
from assistant.shift import Manner, Shift
from assistant.words.phrase import Grammar

REHEARSED = Manner(pretend_time=True, echo_tail_s=0)
WHOLE = ["twelve", "yes", "ready", "yes", "done", "scrim showing", "inch and a quarter", "yes"]
WHOLE += ["none"]


def now() -> datetime:
    """Return the time."""
    return datetime.now(timezone.utc)


@pytest.fixture
def procedure(tmp_path: Path) -> Procedure:
    """The short checklist."""
    path = tmp_path / "short-strip.yaml"
    path.write_text(CHECKLIST, encoding="utf-8")
    return load_procedure(path)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A fresh record."""
    kept = Record.open(tmp_path / "record", now)
    yield kept
    kept.close()


def shift_of(
    record: Record, script: Iterable[str | EarEvent], mouth: ScriptedMouth | None = None
) -> tuple[Shift, ScriptedMouth]:
    """Return a started shift with a scripted ear."""
    mouth = mouth or ScriptedMouth()
    shift = Shift(ScriptedEar(script), mouth, record, REHEARSED)
    shift.start()
    return shift, mouth


class WatchingMouth(ScriptedMouth):
    """Notes how many lines the record had at each tone."""

    def __init__(self, record: Record) -> None:
        super().__init__()
        self.record = record
        self.lines_at: list[tuple[Tone, str]] = []

    def tone(self, tone: Tone) -> None:
        """Note the newest line."""
        super().tone(tone)
        self.lines_at.append((tone, self.record.entries[-1].kind))


def test_the_line_is_written_before_its_tone(procedure: Procedure, record: Record) -> None:
    """When the tone for a pass sounds, the verdict is already in the record."""
    shift, mouth = shift_of(record, WHOLE, mouth := WatchingMouth(record))
    ended = shift.walk(procedure, Settings(), {})

    assert ended
    assert (Tone.PASSED, "judged") in mouth.lines_at


def test_clips_are_kept_for_values_and_not_for_chatter(
    procedure: Procedure, record: Record, tmp_path: Path
) -> None:
    """The recording of a width stays as a file; that of "done" does not."""
    sound = [Heard(text, clip=Clip(text.encode() * 50, 16_000)) for text in WHOLE]
    shift, _ = shift_of(record, [Heard(s.text, (), 1.0, _even(s.clip)) for s in sound])
    shift.walk(procedure, Settings(), {})

    answered = {e.fields["step"]: e.fields for e in record.entries if e.kind == "answered"}
    clips = {path.name for path in (tmp_path / "record" / "clips").iterdir()}
    assert answered["width"]["clip"] in clips
    assert answered["roller"]["clip"] is None
    assert len(clips) == len({"twelve", "yes", "scrim showing", "inch and a quarter", "none"})


def _even(clip: Clip | None) -> Clip | None:
    return None if clip is None else Clip(clip.pcm[: len(clip.pcm) // 2 * 2], clip.rate_hz)


class FlickeringEar(ScriptedEar):
    """Loses its microphone at the third question and gets it back by itself."""

    def start(self, sink: Callable[[EarEvent], None]) -> None:
        """Keep the sink, to tell of the loss."""
        self.told = sink
        self.times_opened = 0
        super().start(sink)

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Open, or lose the microphone."""
        self.times_opened += 1
        if self.times_opened == 3:
            self.told(EarLost("unplugged"))
            self.told(EarBack())
        else:
            super().open(grammar, patience_ms)


def test_a_lost_microphone_is_said_and_logged(procedure: Procedure, record: Record) -> None:
    """The welder hears that the microphone is gone and that it is back, and goes on."""
    mouth = ScriptedMouth()
    shift = Shift(FlickeringEar(WHOLE), mouth, record, REHEARSED)
    shift.start()
    ended = shift.walk(procedure, Settings(), {})

    assert ended
    assert lines.MICROPHONE_LOST in mouth.said
    assert lines.MICROPHONE_BACK in mouth.said
    assert [e.kind for e in record.entries if e.kind.startswith("ear-")] == ["ear-lost", "ear-back"]


class SpeakingEar:
    """An ear that hears chatter, then "stop", each time it is opened for it."""

    def __init__(self) -> None:
        self.sink: Callable[[EarEvent], None] = lambda _: None
        self.opened: list[str] = []

    @property
    def speaking(self) -> bool:
        """Nobody speaks but in whole words."""
        return False

    def start(self, sink: Callable[[EarEvent], None]) -> None:
        """Keep the sink."""
        self.sink = sink

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Say stop where it is listened for."""
        del patience_ms
        self.opened.append(grammar.name)
        if grammar.name == "stop":
            said = "[unk]" if self.opened.count("stop") == 1 else "stop"
            threading.Thread(target=self.sink, args=(Heard(said),)).start()

    def shut(self) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


class LateEar(SpeakingEar):
    """Somebody begins to answer at once, and takes longer than silence may last."""

    def __init__(self) -> None:
        super().__init__()
        self.begun = False

    @property
    def speaking(self) -> bool:
        """Whether the first answer is under way."""
        return self.begun

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Speak once."""
        super().open(grammar, patience_ms)
        if len(self.opened) == 1:
            self.begun = True
            threading.Timer(0.4, self._say).start()

    def _say(self) -> None:
        self.sink(Heard("stop"))
        self.begun = False


def test_an_answer_that_has_begun_is_not_cut_by_quiet(procedure: Procedure, record: Record) -> None:
    """Whoever is in the middle of a word when patience runs out is heard to the end."""
    ear, mouth = LateEar(), ScriptedMouth()
    shift = Shift(ear, mouth, record, Manner(echo_tail_s=0))
    shift.start()
    soon = replace(Settings(), quiet_s=0)
    ended = shift.walk(procedure, soon, {})

    assert not ended
    assert record.entries[-1].kind == "stopped"
    assert len(ear.opened) == 1


class SlowMouth(ScriptedMouth):
    """Speaks until it is cut."""

    def __init__(self) -> None:
        super().__init__()
        self.silenced = threading.Event()

    def say(self, text: str) -> bool:
        """Speak the first sentence until cut."""
        super().say(text)
        return not self.silenced.wait(5) if len(self.said) == 1 else True

    def cut(self) -> None:
        """Fall silent."""
        super().cut()
        self.silenced.set()


def test_stop_cuts_the_mouth_where_a_headset_allows(procedure: Procedure, record: Record) -> None:
    """With a headset, "stop" silences a sentence in the middle, even after chatter."""
    ear, mouth = SpeakingEar(), SlowMouth()
    shift = Shift(ear, mouth, record, Manner(headset=True))
    shift.start()
    ended = shift.walk(procedure, Settings(), {})

    assert not ended
    assert mouth.silenced.is_set()
    assert record.entries[-1].kind == "stopped"
    assert record.entries[-1].fields["said"] == "stop"


def test_the_interrupt_key_does_what_stop_does(procedure: Procedure, record: Record) -> None:
    """A signal ends the run with a line in the record."""
    quiet = Shift(SpeakingEar(), ScriptedMouth(), record, Manner(echo_tail_s=0))
    quiet.start()
    threading.Timer(0.3, quiet.stop).start()
    ended = quiet.walk(procedure, Settings(), {})

    assert not ended
    assert record.entries[-1].kind == "stopped"


def test_a_record_that_fails_is_said_aloud(
    procedure: Procedure, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody looks at the screen, so a full disk is spoken before the run is given up."""

    def full(kind: str, fields: object) -> None:
        raise RecordFull(f"no room for {kind} {fields}")

    shift, mouth = shift_of(record, ["twelve"])
    monkeypatch.setattr(record, "append", full)
    with pytest.raises(RecordFull):
        shift.walk(procedure, Settings(), {})

    assert mouth.said == [f"{lines.RECORD_FULL} {lines.KEPT_AND_STOPPING}"]


def test_another_seam_is_offered_and_walked(
    procedure: Procedure, record: Record, tmp_path: Path
) -> None:
    """After the last procedure a yes starts the first one again, and a no ends the day."""
    path = tmp_path / "again.yaml"
    path.write_text(
        "procedure: again\ntitle: Again\nversion: '1'\nsteps:\n  - id: another\n"
        '    ask: "Another?"\n    answer: yes-no\n    hoped: "yes"\n'
        '    otherwise: {say: "Then rest.", then: go-on}\n',
        encoding="utf-8",
    )
    again = load_procedure(path)
    shift, mouth = shift_of(record, [*WHOLE, "yes", *WHOLE, "no"])
    whole = Day(shift, record, Settings(), {}).work([procedure], again, fresh=False)

    assert whole
    assert mouth.said.count("Which seam?") == 2
    assert "Then rest." in mouth.said


def test_a_changed_checklist_is_begun_afresh(procedure: Procedure, record: Record) -> None:
    """An unfinished run of another text is not gone on with: its steps may not be these."""
    shift, _ = shift_of(record, ["twelve", "yes", "stop"])
    Day(shift, record, Settings(), {}).work([procedure], None, fresh=False)
    changed = Procedure(
        procedure.id, procedure.title, "2", procedure.source, "another digest", procedure.steps
    )
    shift, mouth = shift_of(record, ["twelve", "yes", "stop"])
    Day(shift, record, Settings(), {}).work([changed], None, fresh=False)

    assert "Which seam?" in mouth.said
