"""A question of a drill, and what became of one. Plain frozen data; imports ``procedure``."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.procedure.model import Choice

NOT_KNOWN = Choice("not-known", ("i do not know", "tell me the answer"))
"""Can be said to every question; counts as not right."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question with named answers, of which one is right."""

    id: str
    topic: str
    """What to look at again after a wrong answer, as it is spoken."""
    ask: str
    choices: tuple[Choice, ...]
    """Two or more; the first phrase of each is how Lapcall says it."""
    right: str
    """The id of the choice that is right."""
    because: str
    """Why, in a sentence or two."""

    @property
    def answer(self) -> Choice:
        """The choice that is right."""
        return next(choice for choice in self.choices if choice.id == self.right)


@dataclass(frozen=True, slots=True)
class Told:
    """An answer that counts."""

    question: str
    """The question's id."""
    right: bool
    seq: int | None = None
    """Its record line, where it was given in the drill that is under way."""
