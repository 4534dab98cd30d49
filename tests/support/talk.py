"""A conversation without sound: feeds the pure loop, does what it says, and checks how it behaves.

``Talk`` is the smallest shell there can be. After each event it holds the loop to what every shell
relies on: record lines numbered one by one, nothing spoken that a voice must not see, an ear that
is open whenever an answer may come, and a tone only behind the line that it acknowledges.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from assistant.dialogue import events, loop
from assistant.dialogue.state import Phase, Settings
from assistant.dialogue.today import Today
from assistant.mouth.ports import Tone
from assistant.mouth.wording import speakable
from assistant.procedure.model import Procedure
from assistant.record import kinds

TONES = {tone.value for tone in Tone}


@dataclass
class Line:
    """One record line, with its fields as they come back from the disk."""

    kind: str
    fields: Mapping[str, object]
    seq: int


class Talk:
    """One run of a procedure."""

    def __init__(
        self,
        procedure: Procedure,
        settings: Settings | None = None,
        lines: Sequence[Line] = (),
        first_seq: int = 0,
        today: Today | None = None,
    ) -> None:
        """Begin, or resume from ``lines`` when there are any; ``today`` is the shift before."""
        self.procedure = procedure
        self.settings = settings or Settings()
        self.lines: list[Line] = list(lines)
        self.said: list[str] = []
        """Every sentence of the run, in order."""
        self.turn: tuple[events.Action, ...] = ()
        """What the last event led to."""
        self.listening: events.Listen | None = None
        self.clock_s: int | None = None
        self.reminds_s: int | None = None
        self.finished: events.Finish | None = None
        self.now: datetime | None = None
        """The local time of what happens next."""
        self.deaf = False
        self._next_seq = lines[-1].seq + 1 if lines else first_seq
        if lines:
            so_far = [(line.kind, line.fields, line.seq) for line in lines]
            self._do(loop.resume(procedure, self.settings, self._next_seq, so_far, today))
        else:
            about = {"software": "test"}
            self._do(loop.begin(procedure, self.settings, first_seq, about, today))

    # ---- in

    def hear(self, *texts: str, **how: object) -> Talk:
        """Say each of ``texts`` in turn; ``how`` are fields of ``SpeechHeard``."""
        how = {"left_s": self.clock_s, **how}
        for text in texts:
            self.send(events.SpeechHeard(text, **how))  # type: ignore[arg-type]
        return self

    def quiet(self) -> Talk:
        """Let patience run out."""
        return self.send(events.QuietPassed())

    def time_up(self) -> Talk:
        """Let the clock run out."""
        self.clock_s = None
        return self.send(events.TimeUp())

    def send(self, event: events.Event) -> Talk:
        """Give one event to the loop and do what comes of it."""
        if isinstance(event, events.SpeechHeard):
            assert self.listening is not None or self.finished, "nobody listened"
            self.listening = None  # an utterance shuts the ear
        if isinstance(event, events.MicrophoneLost | events.MicrophoneBack):
            self.deaf = isinstance(event, events.MicrophoneLost)
            self.listening = None
        self._do(loop.step(self.state, event, self.now))
        return self

    # ---- out

    def _do(self, result: loop.Result) -> None:
        self.state, self.turn = result
        written = False
        for place, action in enumerate(self.turn):
            assert self.finished is None, f"{action} after the end"
            if isinstance(action, events.Log):
                written = True
                self._write(action)
            elif isinstance(action, events.Say):
                assert speakable(action.text)
                self.said.append(action.text)
                self.listening = None
            elif isinstance(action, events.Sound):
                assert action.tone in TONES
                later = [each.kind for each in self.turn[place:] if isinstance(each, events.Log)]
                # The tone for a fourth "no" tells of the no; that it was given up is told in words.
                early = not written and action.tone == "heard" and later[:1] != [kinds.NOT_HEARD]
                assert not (early and later), "a tone sounded before its line was written"
                self.listening = None
            elif isinstance(action, events.Listen):
                assert place == len(self.turn) - 1, "something came after the ear was opened"
                self.listening = action
            elif isinstance(action, events.StartClock):
                self.clock_s = action.seconds
            elif isinstance(action, events.StartReminders):
                self.reminds_s = action.every_s
            elif isinstance(action, events.StopClock):
                self.clock_s, self.reminds_s = None, None
            else:
                self.finished = action
        assert self.listening or self.finished or self.deaf, "the ear stayed shut"
        if not self.finished:
            waits = self.state.phase is Phase.WAIT and not self.state.clock_ran_out
            assert not waits or self.clock_s is not None, "a wait without a clock"
            held = self.state.phase is Phase.HOLD
            assert waits or held or self.clock_s is None, "a clock that nobody waits for"

    def _write(self, action: events.Log) -> None:
        assert action.kind in kinds.ALL
        assert action.seq == self._next_seq, "a line was numbered wrongly"
        self._next_seq += 1
        on_disk = json.loads(json.dumps(dict(action.fields)))
        self.lines.append(Line(action.kind, on_disk, action.seq))

    # ---- looks

    @property
    def at(self) -> str | None:
        """The id of the step where the conversation stands, or None at the end."""
        return None if self.state.finished else self.state.step.id

    @property
    def phase(self) -> Phase:
        """What the conversation waits for."""
        return self.state.phase

    @property
    def says(self) -> str:
        """All that the last event made it say."""
        return " ".join(action.text for action in self.turn if isinstance(action, events.Say))

    @property
    def tones(self) -> list[str]:
        """The tones that the last event led to."""
        return [action.tone for action in self.turn if isinstance(action, events.Sound)]

    @property
    def wrote(self) -> list[str]:
        """The kinds of the lines that the last event led to."""
        return [action.kind for action in self.turn if isinstance(action, events.Log)]

    def of(self, kind: str) -> list[Line]:
        """Return the lines of one kind."""
        return [line for line in self.lines if line.kind == kind]

    def answers(self) -> dict[str, object]:
        """Return the answers that count now, by step; None where it was not heard."""
        found = self.state.progress.answers
        return {step: what and what["answer"] for step, what in found.items()}


def walk(
    talk: Talk,
    answers: Mapping[str, str | Sequence[str]],
    to: str | None = None,
    watch: Callable[[Talk], None] = lambda _: None,
) -> Talk:
    """Answer until the end, or until step ``to`` waits.

    A sequence of answers is used up one by one, its last one again and again. Values are
    confirmed with yes. Waits pass by their clock. ``watch`` is called after each event.
    """
    times: dict[str, int] = {}
    for _ in range(500):
        if talk.finished or (to is not None and talk.at == to):
            return talk
        at = talk.at
        assert at is not None
        if talk.phase is Phase.WAIT:
            talk.time_up()
        elif talk.phase is Phase.HOLD:
            talk.hear("carry on")
        elif talk.phase is Phase.CONFIRM:
            talk.hear("yes")
        elif talk.phase in (Phase.BUSY, Phase.MEND):
            talk.hear("ready")
        else:
            given = answers.get(at, "yes")
            listed = [given] if isinstance(given, str) else list(given)
            use = times.get(at, 0)
            times[at] = use + 1
            talk.hear(listed[min(use, len(listed) - 1)])
        watch(talk)
    raise AssertionError(f"it never came to {to or 'an end'}; it stands at {talk.at}")
