"""The mouth as the rest of Lapcall sees it. Imports nothing of ours.

Three forms exist: ``SpokenMouth`` (speech engine and loudspeaker), ``ScriptedMouth`` (remembers
what it was told, for tests) and ``PrintedMouth`` (writes lines, for rehearsals).
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from typing import Protocol


class Tone(Enum):
    """Short sounds that can be told apart over a blower by rhythm as well as by pitch."""

    LISTENING = "listening"
    HEARD = "heard"
    NOT_UNDERSTOOD = "not understood"
    PASSED = "passed"
    FAILED = "failed"
    AWAKE = "awake"
    ASLEEP = "asleep"


class Mouth(Protocol):
    """Says sentences and plays tones, one after the other; each call waits until it has sounded."""

    def prepare(self, sentences: list[str]) -> None:
        """Render sentences ahead of need, in the background; never raises."""

    def say(self, text: str, between: Callable[[], None] | None = None) -> bool:
        """Speak ``text``; False when it was cut off. Raises ``VoiceProblem``, ``NoLoudspeaker``.

        ``between`` is called after each sentence but the last, once it has sounded.
        """

    def tone(self, tone: Tone) -> None:
        """Play a tone. Raises ``NoLoudspeaker``."""

    def cut(self) -> None:
        """Silence at once whatever sounds now. Called from any thread."""

    def close(self) -> None:
        """Give the device back. Safe to call twice."""
