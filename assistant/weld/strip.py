"""One peeled strip as it was answered: what can be said of it. Imports nothing of ours."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction


class FailureMode(Enum):
    """How the strip came apart."""

    FILM_TEARING = "film-tearing"
    CLEAN_PEEL = "clean-peel"
    PARTLY = "partly"
    AT_SCRIM = "at-scrim"
    """The sheet split in the plane of its scrim: in reinforced sheet the weld held."""
    AT_GRIP = "at-grip"
    """It broke where it was held, so the weld was not tried."""


class Pull(Enum):
    """How the strip was pulled."""

    STEADY = "steady"
    JERKED = "jerked"


class HeatMarks(Enum):
    """What heat left at the edge."""

    NONE = "none"
    BLEED_OUT = "bleed-out"
    BURN = "burn"


class Defect(Enum):
    """What was seen on the strip, in the words of the trade."""

    VOID = "void"
    """A pocket that never joined."""
    BLEED_OUT = "bleed-out"
    """Melt squeezed past the edge, heavy or dark."""
    BURN = "burn"
    """Brown, yellow or blistered sheet, or scrim laid bare by heat."""
    DIRT = "dirt"
    """Adhesive, dust or cleaner between the sheets."""
    FISHMOUTH = "fishmouth"
    """An open wave in the edge of the lap."""
    MISSED = "missed"
    """A length that was never welded."""
    WRINKLE = "wrinkle"
    """A fold in the top sheet."""
    STITCH_MARKS = "stitch-marks"
    """A row of dents from the roller's edge."""
    BRIDGING = "bridging"
    """Sheet that stands off what is under it."""
    TELEGRAPHING = "telegraphing"
    """What is under the sheet shows through."""
    SCUFFED = "scuffed"
    """A surface that was rubbed."""


class Lean(Enum):
    """Which way a hedge leans; never how far."""

    OVER = "over"
    UNDER = "under"
    ABOUT = "about"


@dataclass(frozen=True, slots=True)
class PeelTest:
    """One strip as it was answered; None is what was not heard or not stated. Widths in inches."""

    width_in: Fraction | None
    """Width of the whole bond at its narrowest."""
    lean: Lean | None
    """The hedge beside the width, or None for a plain reading."""
    mode: FailureMode | None
    solid_in: Fraction | None
    """Widest solid part beside a void, or None where the bond is whole."""
    heat: HeatMarks | None
    solid_lean: Lean | None = None
    """The hedge beside the solid width."""
    solid_unheard: bool = False
    """There may be a void, and the solid width was not heard."""
    pull: Pull | None = Pull.STEADY
    """Steady unless it was asked for: the strip is then pulled as it was told."""
    defects: frozenset[Defect] = frozenset()
    number: int | None = None
    """The number written on the strip."""
    strip_in: Fraction | None = None
    """Width of the strip itself, or None where it was not measured."""
    across: bool | None = True
    """It was cut across the weld and not along it. True unless it was asked for."""

    @property
    def seen(self) -> frozenset[Defect]:
        """All that was seen, the heat marks among it."""
        heat = {HeatMarks.BLEED_OUT: Defect.BLEED_OUT, HeatMarks.BURN: Defect.BURN}
        marks = {heat[self.heat]} if self.heat in heat else set()
        void = {Defect.VOID} if self.solid_in is not None else set()
        return self.defects | marks | void
