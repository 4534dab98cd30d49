"""The shell around the conversation: wires ear, mouth and record to the pure dialogue.

Imports ``dialogue``, the ports of ``ear`` and ``mouth``, and ``record``. Owns the queue, the
clock and the order of things: a record line is on disk before the tone or the words that tell of
it. Nothing is decided here.
"""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TypeVar

from assistant.dialogue import events, loop
from assistant.dialogue.prompts import sentences
from assistant.dialogue.state import Settings
from assistant.dialogue.today import Today
from assistant.ear.ports import Ear, EarBack, EarEnded, EarEvent, EarLost, Heard, Quiet
from assistant.errors import RecordProblem
from assistant.mouth.ports import Mouth, Tone
from assistant.procedure.model import Procedure
from assistant.record import kinds
from assistant.record.journal import Record
from assistant.shift_clocks import Clocks
from assistant.shift_manner import (
    LET_SPEAK_S,
    STOP_AT_MOST_S,
    STOP_HEARD_EVERY_S,
    STOP_HEARD_FOR_S,
    STOP_PATIENCE_MS,
    Manner,
)
from assistant.shift_record import at_work
from assistant.words.grammars import stop_only
from assistant.words.understand import tidy

__all__ = ["Manner", "Shift"]

S = TypeVar("S")
Actions = tuple[events.Action, ...]


class StopPressed:
    """Somebody pressed the interrupt key, or the system asked Lapcall to end."""


