"""A checklist as typed steps: what the loader makes and the dialogue walks through.

Imports ``weld`` for limits. All plain frozen data; times are whole seconds.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from assistant.weld.limits import WidthLimits
from assistant.weld.power import Gun
from assistant.weld.power_cautions import PowerLimits
from assistant.weld.weather_cautions import WeatherLimits

DANGERS = ("hot", "sharp", "edge", "electric")
"""What a step may be marked with: nozzle and melt, blades, the edge of the roof, current."""


@dataclass(frozen=True, slots=True)
class Cap:
    """The end of a loop: after so many turns in a row, the way out."""

    times: int
    """How often the step may turn back; the last of these takes the way out instead."""
    then: str
    """``"go-on"``, ``"end"`` (the rest of the procedure is left out), ``"stop"`` (the run stops;
    started again it begins the loop anew), or the id of a later step."""
    say: str
    """What is spoken in the place of what the loop says."""


@dataclass(frozen=True, slots=True)
class Remind:
    """What is said again and again while a step waits."""

    every_s: int
    say: str


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What happens when a question gets an answer that was not hoped for."""

    say: str
    """What to do about it, in a sentence or two."""
    then: str
    """``"again"`` (ask once more when they are ready), ``"go-on"``, or the id of an earlier step.

    To do something more only after this answer, say ``"go-on"`` and give later steps ``only_if``.
    """
    cap: Cap | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to a question with several."""

    id: str
    """The key that the record holds, such as ``film-tearing``."""
    said: tuple[str, ...]
    """Every phrase that means it; the first is how Lapcall says it."""


@dataclass(frozen=True, slots=True)
class Step:
    """What all steps share."""

    id: str
    line: int
    """Where it stands in the file, for messages."""
    say: str
    """What is spoken when the step begins."""
    why: str = ""
    """The answer to "why", or empty."""
    how: str = ""
    """The answer to "tell me how", or empty: how the act is done, for whoever is new to it."""
    quiet_s: int | None = None
    """Silence after this question before the one reminder; None: as usual. Only on questions."""
    only_if: tuple[str, ...] | None = None
    """(Id of an earlier step, answers): skip this step unless what came of that one is one of them.

    What comes of a step: ``flow.came_of``. A step that was itself skipped gave no answer. Never set
    on a ``Judge``.
    """
    once: bool = False
    """Passed over when it was done earlier in this shift; see ``dialogue.once``."""
    remind: Remind | None = None
    file: str = ""
    """The shared file in which it is written, or empty: ``line`` is a line of that file."""
    danger: tuple[str, ...] = ()
    """What may hurt somebody here, out of ``DANGERS``; on a ``Warn``, what it cautions against."""


@dataclass(frozen=True, slots=True)
class Tell(Step):
    """Say something; with ``until_done`` wait for "done" before going on."""

    until_done: bool = False
    hands_busy: bool = False
    """Hands are busy from the start: Lapcall soon sleeps."""


@dataclass(frozen=True, slots=True)
class Warn(Step):
    """A safety caution: always spoken in full, acknowledged with "ready" before work goes on."""


@dataclass(frozen=True, slots=True)
class AskYesNo(Step):
    """A question with the answer yes or no."""

    hoped: bool = True
    """The answer with which the work simply goes on."""
    otherwise: Otherwise = Otherwise("", "again")


@dataclass(frozen=True, slots=True)
class AskChoice(Step):
    """A question with one of several named answers."""

    choices: tuple[Choice, ...] = ()
    hoped: tuple[str, ...] = ()
    """Ids of the answers with which the work simply goes on; empty: it does with all of them."""
    otherwise: Otherwise | None = None

    def chosen(self, name: str) -> Choice:
        """Return the choice of this id, or of this number as they are listed, from 1."""
        if name.isdigit():
            return self.choices[int(name) - 1]
        return next(choice for choice in self.choices if choice.id == name)


@dataclass(frozen=True, slots=True)
class AskValue(Step):
    """A question with a measured or counted value."""

    unit: str = "in"
    """``"in"`` (a width: fractions, decimals or millimetres), ``"number"`` (a whole number), or,
    where ``quantity`` is given, a unit that it is asked in (``words.measured``)."""
    plausible_from: Fraction = Fraction(0)
    plausible_to: Fraction = Fraction(0)
    """Outside this window (ends included) Lapcall asks again. In ``unit``."""
    patience_ms: int = 1200
    """Silence that ends the answer."""
    called: str = "width"
    """What it is called when it is read back, such as ``"void"`` or ``"seam"``."""
    quantity: str = ""
    """What is measured, such as ``"wind"`` (``words.measured``); empty for widths and counts."""
    hoped_from: Fraction | None = None
    hoped_to: Fraction | None = None
    """Inside (ends included) the work simply goes on; None leaves that side open. In ``unit``."""
    otherwise: Otherwise | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """Something to say while a time runs."""

    after_s: int
    """Seconds from the start of the wait."""
    say: str


@dataclass(frozen=True, slots=True)
class Wait(Step):
    """Wait for a time; Lapcall says when it is over. "carry on" ends it early and is logged."""

    seconds: int = 0
    until: str = ""
    """A time of the clock such as ``"13:30"``, in the place of ``seconds``."""
    moments: tuple[Moment, ...] = ()
    """In the order of time, each second once."""
    hands_busy: bool = False
    """Hands are busy from the start: Lapcall soon sleeps."""


@dataclass(frozen=True, slots=True)
class Judge(Step):
    """Judge the strip from the answers before, and say the verdict. ``say`` may be empty."""

    width: str = ""
    """Id of the value step that holds the width."""
    mode: str = ""
    """Id of the choice step that holds the failure mode; see ``weld.verdict.FailureMode``."""
    solid: str = ""
    """Id of the optional value step that holds the solid width where a void was found, or empty."""
    heat: str = ""
    """Id of the choice step that holds heat marks (``none``, ``bleed-out``, ``burn``), or empty."""
    pull: str = ""
    """Id of the choice step that holds the pull (``steady``, ``jerked``), or empty."""
    limits: WidthLimits = field(default_factory=WidthLimits)
    on_fail: str = ""
    """Id of the step to go back to after any verdict but a pass."""
    on_fail_say: str = ""
    """What to do after a fail, spoken before going back."""
    cap: Cap | None = None


@dataclass(frozen=True, slots=True)
class Look(Step):
    """Say what the work so far calls for. ``say`` may be empty. Found something: yes, else no."""

    of: str = "conditions"
    """``"conditions"`` (weather and supply, from the latest answers of this run to questions with a
    ``quantity``), ``"tests"`` (is a peel test due) or ``"suspects"`` (lengths in question)."""

    weather: WeatherLimits = field(default_factory=WeatherLimits)
    power: PowerLimits = field(default_factory=PowerLimits)
    gun: Gun | None = None
    """What the plate on the gun says; without it nothing is said of the supply."""


@dataclass(frozen=True, slots=True)
class Procedure:
    """One checklist."""

    id: str
    title: str
    version: str
    source: str
    """File name, for messages."""
    digest: str
    """SHA-256 of the file's bytes: the record says by which text the work was done."""
    steps: tuple[Step, ...]

    def index(self, step_id: str) -> int:
        """Return the place of a step; raises ``KeyError`` for an unknown id."""
        for place, step in enumerate(self.steps):
            if step.id == step_id:
                return place
        raise KeyError(step_id)
