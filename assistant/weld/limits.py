"""Limits of a weld: data of a procedure, never constants of the program.

Imports nothing of ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class WidthLimits:
    """The film-tearing width that a strip must show, in inches, and how well it is read.

    One inch to one and a half for hand welds is common practice without a published source;
    the sheet maker's written limits rule where they differ.
    """

    least_in: Fraction = Fraction(1)
    most_in: Fraction = Fraction(3, 2)
    rule_step_in: Fraction = Fraction(1, 16)
    """The smallest mark that is read on the rule."""
    edges: int = 1
    """How many edges are read: 1 where an end of the rule is laid on one edge, else 2."""
    coverage: Fraction = Fraction(1645, 1000)
    """Standard uncertainties in the guard band. 1.645 leaves one reading in twenty on the wrong
    side (one-sided 95 % of the normal distribution, the usual guard of ISO 14253-1)."""
    strip_least_in: Fraction | None = None
    """The least width of the strip itself, or None where none is asked for."""
