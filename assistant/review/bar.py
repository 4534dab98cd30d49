"""A strip's width drawn against its limits: the geometry alone. Imports ``widths``; pure.

The page draws it; this file only says what stands where, in units of a drawing 640 wide.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from assistant.review.widths import inches
from assistant.weld.limits import WidthLimits

WIDE = 640
_LEFT, _RIGHT = 16, 624
_ROOM_IN = Fraction(1, 2)
"""What is shown beyond the greatest of width and limits."""
_LABEL_WIDE = 160


@dataclass(frozen=True, slots=True)
class Mark:
    """A place with a label."""

    x: int
    label: str


@dataclass(frozen=True, slots=True)
class Bar:
    """Where everything stands."""

    left: int
    right: int
    least: Mark
    most: Mark
    width: Mark | None
    """None where no width was heard."""
    inside: bool
    """The label of the width stands in the bar, which is long enough for it."""
    solid: Mark | None
    ticks: tuple[Mark, ...]
    """Whole and half inches; only whole ones have a label."""
    told: str
    """The same in words, for those who do not see it."""


def bar(width_in: Fraction | None, solid_in: Fraction | None, limits: WidthLimits) -> Bar:
    """Return the drawing of a width, and of a solid part beside a void, against limits."""
    greatest = max(limits.most_in, width_in or Fraction(0), solid_in or Fraction(0))
    span = greatest + _ROOM_IN

    def place(value_in: Fraction) -> int:
        return _LEFT + round(value_in / span * (_RIGHT - _LEFT))

    def mark(value_in: Fraction) -> Mark:
        return Mark(place(value_in), inches(value_in))

    halves = [Fraction(number, 2) for number in range(int(span * 2) + 1)]
    width = None if width_in is None else mark(width_in)
    return Bar(
        left=_LEFT,
        right=_RIGHT,
        least=mark(limits.least_in),
        most=mark(limits.most_in),
        width=width,
        inside=width is not None and width.x - _LEFT >= _LABEL_WIDE,
        solid=None if solid_in is None else mark(solid_in),
        ticks=tuple(
            Mark(place(half), str(half) if half.denominator == 1 else "") for half in halves
        ),
        told=_told(width_in, solid_in, limits),
    )


def _told(width_in: Fraction | None, solid_in: Fraction | None, limits: WidthLimits) -> str:
    width = "No width was heard" if width_in is None else f"Width {inches(width_in)}"
    solid = "" if solid_in is None else f", solid part {inches(solid_in)}"
    return f"{width}{solid}; allowed is {inches(limits.least_in)} to {inches(limits.most_in)}"
