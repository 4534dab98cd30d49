"""The real mouth: a speech engine and a loudspeaker. Used by the shell."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator
from typing import Protocol, TextIO

from assistant.mouth.player import Player
from assistant.mouth.ports import Tone
from assistant.mouth.scripted import spoken_line, tone_line
from assistant.mouth.sound import Sound
from assistant.mouth.tones import tone_sound
from assistant.mouth.voice import Voice
from assistant.mouth.wording import sentences, speakable


class Renders(Protocol):
    """What gives sentences their sound: ``Voice``, or a fake in tests."""

    def sound(self, sentence: str, cut: threading.Event) -> Sound | None:
        """Return the sound of a sentence; None when cut."""

    def prepare(self, sentences: list[str]) -> None:
        """Render ahead."""

    def close(self) -> None:
        """Stop rendering ahead."""


class Plays(Protocol):
    """What plays sounds: ``Player``, or a fake in tests."""

    def play(self, sound: Sound, cut: threading.Event) -> bool:
        """Play a sound; False when cut."""


class SpokenMouth:
    """Speaks through a loudspeaker; see ``ports.Mouth``.

    ``say`` and ``tone`` may be called from any thread and take turns; ``cut`` silences what
    sounds at that moment and has no effect on what comes later.

    Args:
        voice: gives sentences their sound.
        player: the loudspeaker.
        echo_to: if given, what is said is written there too.
    """

    def __init__(
        self,
        voice: Renders | None = None,
        player: Plays | None = None,
        echo_to: TextIO | None = None,
    ) -> None:
        self._voice = voice if voice is not None else Voice()
        self._player = player if player is not None else Player()
        self._echo_to = echo_to
        self._turn = threading.Lock()
        self._guard = threading.Lock()
        self._cut: threading.Event | None = None
        self._closed = False

    def prepare(self, sentences_ahead: list[str]) -> None:
        """Render sentences ahead of need, in the background; never raises."""
        for text in sentences_ahead:
            # Whoever says it will be told what is wrong with it.
            with contextlib.suppress(ValueError):
                self._voice.prepare(sentences(speakable(text)))

    def say(self, text: str, between: Callable[[], None] | None = None) -> bool:
        """Speak ``text``; False when it was cut off. ``between`` is called between its sentences.

        Raises:
            ValueError: ``text`` holds figures or signs; see ``wording.speakable``.
            VoiceProblem: there is no speech engine, or it made no sound.
            NoLoudspeaker: there is no loudspeaker, or it went away.
        """
        first, *later = sentences(speakable(text))
        with self._sounding() as cut:
            if cut is None:
                return False
            self._echo(spoken_line(text))
            self._voice.prepare(later)
            return self._say_one(first, cut) and all(
                self._say_later(sentence, cut, between) for sentence in later
            )

    def _say_later(
        self, sentence: str, cut: threading.Event, between: Callable[[], None] | None
    ) -> bool:
        if between is not None:
            between()
        return self._say_one(sentence, cut)

    def _say_one(self, sentence: str, cut: threading.Event) -> bool:
        sound = self._voice.sound(sentence, cut)
        return sound is not None and self._player.play(sound, cut)

    def tone(self, tone: Tone) -> None:
        """Play a tone. Raises ``NoLoudspeaker``."""
        with self._sounding() as cut:
            if cut is not None:
                self._echo(tone_line(tone))
                self._player.play(tone_sound(tone), cut)

    @contextlib.contextmanager
    def _sounding(self) -> Iterator[threading.Event | None]:
        """Wait for the turn to sound; gives the event that cuts it off, None once closed."""
        with self._turn:
            cut = threading.Event()
            with self._guard:
                closed = self._closed
                self._cut = cut
            try:
                yield None if closed else cut
            finally:
                with self._guard:
                    self._cut = None

    def _echo(self, line: str) -> None:
        if self._echo_to is not None:
            self._echo_to.write(line)
            self._echo_to.flush()

    def cut(self) -> None:
        """Silence at once whatever sounds now. Called from any thread."""
        with self._guard:
            if self._cut is not None:
                self._cut.set()

    def close(self) -> None:
        """Silence it for good. Safe to call twice."""
        with self._guard:
            self._closed = True
        self.cut()
        self._voice.close()
