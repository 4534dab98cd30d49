"""Where the conversation stands between two events. Imports ``procedure`` and ``words``."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from assistant.dialogue.aside import Aside
from assistant.dialogue.progress import Progress
from assistant.dialogue.today import Today
from assistant.procedure.model import Procedure, Step
from assistant.weld.job_rules import JobRules
from assistant.words.understand import Reading


class Phase(Enum):
    """What the conversation waits for."""

    ANSWER = "an answer to the step's question"
    SECOND_WAY = "the same answer, said another way"
    CONFIRM = "yes or no to a read-back"
    BUSY = "done, while hands are busy"
    MEND = "ready, after an answer that was not hoped for"
    WAIT = "the clock of a wait"
    HOLD = "carry on"
    OVER = "nothing"


class Detail(Enum):
    """How much is said; never whether a value is confirmed."""

    APPRENTICE = "apprentice"
    STANDARD = "standard"
    BRIEF = "brief"


@dataclass(frozen=True, slots=True)
class Trust:
    """Least confidence at which words are taken as said; below it Lapcall asks again."""

    answer: float = 0.0
    """Yes, no, done, a choice, a command."""
    value: float = 0.0
    """A measured or counted value."""
    yes: float = 0.0
    """A yes to a read-back, which makes a value count; ``answer`` holds for it as well."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the welder may choose."""

    detail: Detail = Detail.STANDARD
    trust: Trust = Trust()
    quiet_s: int = 20
    """Silence after a question before the one reminder, and again before the hold."""
    awake_s: int | None = 60
    """Silence after which Lapcall sleeps where nobody is asked anything; None: it never sleeps."""
    rules: JobRules | None = None
    """When a test is due and what a failed one puts in question; None tells neither."""


@dataclass(frozen=True, slots=True)
class Pending:
    """A value that was read back and does not count yet."""

    reading: Reading
    confidence: float
    clip: str | None
    read_back: str
    doubts: int = 0
    """How often a yes to it was heard and not surely enough."""


TRIES_BEFORE_SECOND_WAY = 2
TRIES_BEFORE_NOT_HEARD = 4


@dataclass(frozen=True, slots=True)
class Try:
    """One attempt to hear an answer that did not succeed."""

    said: str
    clip: str | None


@dataclass(frozen=True, slots=True)
class State:
    """The whole memory of the conversation."""

    procedure: Procedure
    settings: Settings
    progress: Progress
    next_seq: int
    """The number of the next record line."""
    phase: Phase = Phase.OVER
    held_from: Phase = Phase.ANSWER
    """What was waited for when the hold began."""
    tries: tuple[Try, ...] = ()
    """Failed attempts at this step."""
    pending: Pending | None = None
    plain_only: bool = False
    """A hedge decided the verdict: only a plain width counts now."""
    reminded: bool = False
    asleep: bool = False
    """Only the attention phrase and "stop" are heard."""
    woken: bool = False
    """Awake because of the attention phrase, and not yet asleep again."""
    let_pass: int = 0
    """Utterances since the ear was last heeded that were not for Lapcall."""
    slept: bool = False
    """It was told in this run how to wake Lapcall."""
    only_talk: int = 0
    """Utterances in a row at this question in which no word was for Lapcall."""
    came_back: bool = False
    """Such talk has led to a hold: whoever goes on from it is a person."""
    clock_ran_out: bool = False
    """The wait ended while on hold."""
    last_said: str = ""
    """The last question or instruction, for "say again"."""
    last_heard: str = ""
    """What was understood last, in words."""
    asides: tuple[Aside, ...] = ()
    """What was begun beside the step and waits for words, the latest last."""
    today: Today = field(default_factory=Today)
    """The shift so far."""
    helped: tuple[str, int] = ("", 0)
    """Where "what can I say" was asked last, and how often in a row."""

    @property
    def step(self) -> Step:
        """The step at which the conversation stands; raises ``IndexError`` at the end."""
        return self.procedure.steps[self.progress.at]

    @property
    def step_id(self) -> str | None:
        """The id of that step, or None at the end."""
        return None if self.finished else self.step.id

    @property
    def to_repeat(self) -> str:
        """What to say once more: the read-back that waits for a yes, else the last question."""
        if self.asides:
            return self.asides[-1].ask
        return self.pending.read_back if self.pending else self.last_said

    @property
    def aside(self) -> Aside | None:
        """What beside the step is being waited for, or None."""
        return self.asides[-1] if self.asides and self.phase is not Phase.HOLD else None

    @property
    def finished(self) -> bool:
        """No step is left."""
        return self.progress.at >= len(self.procedure.steps)
