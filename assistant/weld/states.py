"""What a foot of seam can be, and what a job decides of it. Imports ``work`` only; data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from assistant.weld.work import Hand


class State(Enum):
    """What a foot is, the worst first."""

    TO_REPAIR = "to repair"
    """A fault was marked here, or a test was cut out."""
    SUSPECT = "suspect"
    WAITING = "waiting"
    REPAIRED = "repaired"
    """Not proven again yet."""
    PROVEN_AGAIN = "repaired and proven again"
    PROVEN = "proven"


RANK = {state: place for place, state in enumerate(State)}


class Because(Enum):
    """Why a foot is what it is."""

    BETWEEN_PASSES = "between passing tests"
    SINCE_PASS = "since the last pass"  # noqa: S105 - a test, not a password
    NO_PASS_BEFORE = "no passing test before it"  # noqa: S105 - likewise
    FAILED = "a test beside it failed"
    DEFECT = "a fault was marked"
    VOID = "the probe went in"
    CUT = "a test was cut out"
    NOT_PROBED = "the repair was not probed clean"


@dataclass(frozen=True, slots=True)
class CoverRules:
    """What a job decides."""

    cut_ft: Fraction = Fraction(1, 2)
    """Length of seam that a cut takes out."""
    defect_ft: Fraction = Fraction(1)
    """Length that a fault marked at one place puts in question, half of it to either side."""
    probe_repairs: bool = True
    """A repair is proven again only once it was probed clean as well."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length of one seam that is all of one state."""

    seam: str
    from_ft: Fraction
    to_ft: Fraction | None
    """None is the end of a seam whose length is unknown."""
    state: State
    because: Because
    by: tuple[str, ...] = ()
    """Ids of the tests, faults or cuts that make it so."""
    hand: Hand = (None, None)
    """Who welded it with what."""

    @property
    def feet(self) -> Fraction | None:
        """Return its length, or None where it is unknown."""
        return None if self.to_ft is None else self.to_ft - self.from_ft
