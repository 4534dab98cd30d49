"""The live ear: microphone -> gate -> recogniser -> sink, on one thread of its own.

Imports the ear's other files. The caller's thread only leaves wishes (open, shut, close); the
ear's thread does all the work, so neither gate nor recogniser ever meets two threads.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from assistant.ear import listening
from assistant.ear.gate import Gate, silero
from assistant.ear.microphone import Block, Microphone, MicrophoneGoneError
from assistant.ear.ports import EarBack, EarEnded, EarEvent, EarLost, Heard
from assistant.errors import LapcallError, NoMicrophone
from assistant.words.phrase import Grammar

_LOOK_S = 0.1
"""How often the thread looks for wishes while no sound comes."""
_BACK_OFF_S = (0.25, 0.5, 1.0, 2.0)
_LEAVE_S = 3.0


class Hears(listening.Hears, Protocol):
    """The part of a recogniser that the ear needs."""

    def prepare(self, grammar: Grammar) -> None:
        """Load ``grammar``."""


class SoundSource(Protocol):
    """A microphone, or a fake one."""

    def open(self) -> None:
        """Begin to record; raises ``NoMicrophone``."""

    def read(self, timeout_s: float) -> Block | None:
        """Return the next block, None if there is none yet; raises ``MicrophoneGoneError``."""

    def close(self) -> None:
        """Give the device back. Safe to call twice."""


@dataclass(frozen=True)
class _Wish:
    """What the caller wants heard; a new object for each ``open``."""

    grammar: Grammar
    patience_ms: int
    since_s: float


class VoskEar:
    """Hears one utterance for each ``open``, through the microphone.

    ``open``, ``shut`` and ``close`` may be called from any thread and from the sink.
    """

    def __init__(
        self,
        recogniser: Hears,
        source: SoundSource | None = None,
        gate: Gate | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._recogniser = recogniser
        self._source = source or Microphone()
        self._listening = listening.Listening(recogniser, gate or Gate(silero()))
        self._clock = clock
        # Re-entrant: the sink, called under it, may open or shut the ear.
        self._changed = threading.Condition(threading.RLock())
        self._wish: _Wish | None = None
        self._served: _Wish | None = None
        self._closed = False
        self._sink: Callable[[EarEvent], None] = lambda _: None
        self._thread: threading.Thread | None = None

    @property
    def speaking(self) -> bool:
        """Whether an utterance that is listened for has begun and was not yet delivered."""
        return self._wish is not None and self._wish is self._served and self._listening.speaking

    def start(self, sink: Callable[[EarEvent], None]) -> None:
        """Open the microphone and begin to listen for wishes.

        Raises:
            NoMicrophone: there is none; says what to do.
        """
        self._sink = sink
        self._source.open()
        self._thread = threading.Thread(target=self._work, name="ear", daemon=True)
        self._thread.start()

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Listen for one utterance from now on."""
        with self._changed:
            self._wish = _Wish(grammar, patience_ms, self._clock())

    def shut(self) -> None:
        """Hear nothing until opened again."""
        with self._changed:
            self._wish = None

    def close(self) -> None:
        """End the thread and give the microphone back. Safe to call twice."""
        with self._changed:
            self._closed = True
            self._wish = None
            self._changed.notify_all()
        if self._thread is not None and self._thread is not threading.current_thread():
            # A hung sound server may block the thread for ever; the program must end all the same.
            self._thread.join(_LEAVE_S)

    # ---- on the ear's thread

    def _work(self) -> None:
        try:
            while not self._closed:
                try:
                    self._serve(self._source.read(_LOOK_S))
                except MicrophoneGoneError as problem:
                    self._get_it_back(str(problem))
        except Exception as problem:
            # Without this the conversation would wait for ever for an ear that is dead.
            self._tell(EarLost(f"Hearing failed: {problem}"))
            self._tell(EarEnded())
            if not isinstance(problem, LapcallError):
                raise
        finally:
            self._source.close()

    def _serve(self, block: Block | None) -> None:
        wish = self._wish
        if wish is not self._served:
            self._served = wish
            if wish is not None:
                self._listening.begin(wish.grammar, wish.patience_ms)
                self._recogniser.prepare(wish.grammar)
        if wish is not None and block is not None and block.ended_s > wish.since_s:
            self._listen(wish, block)

    def _listen(self, wish: _Wish, block: Block) -> None:
        heard = self._listening.push(block.pcm, damaged=block.damaged)
        if heard is not None:
            self._deliver(heard, wish)

    def _deliver(self, heard: Heard, wish: _Wish) -> None:
        """Hand over what answers ``wish``, unless something else is wanted by now."""
        with self._changed:
            if self._wish is wish:
                self._wish = None
                self._sink(heard)

    def _get_it_back(self, message: str) -> None:
        """Tell of the loss, then try to open the microphone until it works or the ear is closed."""
        self._served = None
        self._tell(EarLost(message))
        for attempt in range(2**31):
            with self._changed:
                wait_s = _BACK_OFF_S[min(attempt, len(_BACK_OFF_S) - 1)]
                if self._changed.wait_for(lambda: self._closed, wait_s):
                    return
            try:
                self._source.open()
            except NoMicrophone:
                continue
            self._tell(EarBack())
            return

    def _tell(self, event: EarEvent) -> None:
        with self._changed:
            if not self._closed:
                self._sink(event)
