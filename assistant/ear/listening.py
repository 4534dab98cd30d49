"""Sound in, one utterance heard: gate, recogniser and patience together.

Imports ``gate``, ``patience`` and ``ports``. All ears that hear sound hear it this way. Whoever
pauses is recognised at once: the words so far say how long to wait, and if nothing more comes
they are the answer, which so begins sooner.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

from assistant.ear.gate import Gate, Utterance
from assistant.ear.patience import PatienceSettings, patience_ms
from assistant.ear.ports import Clip, Heard
from assistant.ear.sound import RATE_HZ
from assistant.words.phrase import Grammar

_LONGEST_ENDING_S = 3
"""Words that end free speech take less; a longer stretch is not recognised at all."""
_FREE = Heard("[unk]", confidence=0.0)


class Hears(Protocol):
    """The part of a recogniser that is needed here."""

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        """Return what one utterance says."""


class Listening:
    """Hears one utterance after each ``begin``. One thread at a time, but for ``speaking``."""

    def __init__(
        self, recogniser: Hears, gate: Gate, settings: PatienceSettings | None = None
    ) -> None:
        self._recogniser = recogniser
        self._gate = gate
        self._gate.at_pause = self._look
        self._settings = settings or PatienceSettings()
        self._grammar: Grammar | None = None
        self._so_far: Heard | None = None
        self._looks = 0
        self._begun = False
        self._looked_at = 0
        """Bytes of free speech up to the last pause."""

    @property
    def speaking(self) -> bool:
        """Whether an utterance has begun since ``begin``. Any thread may ask."""
        return self._begun

    def begin(self, grammar: Grammar, asked_ms: int) -> None:
        """Forget all sound so far; the next utterance is heard under ``grammar``."""
        self._grammar = grammar
        self._so_far, self._looks, self._begun = None, 0, False
        self._looked_at = 0
        self._gate.begin_afresh(asked_ms, grammar.free_ms)

    def push(self, pcm: bytes, *, damaged: bool = False) -> Heard | None:
        """Take more sound; return what the utterance says, once it is over.

        Raises:
            ModelProblem: the recogniser cannot hear this grammar.
        """
        utterance = self._gate.push(pcm, damaged=damaged)
        self._begun = self._begun or self._gate.speaking
        return None if utterance is None else self._heard(utterance)

    def _look(self, utterance: Utterance) -> int:
        """Return how much silence ends what was said so far."""
        asked_ms, settings = self._gate.patience_ms, self._settings
        if self._asked().free_ms:
            self._so_far = heard = self._behind_pause(utterance)
            return patience_ms(heard, self._asked(), asked_ms, settings)
        sound_ms = 1000 * len(utterance.clip.pcm) // (2 * RATE_HZ)
        if self._looks >= settings.most_looks or sound_ms > settings.longest_look_ms:
            return asked_ms
        self._looks += 1
        self._so_far = heard = self._heard(utterance)
        return patience_ms(heard, self._asked(), asked_ms, settings)

    def _heard(self, utterance: Utterance) -> Heard:
        clip, damaged = utterance.clip, utterance.damaged
        known = self._so_far
        if self._asked().free_ms:
            over = known is not None and len(clip.pcm) == self._looked_at
            return replace(known if over and known else _FREE, clip=clip, damaged=damaged)
        if known is not None and known.clip is not None and known.clip.pcm == clip.pcm:
            # Nothing was said since; but samples may have been lost.
            return replace(known, damaged=damaged)
        return self._recogniser.hear(clip, self._asked(), damaged=damaged)

    def _behind_pause(self, utterance: Utterance) -> Heard:
        """Return the words since the last pause, which may end free speech; not if it is long."""
        pcm, since = utterance.clip.pcm, self._looked_at
        self._looked_at = len(pcm)
        if len(pcm) - since > 2 * RATE_HZ * _LONGEST_ENDING_S:
            return _FREE
        tail = Clip(pcm[since:], RATE_HZ)
        return self._recogniser.hear(tail, self._asked(), damaged=utterance.damaged)

    def _asked(self) -> Grammar:
        if self._grammar is None:
            raise ValueError("begin comes first")
        return self._grammar
