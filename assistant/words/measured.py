"""What is measured beside widths: units, how they are said, and what is plausible.

Imports ``meaning``. Data only: ``measured_phrases`` makes grammars of it, ``readback`` words.
To measure something new, add a ``Quantity`` (and, if need be, a ``Unit``) here, a phrase of its
number there if it has one of its own, and rows to the table in ``tests/words``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

UNHEARD = frozenset({"celsius", "centigrade", "knot", "knots"})
"""Words that the recogniser's lexicon lacks as yet: they are said, and not listened for."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as it is heard and said."""

    heard: tuple[str, ...]
    """Every way to say it behind a number; it may be left out."""
    one: str
    """How Lapcall says it behind one."""
    many: str
    signed: bool = False
    """Values below zero occur."""


_MILES = ("miles an hour", "miles per hour", "mile an hour", "miles")
# The singular alone: the lexicon lacks the other, and before "an" nobody hears a difference.
_KILOMETERS = ("kilometer an hour", "kilometer per hour")
_METERS_A_SECOND = ("meters a second", "meters per second")
_KNOTS = ("knots", "knot")
_FAHRENHEIT = ("fahrenheit", "degrees fahrenheit")
_CELSIUS = ("celsius", "degrees celsius", "centigrade", "degrees centigrade")

UNITS: dict[str, Unit] = {
    "F": Unit(("degrees", *_FAHRENHEIT), "degree fahrenheit", "degrees fahrenheit", signed=True),
    "C": Unit(("degrees", *_CELSIUS), "degree celsius", "degrees celsius", signed=True),
    "percent": Unit(("percent",), "percent", "percent"),
    "mph": Unit(_MILES, "mile an hour", "miles an hour"),
    "km/h": Unit(_KILOMETERS, "kilometer an hour", "kilometers an hour"),
    "m/s": Unit(_METERS_A_SECOND, "meter a second", "meters a second"),
    "knots": Unit(_KNOTS, "knot", "knots"),
    "V": Unit(("volts", "volt"), "volt", "volts"),
    "ft": Unit(("feet", "foot"), "foot", "feet"),
    "m": Unit(("meters",), "meter", "meters"),
    "AWG": Unit(("gauge",), "gauge", "gauge"),
    "mark": Unit((), "", ""),
}
"""By the names that checklists and the record use. Lengths in inches and plain counts are not
among them: ``widths`` and ``numbers`` hold those."""

GAUGES = (8, 10, 12, 14, 16, 18)
"""The sizes of flexible cord, American wire gauge: even numbers only."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something that a checklist may ask for."""

    called: str
    """How it is read back, unless the checklist gives it another name."""
    plausible: Mapping[str, tuple[Fraction, Fraction]]
    """For each unit that it may be asked in, the window outside of which Lapcall asks again."""
    leads: tuple[str, ...] = ()
    """What may be said in front of the number."""
    behind: tuple[str, ...] = ()
    """What may be said behind the unit."""
    estimates: bool = False
    """It is judged by eye, so "about ten" is an answer; "about" is kept as said."""
    none: tuple[str, ...] = ()
    """Words that mean zero."""
    with_inches: bool = False
    """Feet may have inches behind them."""


def _window(low: int, high: int) -> tuple[Fraction, Fraction]:
    return Fraction(low), Fraction(high)


# Plausible, not allowed: far outside what a roof sees, so that nothing true is refused.
_SPEEDS = {
    "mph": _window(0, 60),
    "km/h": _window(0, 100),
    "m/s": _window(0, 27),
    "knots": _window(0, 52),
}

QUANTITIES: dict[str, Quantity] = {
    "air-temperature": Quantity(
        called="air",
        plausible={"F": _window(-40, 130), "C": _window(-40, 55)},
        leads=("air", "temperature", "air temperature"),
    ),
    "sheet-temperature": Quantity(
        called="sheet",
        # A dark sheet in the summer sun is far hotter than the air.
        plausible={"F": _window(-40, 200), "C": _window(-40, 95)},
        leads=("sheet", "temperature", "sheet temperature"),
    ),
    "humidity": Quantity(
        called="humidity", plausible={"percent": _window(1, 100)}, leads=("humidity",)
    ),
    "wind": Quantity(
        called="wind", plausible=_SPEEDS, leads=("wind",), estimates=True, none=("calm",)
    ),
    "volts": Quantity(
        called="voltage", plausible={"V": _window(80, 280)}, leads=("power", "supply")
    ),
    "cord-length": Quantity(
        called="cord",
        plausible={"ft": _window(3, 500), "m": _window(1, 150)},
        leads=("cord",),
        behind=("cord", "of cord"),
        estimates=True,
    ),
    "cord-gauge": Quantity(
        called="cord",
        plausible={"AWG": _window(GAUGES[0], GAUGES[-1])},
        leads=("cord", "gauge", "number"),
        behind=("cord",),
    ),
    "seam-length": Quantity(
        called="seam length",
        plausible={"ft": _window(1, 999), "m": _window(1, 300)},
        behind=("of seam",),
        estimates=True,
        with_inches=True,
    ),
    "seam-place": Quantity(
        called="place",
        plausible={"ft": _window(0, 999), "m": _window(0, 300)},
        leads=("at",),
        estimates=True,
        with_inches=True,
    ),
    "dial": Quantity(
        called="dial",
        plausible={"mark": _window(0, 10)},
        leads=("dial", "mark", "setting", "number"),
    ),
}
"""By the names that checklists use."""


def heard(unit: str) -> tuple[str, ...]:
    """Return every way to say ``unit`` that the recogniser can hear."""
    return tuple(text for text in UNITS[unit].heard if not UNHEARD & set(text.split()))


def heard_elsewhere(quantity: Quantity, unit: str) -> tuple[str, ...]:
    """Return how other units of ``quantity`` are said, which are then no answer in ``unit``."""
    own = heard(unit)
    others = (text for other in quantity.plausible if other != unit for text in heard(other))
    return tuple(dict.fromkeys(text for text in others if text not in own))
