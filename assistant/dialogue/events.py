"""What goes into the conversation and what comes out of it: plain frozen data.

Imports ``words`` for grammars. Facts that go in are in the past tense; what comes out is a verb.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.words.phrase import Grammar

# ---- in


@dataclass(frozen=True, slots=True)
class SpeechHeard:
    """Somebody said something while the ear was open."""

    text: str
    confidence: float = 1.0
    clip: str | None = None
    """File name of its recording, when one was kept."""
    damaged: bool = False
    """Samples were lost: never judge it."""
    length_ms: int = 0
    """How long its recording is; 0 when it was typed."""
    left_s: int | None = None
    """How long the clock of a wait still runs; None where none does."""


@dataclass(frozen=True, slots=True)
class QuietPassed:
    """Nothing was said for as long as the last ``Listen`` allowed."""


@dataclass(frozen=True, slots=True)
class TimeUp:
    """The clock that ``StartClock`` started has run out."""


@dataclass(frozen=True, slots=True)
class MomentCame:
    """A moment that ``StartClock`` named has come."""

    after_s: int


@dataclass(frozen=True, slots=True)
class ReminderDue:
    """The time between two reminders has passed once more."""


@dataclass(frozen=True, slots=True)
class MicrophoneLost:
    """The ear went deaf."""

    message: str


@dataclass(frozen=True, slots=True)
class MicrophoneBack:
    """The ear hears again."""


@dataclass(frozen=True, slots=True)
class NothingMoreToHear:
    """A script, a pipe or a folder of recordings has ended."""


Event = (
    SpeechHeard
    | QuietPassed
    | TimeUp
    | MomentCame
    | ReminderDue
    | MicrophoneLost
    | MicrophoneBack
    | NothingMoreToHear
)

# ---- out


@dataclass(frozen=True, slots=True)
class Sound:
    """Play the tone of this name (``mouth.ports.Tone``)."""

    tone: str


@dataclass(frozen=True, slots=True)
class Listen:
    """Open the ear for one utterance."""

    grammar: Grammar
    patience_ms: int
    """Silence that ends the utterance."""
    quiet_s: int | None
    """Send ``QuietPassed`` after so long without speech; None waits for ever."""
    keep_clip: bool = False
    """Keep the recording: a value or an answer that decides a verdict."""
    keep_said: Grammar | None = None
    """Keep it also where it is one of these phrases."""


@dataclass(frozen=True, slots=True)
class Say:
    """Speak this; words only, no figures."""

    text: str
    answer: Listen | None = None
    """What may be said into it, where ears are open while Lapcall speaks; None: hear it out."""
    sure_from: float = 0.0
    """How surely that must be heard to cut it short."""


@dataclass(frozen=True, slots=True)
class StartClock:
    """Send ``TimeUp`` after so many seconds, and ``MomentCame`` at each moment on the way."""

    seconds: int
    moments: tuple[int, ...] = ()
    """Seconds from the start, rising."""


@dataclass(frozen=True, slots=True)
class StopClock:
    """Forget the clock, and the reminders."""


@dataclass(frozen=True, slots=True)
class StartReminders:
    """Send ``ReminderDue`` again and again, until ``StopClock``."""

    every_s: int


@dataclass(frozen=True, slots=True)
class Log:
    """Write this line to the record, on disk before anything that follows is done."""

    kind: str
    fields: Mapping[str, object]
    seq: int
    """The number that the line must get."""


@dataclass(frozen=True, slots=True)
class Finish:
    """The conversation is over."""

    ended: bool
    """True when the procedure was walked to its end; False when it was stopped."""


Action = Say | Sound | Listen | StartClock | StopClock | StartReminders | Log | Finish
