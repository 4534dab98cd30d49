"""Cord, volts and heat at the gun, generator and circuit. Imports ``units`` only.

All exact (``Fraction``): every formula here is rational. A simple model on purpose: a heater is
taken for a fixed resistor. The fan slows too, a gun with its own control holds its heat until it
cannot, a source sags, plugs lose volts: measure at the gun while it heats.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from assistant.weld.units import M_PER_FT, Outside

WIRE_RANGE_C = (Fraction(-40), Fraction(90))
"""Where a straight line is good enough for copper, and insulation lasts (judgement)."""
VOLTS_RANGE = (Fraction(7, 10), Fraction(11, 10))
"""Share of the rated volts within which a heater is taken for a fixed resistor (judgement)."""
MOST_ALTITUDE_FT = 10_000
"""Up to where the straight line for altitude is used (judgement)."""
HOT_WIRE_C = Fraction(75)
"""What a cord is reckoned at unless it is known: the cautious side, and the wiring code's table."""
COOL_WIRE_C = Fraction(20)
"""The kinder side, for a cord that has just been laid out on a mild day."""

WIRE_OUTSIDE = Outside("The cord is colder or hotter than the resistance table is good for.")
TOO_FEW_VOLTS = Outside("So few volts reach the gun that the simple model no longer holds.")
TOO_MANY_VOLTS = Outside("So many volts reach the gun that the simple model no longer holds.")
TOO_HIGH_UP = Outside("This is higher up than the rule for generators goes. Ask its maker.")

OUTSIDE = (WIRE_OUTSIDE, TOO_FEW_VOLTS, TOO_MANY_VOLTS, TOO_HIGH_UP)
"""Everything that these functions say instead of a number, for rendering ahead of need."""


@dataclass(frozen=True, slots=True)
class Conductor:
    """One copper wire of a cord."""

    name: str
    ohm_per_km: Fraction
    at_c: Fraction
    """The temperature for which its table gives the resistance."""
    per_c: Fraction
    """How much of it each degree adds."""
    awg: int | None = None


def _awg(number: int, ohm_per_kft: str) -> Conductor:
    per_km = Fraction(ohm_per_kft) / M_PER_FT
    return Conductor(f"{number} AWG", per_km, Fraction(75), Fraction("0.00323"), number)


def _mm2(size: str, ohm_per_km: str) -> Conductor:
    return Conductor(f"{size} mm2", Fraction(ohm_per_km), Fraction(20), Fraction("0.00393"))


BY_AWG = {
    18: _awg(18, "7.95"),
    16: _awg(16, "4.99"),
    14: _awg(14, "3.14"),
    12: _awg(12, "1.98"),
    10: _awg(10, "1.24"),
    8: _awg(8, "0.778"),
}
"""Stranded, uncoated, ohm per 1000 ft at 75 C: NEC chapter 9, table 8, seen at
http://www.sfasoft.com/look/35/Conductor_Properties; 0.00323 per C is the table's own (memory)."""
BY_MM2 = {
    Fraction("1.5"): _mm2("1.5", "13.3"),
    Fraction("2.5"): _mm2("2.5", "7.98"),
    Fraction(4): _mm2("4", "4.95"),
}
"""Class 5, plain, ohm per km at 20 C, the most allowed: IEC 60228; 0.00393 per C is that of copper
(memory). A table at 20 C beside one at 75 C is how errors of a fifth are made: each conductor knows
its own."""


@dataclass(frozen=True, slots=True)
class Cord:
    """One cord; its length is counted once, though the current goes there and back."""

    conductor: Conductor
    length_m: Fraction


@dataclass(frozen=True, slots=True)
class Gun:
    """What the plate on the gun says."""

    watts: Fraction
    volts: Fraction
    holds_heat: bool = False
    """It has its own control and adds heat until it cannot."""


@dataclass(frozen=True, slots=True)
class AtGun:
    """What arrives at the gun while it heats."""

    volts: Fraction
    amps: Fraction
    watts: Fraction
    share_of_volts: Fraction
    """Of the rated volts."""
    share_of_heat: Fraction
    """Of the rated watts: the square of ``share_of_volts``."""
    air_heat_least: Fraction
    air_heat_most: Fraction
    """Bounds of what is left of the air's rise in temperature, since the fan slows as well."""


class Sizing(Enum):
    """Whether a source carries its load."""

    ENOUGH = "enough"
    LITTLE_LEFT = "little left"
    TOO_SMALL = "too small"


@dataclass(frozen=True, slots=True)
class SourceLoad:
    """A load on a generator, in watts, or on a circuit, in amperes."""

    load: Fraction
    rating: Fraction
    """What it carries for hours, less what altitude takes."""
    share: Fraction
    sizing: Sizing


