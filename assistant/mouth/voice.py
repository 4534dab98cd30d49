"""Gives each sentence its sound: from the cache, or rendered in a child process and then kept.

Used by ``spoken``. ``prepare`` renders ahead on one background thread.
"""

from __future__ import annotations

import queue
import sys
import threading

from assistant.errors import VoiceProblem
from assistant.mouth import clarity
from assistant.mouth.cache import SoundCache, default_folder
from assistant.mouth.render_child import ANY_ENGLISH
from assistant.mouth.rendering import COMMAND, rendered
from assistant.mouth.sound import Sound, trimmed

# Of espeak's common variants f2 is computed to be understood best beside a blower (0.54 raw, plain
# en-us 0.45; processed both reach 0.78, see tests/bench/results/mouth.md). Where it is missing
# espeak itself falls back to en-us.
DEFAULT_VOICE = "en-us+f2" if sys.platform.startswith("linux") else ANY_ENGLISH
DEFAULT_RATE_WPM = 165
_TIMEOUT_S = 20.0


class Voice:
    """Sentences to sound. ``sound`` may be called from any thread, ``prepare`` too.

    Args:
        name: the engine's name of a voice; ``english`` takes any English one.
        rate_wpm: speed in words a minute.
        cache: where sounds are kept; None for the user's cache folder.
        command: the child that renders (tests give their own).
        timeout_s: how long one sentence may take to render.
    """

    def __init__(
        self,
        name: str = DEFAULT_VOICE,
        rate_wpm: int = DEFAULT_RATE_WPM,
        cache: SoundCache | None = None,
        command: tuple[str, ...] = COMMAND,
        timeout_s: float = _TIMEOUT_S,
    ) -> None:
        self._name = name
        self._rate_wpm = rate_wpm
        self._cache = SoundCache(default_folder()) if cache is None else cache
        self._command = command
        self._timeout_s = timeout_s
        self._ahead: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._closed = threading.Event()
        self._guard = threading.Lock()
        self._thread: threading.Thread | None = None

    def key(self, sentence: str) -> str:
        """Return what the sound of ``sentence`` depends on, as one string."""
        return f"{sentence}\n{self._name}\n{self._rate_wpm}\n{clarity.VERSION}"

    def sound(self, sentence: str, cut: threading.Event) -> Sound | None:
        """Return the sound of one sentence; None when ``cut`` was set before it was ready.

        Raises:
            VoiceProblem: there is no speech engine, or it made no sound.
        """
        kept = self._cache.get(self.key(sentence))
        return self._render(sentence, cut, ()) if kept is None else kept

    def _render(self, sentence: str, cut: threading.Event, how: tuple[str, ...]) -> Sound | None:
        order = (*self._command, self._name, str(self._rate_wpm), "OUT", *how)
        raw = rendered(order, sentence, cut, self._timeout_s)
        if raw is None:
            return None
        sound = clarity.clarified(trimmed(raw))
        self._cache.put(self.key(sentence), sound)
        return sound

    def prepare(self, sentences: list[str]) -> None:
        """Render ``sentences`` ahead, one after the other, giving way to other work."""
        with self._guard:
            if self._closed.is_set():
                return
            for sentence in sentences:
                self._ahead.put(sentence)
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="voice", daemon=True)
                self._thread.start()

    def _work(self) -> None:
        while (sentence := self._ahead.get()) is not None:
            if self._closed.is_set():
                return
            if self._cache.get(self.key(sentence)) is None:
                try:
                    self._render(sentence, self._closed, ("gently",))
                except VoiceProblem:
                    # Whoever says the sentence will meet the problem, and can tell the user.
                    continue

    def close(self) -> None:
        """Stop rendering ahead. Safe to call twice."""
        with self._guard:
            self._closed.set()
            self._ahead.put(None)
        if self._thread is not None:
            self._thread.join(2)
