"""WAV files through the same gate and recogniser as a microphone, as fast as they go.

Imports ``gate``, ``recogniser``, ``sound`` and ``stepped``.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Protocol

from assistant.ear.gate import FRAME_BYTES, Gate, Utterance, silero
from assistant.ear.ports import Clip, EarEvent, Heard
from assistant.ear.sound import RATE_HZ, read_wav
from assistant.ear.stepped import SteppedEar
from assistant.words.phrase import Grammar

PATIENCE_MS = 700
"""Silence that ends an utterance, where nobody says otherwise."""
_BEFORE_MS, _BEHIND_MS = 300, 1000


class Hears(Protocol):
    """The part of a recogniser that is needed here."""

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        """Return what one utterance says."""


class WavEar(SteppedEar[Path]):
    """Plays the next file at each ``open``; gives what it says, or ``Heard("")`` without speech.

    Only the first utterance of a file counts, as it would from a microphone. All files are read
    at once, so that a wrong name is told before the conversation begins.
    """

    def __init__(self, recogniser: Hears, files: Iterable[Path]) -> None:
        """Read the files.

        Raises:
            UsageProblem: a file is missing, or no WAV file of ours.
        """
        order = list(files)
        clips = {path: read_wav(path) for path in order}
        gate = Gate(silero())

        def turn(path: Path, grammar: Grammar, patience_ms: int) -> EarEvent:
            return _hear(clips[path], grammar, recogniser, gate, patience_ms)

        super().__init__(order, turn)


def hear_file(
    path: Path, grammar: Grammar, recogniser: Hears, patience_ms: int = PATIENCE_MS
) -> Heard:
    """Return what the first utterance in a WAV file says, or ``Heard("")`` without speech.

    Raises:
        UsageProblem: the file is missing, or no WAV file of ours.
        ModelProblem: the recogniser cannot hear this grammar.
    """
    return _hear(read_wav(path), grammar, recogniser, Gate(silero()), patience_ms)


def _hear(clip: Clip, grammar: Grammar, recogniser: Hears, gate: Gate, patience_ms: int) -> Heard:
    utterance = first_utterance(clip, gate, patience_ms)
    if utterance is None:
        return Heard("", confidence=0.0)
    return recogniser.hear(utterance.clip, grammar, damaged=utterance.damaged)


def first_utterance(clip: Clip, gate: Gate, patience_ms: int) -> Utterance | None:
    """Return the first utterance in a recording at 16 kHz, as the gate cuts it."""
    gate.begin_afresh(patience_ms)
    # A file may hold nothing but its words; whoever listens live hears silence around them.
    before = bytes(2 * (RATE_HZ * _BEFORE_MS // 1000))
    behind = bytes(2 * (RATE_HZ * (patience_ms + _BEHIND_MS) // 1000))
    pcm = before + clip.pcm + behind
    for at in range(0, len(pcm), FRAME_BYTES):
        utterance = gate.push(pcm[at : at + FRAME_BYTES])
        if utterance is not None:
            return utterance
    return None