def resistance_ohm_per_km(conductor: Conductor, wire_c: Fraction) -> Fraction | Outside:
    """Return the resistance of one wire: R1 (1 + a (T2 - T1)).

    Source: note to NEC chapter 9, table 8 (a 0.00323 at 75 C); IEC 60228 (0.00393 at 20 C).
    """
    if not WIRE_RANGE_C[0] <= wire_c <= WIRE_RANGE_C[1]:
        return WIRE_OUTSIDE
    return conductor.ohm_per_km * (1 + conductor.per_c * (wire_c - conductor.at_c))


def cord_ohm(cords: Sequence[Cord], wire_c: Fraction = HOT_WIRE_C) -> Fraction | Outside:
    """Return the resistance there and back: 2 L r, summed over cords plugged into each other.

    Source: Ohm's law; plugs are not counted. Raises ``ValueError`` for a cord without length.
    """
    total = Fraction(0)
    for cord in cords:
        if cord.length_m <= 0:
            raise ValueError("a cord is longer than nought")
        per_km = resistance_ohm_per_km(cord.conductor, wire_c)
        if isinstance(per_km, Outside):
            return per_km
        total += 2 * cord.length_m / 1000 * per_km
    return total


def volts_through_cord(gun: Gun, source_volts: Fraction, ohm: Fraction) -> Fraction:
    """Return the volts at the gun: V = Vs Rl/(Rl + Rc), Rl = V0^2/P0.

    Source: Ohm's law with the heater as a fixed resistor. ``source_volts`` is at the outlet, best
    measured while the gun heats, since a source sags.
    """
    _check_positive(gun.watts, gun.volts, source_volts)
    if ohm < 0:
        raise ValueError("a resistance is not less than nought")
    heater_ohm = gun.volts**2 / gun.watts
    return source_volts * heater_ohm / (heater_ohm + ohm)


def at_gun(gun: Gun, volts: Fraction) -> AtGun | Outside:
    """Return what ``volts`` at the gun, worked out or measured while it heats, leave of its heat.

    Source: P = P0 (V/V0)^2 for a fixed resistor. The air's rise is P/(flow x heat capacity): with
    a fan that keeps its speed it falls as the watts do, with one that slows in step with the volts
    only as V/V0; the truth lies between (judgement). A gun that holds its heat may lose none.
    """
    _check_positive(gun.watts, gun.volts, volts)
    share = volts / gun.volts
    if not VOLTS_RANGE[0] <= share <= VOLTS_RANGE[1]:
        return TOO_FEW_VOLTS if share < 1 else TOO_MANY_VOLTS
    ends = sorted({share, share**2, Fraction(1)} if gun.holds_heat else {share, share**2})
    amps = volts * gun.watts / gun.volts**2
    return AtGun(volts, amps, volts * amps, share, share**2, ends[0], ends[-1])


def constant_current_drop_volts(gun: Gun, ohm: Fraction) -> Fraction:
    """Return the shortcut I R, with the amperes of the plate: always more than a heater loses.

    Source: common practice; I = P0/V0.
    """
    _check_positive(gun.watts, gun.volts)
    return gun.watts / gun.volts * ohm


def generator_load(
    loads_w: Sequence[Fraction],
    continuous_w: Fraction,
    margin: Fraction = Fraction(5, 4),
    altitude_ft: Fraction = Fraction(0),
    loss_per_kft: Fraction = Fraction(4, 100),
) -> SourceLoad | Outside:
    """Return how much of a generator all its running loads take together.

    Enough: the load times ``margin`` fits. Source: 125 % for continuous loads, and 3 to 4 percent
    less for each 1000 ft (both from memory; the larger is taken).
    """
    _check_positive(continuous_w, margin, *loads_w)
    if altitude_ft < 0 or loss_per_kft < 0:
        raise ValueError("an altitude is not less than nought")
    left = 1 - loss_per_kft * altitude_ft / 1000
    if altitude_ft > MOST_ALTITUDE_FT or left <= 0:
        return TOO_HIGH_UP
    return _sized(sum(loads_w, Fraction(0)), continuous_w * left, margin)


def circuit_load(gun: Gun, circuit_a: Fraction, margin: Fraction = Fraction(5, 4)) -> SourceLoad:
    """Return how much of a circuit the gun takes: I = P0/V0, times ``margin`` for hours of use.

    Source: 125 % for continuous loads (National Electrical Code, from memory).
    """
    _check_positive(gun.watts, gun.volts, circuit_a, margin)
    return _sized(gun.watts / gun.volts, circuit_a, margin)


def _sized(load: Fraction, rating: Fraction, margin: Fraction) -> SourceLoad:
    if load > rating:
        sizing = Sizing.TOO_SMALL
    else:
        sizing = Sizing.LITTLE_LEFT if load * margin > rating else Sizing.ENOUGH
    return SourceLoad(load, rating, load / rating, sizing)


def _check_positive(*values: Fraction) -> None:
    if any(value <= 0 for value in values):
        raise ValueError("watts, volts, amperes and margins are above nought")
