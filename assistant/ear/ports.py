"""The ear as the rest of Lapcall sees it: what was heard, and the port that hears it.

Imports ``words`` only. Three forms exist: ``VoskEar`` (microphone or WAV files through the real
recogniser), ``ScriptedEar`` (tests) and ``TypedEar`` (lines from a keyboard or a pipe).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from assistant.words.phrase import Grammar


@dataclass(frozen=True, slots=True)
class Clip:
    """A stretch of sound, kept so that a number in doubt can be listened to."""

    pcm: bytes
    """Mono samples, 16 bit little-endian."""
    rate_hz: int


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word of an utterance."""

    word: str
    confidence: float
    """0 to 1: how much of what it might be holds this word here; no proof of anything."""
    began_s: float
    """Seconds from the start of the utterance's clip."""
    ended_s: float


@dataclass(frozen=True, slots=True)
class Heard:
    """One utterance, from the start of speech to its end.

    ``text`` is what the recogniser made of it: lower-case words parted by single spaces. It may
    hold ``[unk]`` (speech that is none of ours), and is empty when there was speech but no words.
    """

    text: str
    words: tuple[HeardWord, ...] = ()
    confidence: float = 1.0
    """How likely it means what was said, 0 to 1; 1 for typed and scripted ears; 0 without words."""
    clip: Clip | None = None
    damaged: bool = False
    """Samples were lost while it was said: ask again, never judge it."""


@dataclass(frozen=True, slots=True)
class EarLost:
    """The microphone stopped delivering sound; the ear tries to get it back by itself."""

    message: str


@dataclass(frozen=True, slots=True)
class EarBack:
    """The microphone delivers sound again."""


@dataclass(frozen=True, slots=True)
class EarEnded:
    """Nothing more will ever be heard (a file or a pipe has ended)."""


@dataclass(frozen=True, slots=True)
class Quiet:
    """Scripted silence: pretend that patience ran out. Only typed and scripted ears send it."""


EarEvent = Heard | EarLost | EarBack | EarEnded | Quiet


class Ear(Protocol):
    """Hears utterances while open, and hands each to ``sink`` on a thread of its own."""

    @property
    def speaking(self) -> bool:
        """Whether somebody is speaking into the open ear, or just has: words are on their way."""

    def start(self, sink: Callable[[EarEvent], None]) -> None:
        """Begin to deliver events; raises ``NoMicrophone`` or ``ModelProblem``.

        ``sink`` runs on the ear's thread and must return soon. It may open or shut the ear.
        """

    def open(self, grammar: Grammar, patience_ms: int) -> None:
        """Listen for one utterance of ``grammar``; once it is delivered, the ear is shut.

        The utterance ends after ``patience_ms`` of silence behind speech; sooner behind words that
        nothing can follow, a little later inside a phrase. Forgets whatever sound
        came before. Opening an open ear begins afresh with the new grammar.
        """

    def shut(self) -> None:
        """Hear nothing until opened again; an utterance in progress is dropped.

        Once it returns, nothing of before arrives any more.
        """

    def close(self) -> None:
        """Give the device back. Safe to call twice."""
