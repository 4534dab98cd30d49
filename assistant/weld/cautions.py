"""A spoken caution, and what every caution must say of its own limits. Imports nothing of ours.

A caution is never a weld limit and its absence is never a promise: visible damp, the eye and the
peel test always win. Words only, no figures: the limits behind them are data of the job.
"""

from __future__ import annotations

from dataclasses import dataclass

PAINTING_RULE = (
    "That is a rule for painting steel, borrowed here. No weld standard sets it. "
    "Damp that you see or feel always counts more."
)
LINER_RULE = "That is a rule for lining membranes, borrowed here. It is not a roof weld standard."
WIND_RULE = "That is a working rule about loads and people. It is not a weld standard."
PRACTICE = "That is common practice. It is not a weld standard."
HEAT_RULE = "That is a rule for work in heat, in shade. It cannot tell how a person feels."
CHILL_RULE = "Wind chill is about bare skin. It says nothing about the sheet."
CODE_NOTE = "That is advice from the wiring code. It is not law, and not a weld standard."
CODE_RULE = "That is a rule of thumb from the wiring code. It is not a weld standard."
SIMPLE_MODEL = (
    "That comes from a simple model. Volts measured at the gun while it heats count more, "
    "and the peel test decides."
)
MAKERS_RULE = "That is a general rule. The plate and the maker's manual count more."
PLAIN = "The peel test decides."

ABOUT = (
    PAINTING_RULE,
    LINER_RULE,
    WIND_RULE,
    PRACTICE,
    HEAT_RULE,
    CHILL_RULE,
    CODE_NOTE,
    CODE_RULE,
    SIMPLE_MODEL,
    MAKERS_RULE,
    PLAIN,
)


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to look out for."""

    say: str
    """What it is and what to do, in whole sentences without figures."""
    about: str
    """Where the rule comes from and what it is not; always said with it."""

    @property
    def spoken(self) -> str:
        """Return all of it, ready for the mouth."""
        return f"{self.say} {self.about}"
