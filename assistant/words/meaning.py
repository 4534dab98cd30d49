"""What a phrase can mean. Imports nothing of ours."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

MM_PER_INCH = Fraction(127, 5)
"""25.4, exactly (international inch, 1959)."""


class Command(Enum):
    """What can be said at any time; the value is how Lapcall itself says it."""

    SAY_AGAIN = "say again"
    GO_BACK = "go back"
    SCRATCH_THAT = "scratch that"
    HOLD = "hold"
    CARRY_ON = "carry on"
    WHY = "why"
    HOW = "tell me how"
    WHAT_DID_YOU_HEAR = "what did you hear"
    WHERE_ARE_WE = "where are we"
    HOW_LONG = "how much longer"
    ATTENTION = "okay lapcall"
    GO_TO_SLEEP = "go to sleep"
    WHAT_CAN_I_SAY = "what can i say"
    HOW_MANY_TODAY = "how many today"
    READ_THE_LAST_TEST = "read the last test"
    CHANGE_THE_LAST_TEST = "change the last test"
    MAKE_A_NOTE = "make a note"
    STOP = "stop"


class Lean(Enum):
    """Which way a hedge leans; never how far."""

    OVER = "over"
    UNDER = "under"


@dataclass(frozen=True, slots=True)
class YesNo:
    """A plain answer."""

    yes: bool


@dataclass(frozen=True, slots=True)
class Done:
    """The hands are free again: "done" or "ready"."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """One of several named answers."""

    id: str


@dataclass(frozen=True, slots=True)
class Measure:
    """One value, exact, in the unit it was said in."""

    value: Fraction
    unit: str
    """``in``, ``mm``, ``number``, or a unit of ``measured``."""
    hedge: str | None = None
    """A word such as "strong", kept as said and never turned into a number."""
    lean: Lean | None = None

    @property
    def is_width(self) -> bool:
        """Whether it is a length that a rule on a strip shows."""
        return self.unit in ("in", "mm")

    @property
    def value_in(self) -> Fraction:
        """A width in inches; any other value as it is."""
        return self.value / MM_PER_INCH if self.unit == "mm" else self.value


@dataclass(frozen=True, slots=True)
class Unclear:
    """Words that name no single value: ask instead of guessing."""

    reason: str
    """A short name of the case for logs and tests, such as ``digits-without-point``."""
    question: str
    """What Lapcall asks."""


@dataclass(frozen=True, slots=True)
class Corrected:
    """A value that replaces what stood before it in the same breath or on read-back."""

    measure: Measure


@dataclass(frozen=True, slots=True)
class Marked:
    """A defect to be marked on the seam; without a position that has to be asked."""

    what: str
    """As the record calls it, such as ``bleed-out``."""
    position_ft: Fraction | None


@dataclass(frozen=True, slots=True)
class Position:
    """A distance along the seam."""

    position_ft: Fraction


@dataclass(frozen=True, slots=True)
class Happened:
    """Something that may end what a test proved of a set-up."""

    what: str
    """``power-lost``, ``rain``, ``break`` or ``changing``, as ``weld.due.Kind`` has them."""
    part: str | None = None
    """What of the set-up is being changed."""


@dataclass(frozen=True, slots=True)
class NoteEnded:
    """The words that end a spoken note."""


Meaning = (
    Command
    | YesNo
    | Done
    | Chosen
    | Measure
    | Unclear
    | Corrected
    | Marked
    | Position
    | Happened
    | NoteEnded
)
