"""Where a drill stands between two events. Plain frozen data; imports ``model``."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from assistant.drill.model import Question, Told


class Phase(Enum):
    """What the drill waits for."""

    ANSWER = "an answer"
    SECOND_WAY = "the number of an answer"
    HOLD = "carry on"
    OVER = "nothing"


@dataclass(frozen=True, slots=True)
class Manner:
    """How the drill is held."""

    count: int = 12
    """After so many answers it is over."""
    seed: int = 0
    """Decides the order of new questions and of the answers that are read out."""
    sure_from: float = 0.0
    """Least confidence at which words are taken as said."""
    quiet_s: int = 20
    """Silence before the one reminder, and again before the hold."""


@dataclass(frozen=True, slots=True)
class State:
    """The whole memory of a drill."""

    questions: tuple[Question, ...]
    manner: Manner
    began: int
    """Number of the record line with which it began."""
    next_seq: int
    """The number of the next record line."""
    before: tuple[Told, ...] = ()
    """The answers of earlier drills, the oldest first."""
    told: tuple[Told, ...] = ()
    """Those of this one that count."""
    not_heard: tuple[str, ...] = ()
    """Ids of questions that were given up; they are not asked again in this drill."""
    question: Question | None = None
    """What is asked; its choices stand in the order in which they are read out."""
    phase: Phase = Phase.OVER
    held_from: Phase = Phase.ANSWER
    tries: int = 0
    reminded: bool = False
    last_said: str = ""
    last_heard: str = ""
    because: str = ""
    """The reason that was given last."""

    @property
    def is_whole(self) -> bool:
        """Whether as much was asked as was wanted."""
        return len(self.told) + len(self.not_heard) >= self.manner.count

    @property
    def right(self) -> int:
        """How many answers of this drill were right."""
        return sum(1 for one in self.told if one.right)

    @property
    def again(self) -> tuple[str, ...]:
        """Topics whose question had a wrong answer last, each once, in the order of asking."""
        last = {one.question: one.right for one in self.told}
        topics = {one.id: one.topic for one in self.questions}
        return tuple(dict.fromkeys(topics[name] for name, right in last.items() if not right))
