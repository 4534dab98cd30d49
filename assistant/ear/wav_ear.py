"""WAV files through the same gate and recogniser as a microphone, as fast as they go.

Imports ``gate``, ``listening``, ``ports``, ``sound`` and ``stepped``.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from assistant.ear.gate import FRAME_BYTES, Gate, silero
from assistant.ear.listening import Hears, Listening
from assistant.ear.ports import Clip, EarEvent, Heard, Quiet
from assistant.ear.sound import RATE_HZ, read_wav
from assistant.ear.stepped import SteppedEar
from assistant.words.phrase import Grammar

PATIENCE_MS = 700
"""Silence that ends an utterance, where nobody says otherwise."""
_BEFORE_MS, _BEHIND_MS = 300, 1000


class WavEar(SteppedEar[Path | None]):
    """Plays the next file at each ``open``; gives what it says, or ``Heard("")`` without speech.

    None in the place of a file is a silence in which nobody speaks: ``Quiet``.
    Only the first utterance of a file counts, as it would from a microphone. All files are read
    at once, so that a wrong name is told before the conversation begins.
    """

    def __init__(self, recogniser: Hears, files: Iterable[Path | None]) -> None:
        """Read the files.

        Raises:
            UsageProblem: a file is missing, or no WAV file of ours.
        """
        order = list(files)
        clips = {path: read_wav(path) for path in order if path}
        listening = Listening(recogniser, Gate(silero()))

        def turn(path: Path | None, grammar: Grammar, patience_ms: int) -> EarEvent:
            if path is None:
                return Quiet()
            return _hear(clips[path], grammar, listening, patience_ms)

        super().__init__(order, turn)


def hear_file(
    path: Path, grammar: Grammar, recogniser: Hears, patience_ms: int = PATIENCE_MS
) -> Heard:
    """Return what the first utterance in a WAV file says, or ``Heard("")`` without speech.

    Raises:
        UsageProblem: the file is missing, or no WAV file of ours.
        ModelProblem: the recogniser cannot hear this grammar.
    """
    return _hear(read_wav(path), grammar, Listening(recogniser, Gate(silero())), patience_ms)


def _hear(clip: Clip, grammar: Grammar, listening: Listening, patience_ms: int) -> Heard:
    """Return the first utterance in a recording at 16 kHz."""
    listening.begin(grammar, patience_ms)
    # A file may hold nothing but its words; whoever listens live hears silence around them.
    before = bytes(2 * (RATE_HZ * _BEFORE_MS // 1000))
    behind = bytes(2 * (RATE_HZ * (2 * patience_ms + _BEHIND_MS) // 1000))
    pcm = before + clip.pcm + behind
    for at in range(0, len(pcm), FRAME_BYTES):
        heard = listening.push(pcm[at : at + FRAME_BYTES])
        if heard is not None:
            return heard
    return Heard("", confidence=0.0)