class Shift:
    """One ear, one mouth, one record, and any number of procedures one after another.

    All methods belong to the thread that made it, but ``stop``, which any thread or a signal
    handler may call.
    """

    def __init__(
        self,
        ear: Ear,
        mouth: Mouth,
        record: Record,
        manner: Manner,
        show: Callable[[str], None] = lambda _: None,
    ) -> None:
        self._ear, self._mouth, self._record, self._manner = ear, mouth, record, manner
        self._show = show
        self._queue: queue.Queue[EarEvent | StopPressed] = queue.Queue()
        self._listening: events.Listen | None = None
        self._clocks = Clocks()
        self._hush_until = 0.0
        self._deaf_since: float | None = None
        self._run: int | None = None
        self._checklists: tuple[Procedure, ...] = ()
        self._speaking = False
        self._saying: events.Say | None = None
        self._cut = False

    def start(self) -> None:
        """Open the ear; raises ``NoMicrophone`` or ``ModelProblem``."""
        self._ear.start(self._take)

    def stop(self) -> None:
        """End at once, as the word "stop" does."""
        self._cut = True
        self._mouth.cut()
        self._queue.put(StopPressed())

    def walk(self, procedure: Procedure, settings: Settings, about: Mapping[str, object]) -> bool:
        """Walk a procedure from its start; True when it was walked to its end."""
        self._run = None
        self._mouth.prepare(list(sentences(procedure)))
        today = self._today()
        first = loop.begin(procedure, settings, self._next_seq(), about, today)
        return self.hold(first, loop.step)

    def resume(
        self, procedure: Procedure, settings: Settings, run: int, so_far: Sequence[loop.Line]
    ) -> bool:
        """Go on with the run that began at line ``run``; True when it was walked to its end."""
        self._run = run
        self._mouth.prepare(list(sentences(procedure)))
        today = self._today()
        first = loop.resume(procedure, settings, self._next_seq(), so_far, today)
        return self.hold(first, loop.step)

    def know(self, *checklists: Procedure) -> None:
        """Have these at hand, for changing a test that was judged by one of them."""
        self._checklists = (*self._checklists, *checklists)

    def _today(self) -> Today:
        today = Today(now=self._record.now()).knowing(*self._checklists)
        for entry in self._record.entries:
            today = today.after(entry.kind, entry.fields, entry.seq, entry.local)
        return today

    def _next_seq(self) -> int:
        return len(self._record.entries)

    def hold(self, first: tuple[S, Actions], step: Callable[..., tuple[S, Actions]]) -> bool:
        """Hold a conversation of any kind: ``step`` takes its state, an event and the time."""
        state, actions = first
        while True:
            for action in actions:
                if isinstance(action, events.Finish):
                    return action.ended
                self._perform(action)
            state, actions = step(state, self._next_event(), self._record.now())

    # ---- out

    def _perform(self, action: events.Action) -> None:
        if isinstance(action, events.Log):
            self._write(action)
        elif isinstance(action, events.Say):
            self._say(action)
        elif isinstance(action, events.Sound):
            self._sound(action.tone)
        elif isinstance(action, events.Listen):
            self._listen(action)
        elif isinstance(action, events.StartClock):
            now, at_once = time.monotonic(), self._manner.pretend_time
            self._clocks.start(now, action.seconds, action.moments, at_once=at_once)
        elif isinstance(action, events.StartReminders):
            if not self._manner.pretend_time:
                self._clocks.remind(time.monotonic(), action.every_s)
        elif isinstance(action, events.StopClock):
            self._clocks.stop()

    def _write(self, action: events.Log) -> None:
        fields = dict(action.fields)
        practice = action.kind in kinds.DRILL  # it belongs to no run of the work
        if self._run is not None and not practice:
            fields["run"] = self._run
        with self._telling_of_a_record_that_fails():
            entry = self._record.append(action.kind, fields)
        if entry.seq != action.seq:
            raise RecordProblem(f"line {entry.seq} of the record should be line {action.seq}")
        if self._run is None and not practice:
            self._run = entry.seq

    @contextmanager
    def _telling_of_a_record_that_fails(self) -> Iterator[None]:
        """Nobody looks at the screen: say aloud that nothing more can be kept, then give up."""
        try:
            yield
        except RecordProblem as problem:
            self._cut = False
            self._say(events.Say(at_work(problem)))
            raise

    def _say(self, action: events.Say) -> None:
        if self._cut:
            return
        self._shut()
        if self._manner.headset:
            self._say_with_open_ears(action)
        elif self._manner.pretend_time:
            self._mouth.say(action.text)
        else:
            self._between()
            if not self._cut:
                self._mouth.say(action.text, self._between)
        self._hush_until = time.monotonic() + self._manner.tail_s

    def _say_with_open_ears(self, action: events.Say) -> None:
        self._saying = action if self._manner.cut_short and action.answer else None
        self._speaking = True
        self._open_while_speaking()
        self._mouth.say(action.text)
        give_up = time.monotonic() + STOP_AT_MOST_S
        while self._saying and self._ear.speaking and time.monotonic() < give_up:
            time.sleep(0.02)  # an answer that began before the end is heard to its own
        self._speaking, self._saying = False, None
        self._ear.shut()

    def _open_while_speaking(self) -> None:
        answer = self._saying.answer if self._saying else None
        if answer:
            self._ear.open(answer.grammar, answer.patience_ms)
        else:
            self._ear.open(stop_only(), STOP_PATIENCE_MS)

    def _cuts_short(self, heard: Heard) -> bool:
        said, saying = tidy(heard.text), self._saying
        if stop_only().readings(said):
            return True
        if saying is None or saying.answer is None or heard.damaged:
            return False
        sure = heard.confidence >= saying.sure_from
        return sure and bool(saying.answer.grammar.readings(said))

    def _between(self) -> None:
        """Hear a "stop" between two sentences, where a headset does not hear it all the time."""
        now = time.monotonic()
        if self._cut or self._deaf_since is None or now - self._deaf_since < STOP_HEARD_EVERY_S:
            return
        time.sleep(self._manner.tail_s)  # the room must not answer for the welder
        self._speaking = True
        self._open_while_speaking()
        began = time.monotonic()
        while not self._cut and (passed := time.monotonic() - began) < STOP_AT_MOST_S:
            if passed >= STOP_HEARD_FOR_S and not self._ear.speaking:
                break
            time.sleep(0.02)
        self._speaking = False
        self._ear.shut()
        self._deaf_since = time.monotonic()

    def _sound(self, tone: str) -> None:
        if self._cut:
            return
        self._shut()
        if tone == Tone.LISTENING.value:
            self._wait_for_the_echo()  # so that the answer may follow the tone at once
        self._mouth.tone(Tone(tone))

    def _wait_for_the_echo(self) -> None:
        time.sleep(max(0.0, self._hush_until - time.monotonic()))

    def _listen(self, action: events.Listen) -> None:
        self._listening = action
        if self._cut:
            return  # the answer is here already
        if self._manner.pretend_time and self._clocks.waiting:
            return  # the wait passes before anything more is heard
        self._wait_for_the_echo()
        if action.quiet_s is not None:
            self._clocks.quiet_at = time.monotonic() + action.quiet_s
        self._deaf_since = None
        self._ear.open(action.grammar, action.patience_ms)

    def _shut(self) -> None:
        self._clocks.quiet_at = None
        self._ear.shut()
        if self._deaf_since is None:
            self._deaf_since = time.monotonic()

    # ---- in

    def _take(self, event: EarEvent) -> None:
        """Called on the ear's thread."""
        if self._speaking and isinstance(event, Heard):
            if not self._cuts_short(event):
                self._open_while_speaking()  # one utterance shuts the ear
                return
            self._cut = True
            self._mouth.cut()
        self._queue.put(event)

    def _next_event(self) -> events.Event:
        due = self._clocks.due()
        try:
            rest = None if due is None else max(0.0, due - time.monotonic())
            taken = self._queue.get(timeout=rest)
        except queue.Empty:
            # A late answer is an answer all the same, and no moment speaks into it.
            if self._ear.speaking and self._clocks.put_off(LET_SPEAK_S):
                return self._next_event()
            return self._clocks.passed()
        self._cut = False
        return self._translated(taken)

    def _translated(self, event: EarEvent | StopPressed) -> events.Event:
        if isinstance(event, Heard):
            return self._speech(event)
        if isinstance(event, EarLost):
            return events.MicrophoneLost(event.message)
        if isinstance(event, EarBack):
            return events.MicrophoneBack()
        if isinstance(event, Quiet):
            return self._clocks.passed()
        if isinstance(event, EarEnded):
            return events.NothingMoreToHear()
        return events.SpeechHeard("stop")

    def _speech(self, heard: Heard) -> events.SpeechHeard:
        self._clocks.quiet_at = None
        listening = self._listening
        clip, length_ms = None, 0
        if heard.clip is not None and listening is not None and _worth_keeping(heard, listening):
            length_ms = 500 * len(heard.clip.pcm) // heard.clip.rate_hz
            with self._telling_of_a_record_that_fails():
                clip = self._record.keep_clip(heard.clip.pcm, heard.clip.rate_hz)
        self._show(heard.text)
        left_s = self._clocks.left_s(time.monotonic())
        return events.SpeechHeard(
            heard.text, heard.confidence, clip, heard.damaged, length_ms=length_ms, left_s=left_s
        )


def _worth_keeping(heard: Heard, listening: events.Listen) -> bool:
    """Tell whether a recording belongs to the record: chatter does not."""
    always = listening.keep_said
    return listening.keep_clip or bool(always and always.readings(tidy(heard.text)))
