"""Ears without a microphone, for tests, rehearsals and pipes. Imports ``ports`` and ``stepped``."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.ear.ports import EarEvent, Heard, Quiet
from assistant.ear.stepped import SteppedEar
from assistant.words.phrase import Grammar

SILENCE_LINES = frozenset({"...", "silence"})
"""A line that says nothing and lets patience run out."""


class TypedEar(SteppedEar[str]):
    """Takes one line for each time it is opened, as if it had been said.

    A line ``...`` or ``silence`` is ``Quiet``. Lines are fetched only when the ear is open, so a
    keyboard or a pipe is read no further than the conversation has come.
    """

    def __init__(self, lines: Iterable[str]) -> None:
        super().__init__(lines, _typed)


class ScriptedEar(SteppedEar[str | EarEvent]):
    """Delivers texts or ready events, one for each time it is opened."""

    def __init__(self, script: Iterable[str | EarEvent]) -> None:
        super().__init__(script, _scripted)


def _typed(line: str, _grammar: Grammar, _patience_ms: int) -> EarEvent:
    text = " ".join(line.lower().split())
    return Quiet() if text in SILENCE_LINES else Heard(text)


def _scripted(item: str | EarEvent, grammar: Grammar, patience_ms: int) -> EarEvent:
    return _typed(item, grammar, patience_ms) if isinstance(item, str) else item
