"""What scripted, typed and WAV ears share: one item for each time the ear is opened.

Imports ``ports`` only.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from typing import Generic, TypeVar

from assistant.ear.ports import EarEnded, EarEvent, EarLost
from assistant.errors import LapcallError
from assistant.words.phrase import Grammar

Item = TypeVar("Item")
Sink = Callable[[EarEvent], None]


class SteppedEar(Generic[Item]):
    """Delivers the next of ``items`` at each ``open``, on a thread of its own.

    ``turn`` makes an event of an item, a grammar and a patience. An item that was fetched while
    the ear was shut again waits for the next ``open``: nothing that was typed is lost. Behind the
    last item, each ``open`` gives ``EarEnded``.
    """

    def __init__(
        self, items: Iterable[Item], turn: Callable[[Item, Grammar, int], EarEvent]
    ) -> None:
        self._items = iter(items)
        self._turn = turn
        # Re-entrant: the sink, called under it, may open or shut the ear.
        self._changed = threading.Condition(threading.RLock())
        self._wanted: tuple[Grammar, int] | None = None
        self._turns = 0
        self._closed = False
        self._sink: Sink | None = None

    @property
    def speaking(self) -> bool:
        """Never: whole items come at once."""
        return False

    def start(self, sink: Sink) -> None:
        """Begin to deliver."""
        self._sink = sink
        threading.Thread(target=self._work, name="ear", daemon=True).start()

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Let the next item be heard."""
        with self._changed:
            self._wanted = (grammar, patience_ms)
            self._turns += 1
            self._changed.notify_all()

    def shut(self) -> None:
        """Deliver nothing until opened again."""
        with self._changed:
            self._wanted = None

    def close(self) -> None:
        """Deliver nothing more. A thread that waits for the keyboard ends with the program."""
        with self._changed:
            self._closed = True
            self._wanted = None
            self._changed.notify_all()

    def _work(self) -> None:
        held: list[Item] = []
        while self._until_opened():
            if not held:
                held = self._fetch()
            if self._deliver(held):
                held = []

    def _until_opened(self) -> bool:
        with self._changed:
            self._changed.wait_for(lambda: self._wanted is not None or self._closed)
            return not self._closed

    def _fetch(self) -> list[Item]:
        """Return the next item alone in a list, or an empty list behind the last."""
        try:
            return [next(self._items)]
        except StopIteration:
            return []
        except (OSError, ValueError):
            # A pipe that broke, or bytes that are no text: nothing more can come of it.
            return []

    def _deliver(self, held: list[Item]) -> bool:
        """Hand over what is held, if the ear is open now; tell whether it was handed over."""
        with self._changed:
            wanted, turn = self._wanted, self._turns
        if wanted is None:
            return False
        # Made outside the lock: hearing a file takes a while, and "shut" must not wait for it.
        event = self._event(held, *wanted)
        with self._changed:
            if self._wanted is None or self._turns != turn:
                return False
            self._wanted = None
            if self._sink is not None:
                self._sink(event)
            return True

    def _event(self, held: list[Item], grammar: Grammar, patience_ms: int) -> EarEvent:
        if not held:
            return EarEnded()
        try:
            return self._turn(held[0], grammar, patience_ms)
        except LapcallError as problem:
            return EarLost(str(problem))
