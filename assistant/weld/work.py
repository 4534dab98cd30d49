"""What was done on a roof, as far as the proof of a seam needs it.

Imports nothing of ours. Everything has an ``id`` of its own, so that copies of a record can be
merged: the same id is the same thing, and the order in which things are given never matters.
Places are exact feet from the seam's start. Times are aware.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import datetime
from fractions import Fraction
from typing import TypeVar

Hand = tuple[str | None, str | None]
"""Welder and gun: published practice tracks proof by the machine and by who holds it
(https://dnrweblink.state.co.us/DRMSSearch/0/doc/973583/Page62.aspx). None was not stated."""


@dataclass(frozen=True, slots=True)
class SetUp:
    """What a test speaks for. None is what nobody stated, and is never taken for a change."""

    welder: str | None = None
    gun: str | None = None
    nozzle: str | None = None
    dial: str | None = None
    roller: str | None = None
    power: str | None = None
    """Source and cord."""
    lot: str | None = None
    """Lot or roll of the sheet."""

    @property
    def hand(self) -> Hand:
        """Return welder and gun."""
        return (self.welder, self.gun)


PARTS = tuple(part.name for part in fields(SetUp))
"""The parts of a set-up, by name."""


@dataclass(frozen=True, slots=True)
class Weld:
    """A run of finish weld along one seam."""

    id: str
    at: datetime
    """When it was done."""
    seam: str
    set_up: SetUp
    from_ft: Fraction = Fraction(0)
    to_ft: Fraction | None = None
    """Less than ``from_ft`` where it was welded that way round; None is the seam's end, wherever
    that is."""


@dataclass(frozen=True, slots=True)
class StripTest:
    """A peel test: on scrap where ``seam`` is None, else cut from that seam."""

    id: str
    at: datetime
    passed: bool | None
    """None is no verdict: it proves nothing and accuses nothing."""
    set_up: SetUp = SetUp()
    """Of a cut, what its weld says counts, and not this."""
    seam: str | None = None
    at_ft: Fraction | None = None
    """Where it was cut; None was not told."""


@dataclass(frozen=True, slots=True)
class Probe:
    """A length of lap edge that was probed cold."""

    id: str
    at: datetime
    seam: str
    clean: bool
    """False: the probe went in somewhere along this length."""
    from_ft: Fraction = Fraction(0)
    to_ft: Fraction | None = None
    """None is the seam's end."""


@dataclass(frozen=True, slots=True)
class Defect:
    """A fault that was seen or felt; it lasts until a later repair covers it."""

    id: str
    at: datetime
    seam: str
    kind: str
    """``void``, ``wrinkle`` and so on."""
    at_ft: Fraction | None = None
    """None was not told: then the whole seam is in question."""


@dataclass(frozen=True, slots=True)
class Repair:
    """A length that was welded again or patched.

    One whose place is not told would clear nothing, so there is none without it.
    """

    id: str
    at: datetime
    seam: str
    from_ft: Fraction
    to_ft: Fraction
    set_up: SetUp


@dataclass(frozen=True, slots=True)
class Work:
    """All of it, in any order."""

    welds: tuple[Weld, ...] = ()
    tests: tuple[StripTest, ...] = ()
    probes: tuple[Probe, ...] = ()
    defects: tuple[Defect, ...] = ()
    repairs: tuple[Repair, ...] = ()


_Thing = TypeVar("_Thing", Weld, StripTest, Probe, Defect, Repair)


def merged(*parts: Work) -> Work:
    """Return several records as one: each thing once, by its id.

    Raises:
        ValueError: one id stands for two different things.
    """
    return Work(
        welds=_once(thing for part in parts for thing in part.welds),
        tests=_once(thing for part in parts for thing in part.tests),
        probes=_once(thing for part in parts for thing in part.probes),
        defects=_once(thing for part in parts for thing in part.defects),
        repairs=_once(thing for part in parts for thing in part.repairs),
    )


def _once(things: Iterable[_Thing]) -> tuple[_Thing, ...]:
    found: dict[str, _Thing] = {}
    for thing in things:
        if found.setdefault(thing.id, thing) != thing:
            raise ValueError(f"'{thing.id}' names two different things")
    return tuple(found.values())
