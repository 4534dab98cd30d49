"""What is begun beside the step: a mark, a note, a change of the last test. Plain data.

Imports ``procedure``, ``words`` and ``today``. An aside lies on top of the conversation and leaves
all that lies under it alone: step, phase, read-back, attempts and clock are as they were when it
is over. Asides may lie on each other, one of each kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from assistant.dialogue.today import Tested
from assistant.procedure.model import AskChoice, AskValue
from assistant.words.meaning import Measure
from assistant.words.phrase import Grammar

Try = tuple[str, str | None]
"""What was made of an attempt that did not succeed, and its clip."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """What all of them share."""

    ask: str
    """What was asked or read back, for saying it once more."""
    grammar: Grammar
    patience_ms: int = 700
    reminded: bool = False
    tries: tuple[Try, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A position that was read back and does not count yet."""

    position_ft: Fraction
    said: str
    confidence: float
    clip: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkAside(Aside):
    """A mark that does not count yet."""

    what: str
    said: str
    clip: str | None
    seam: str | None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteAside(Aside):
    """A note that is being spoken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewValue:
    """What a value of a test shall be; read back, and not counting yet."""

    answer: Measure | str
    """A measure, or the id of a choice."""
    said: str
    confidence: float
    clip: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeAside(Aside):
    """A change of a test."""

    test: Tested
    asked_by: str
    step: AskValue | AskChoice | None = None
    """Whose answer is changed; None until that was said."""
    value: NewValue | None = None
