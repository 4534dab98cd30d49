"""Width limits of a weld: data of a procedure, never constants of the program.

Imports nothing of ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class WidthLimits:
    """The film-tearing width that a strip must show, in inches.

    One inch to one and a half for hand welds is common practice without a published source;
    the sheet maker's written limits rule where they differ.
    """

    least_in: Fraction = Fraction(1)
    most_in: Fraction = Fraction(3, 2)
    rule_step_in: Fraction = Fraction(1, 16)
    """The smallest mark that is read on the rule."""
