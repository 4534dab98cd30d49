"""What cord, volts and generator call for. Imports ``power``, ``units`` and ``cautions``.

``look_at_power`` is pure and exact. The thresholds are data of the job; each default names its
source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from assistant.weld import cautions as about
from assistant.weld import power
from assistant.weld.cautions import Caution
from assistant.weld.power import AtGun, Cord, Gun, Sizing, SourceLoad
from assistant.weld.units import Outside

THIN_CORD = Caution("The cord is thinner than is usual for a hand welder.", about.PRACTICE)
JOINED_CORDS = Caution(
    "Cords are joined. Each plug loses volts and can get hot or wet. Use one piece, uncoiled.",
    about.PRACTICE,
)
VOLTS_LOST = Caution(
    "The cord loses more volts than is advised. A shorter or thicker cord loses less.",
    about.CODE_NOTE,
)
VOLTS_LOST_MUCH = Caution(
    "The cord loses many volts. Use a shorter or thicker cord before you weld.", about.CODE_NOTE
)
LESS_HEAT = Caution(
    "The gun gets clearly less heat than its plate says. That makes cold welds. Better the cord "
    "or the source, and make a test weld with this one before the seam.",
    about.SIMPLE_MODEL,
)
FEW_VOLTS = Caution(
    "Far too few volts reach the gun. Do not weld with it. Change the cord or the source.",
    about.SIMPLE_MODEL,
)
MANY_VOLTS = Caution(
    "The gun gets more volts than its plate says. It runs hotter, and may burn the sheet or its "
    "element. Look at the source.",
    about.SIMPLE_MODEL,
)
LOSS_UNEXPLAINED = Caution(
    "More volts are lost than the cord explains. Look for a hot plug, a coil of cord, a sagging "
    "generator or another tool on the line.",
    about.SIMPLE_MODEL,
)
GENERATOR_SMALL = Caution(
    "The generator is too small for what runs on it. Take something off it, or use a larger one.",
    about.MAKERS_RULE,
)
GENERATOR_TIGHT = Caution(
    "The generator has little left. It may sag when anything starts. Weld with nothing else on it.",
    about.MAKERS_RULE,
)
CIRCUIT_SMALL = Caution(
    "The gun takes more than this circuit gives. Use a larger one.", about.CODE_RULE
)
CIRCUIT_TIGHT = Caution(
    "The circuit is small for hours of welding, and may trip. Use a larger one.", about.CODE_RULE
)
SHARED_SOURCE = Caution(
    "Other tools share the source. When one starts the gun gets colder and the weld goes cold. "
    "Weld with nothing else on it.",
    about.PRACTICE,
)

CAUTIONS = (
    THIN_CORD,
    JOINED_CORDS,
    VOLTS_LOST,
    VOLTS_LOST_MUCH,
    LESS_HEAT,
    FEW_VOLTS,
    MANY_VOLTS,
    LOSS_UNEXPLAINED,
    GENERATOR_SMALL,
    GENERATOR_TIGHT,
    CIRCUIT_SMALL,
    CIRCUIT_TIGHT,
    SHARED_SOURCE,
)

NOT_MEASURED = (
    "The volts at the gun were worked out, not measured. Measure them at the gun while it heats."
)
NO_VOLTS = "Neither the cord nor the volts at the gun are known, so its heat cannot be told."
UNKNOWN = (NOT_MEASURED, NO_VOLTS)

NOTHING_CAUGHT = (
    "Nothing in these figures calls for a caution. That is no promise. Measure the volts at the "
    "gun while it heats, and let the peel test decide."
)


@dataclass(frozen=True, slots=True)
class PowerLimits:
    """From where on a caution is given. Defaults; a job may set its own."""

    volts_lost: Fraction = Fraction(3, 100)
    """Share of the source's volts lost in the cord: note in the National Electrical Code (memory);
    so is the next."""
    volts_lost_much: Fraction = Fraction(5, 100)
    least_heat: Fraction = Fraction(90, 100)
    """Share of the rated watts under which less heat is told of (judgement)."""
    over_volts: Fraction = Fraction(5, 100)
    """Share over the rated volts from which more heat is told of (judgement)."""
    unexplained: Fraction = Fraction(3, 100)
    """Share of the source's volts lost beyond what the cord explains (judgement)."""
    thinnest_awg: int = 12
    """Common practice for a hand welder on 120 V; cords in mm2 are not held to it."""
    margin: Fraction = Fraction(5, 4)
    """Of a source over its load for hours (from memory)."""
    altitude_loss_per_kft: Fraction = Fraction(4, 100)
    """Of a generator's rating for each 1000 ft (from memory: 3 to 4 percent)."""


@dataclass(frozen=True, slots=True)
class Power:
    """What is known of the supply; None is what is not."""

    gun: Gun
    cords: tuple[Cord, ...] = ()
    source_volts: Fraction | None = None
    """At the outlet, best while the gun heats; else the gun's rated volts are taken."""
    measured_volts: Fraction | None = None
    """At the gun, while it heats. What it leaves of the heat is then reckoned from this alone."""
    wire_c: Fraction | None = None
    """Of the wire in the cord; unknown, it is taken for hot, and the best case for cool."""
    generator_w: Fraction | None = None
    """What it gives for hours."""
    also_w: tuple[Fraction, ...] = ()
    """Running watts of everything else on the source."""
    altitude_ft: Fraction = Fraction(0)
    circuit_a: Fraction | None = None


@dataclass(frozen=True, slots=True)
class PowerFound:
    """What follows; None where too little is known."""

    cord_ohm: Fraction | Outside | None
    by_cord: AtGun | Outside | None
    """What the cord leaves at least, which is with a hot wire."""
    by_cord_most: AtGun | Outside | None
    """What it leaves at most, with a cool wire; the same where the wire's temperature is known."""
    measured: AtGun | Outside | None
    """What the measured volts leave."""
    lost_in_cord: Fraction | None
    """Share of the source's volts."""
    generator: SourceLoad | Outside | None
    circuit: SourceLoad | None
    cautions: tuple[Caution, ...]
    unknown: tuple[str, ...]

    @property
    def at_gun(self) -> AtGun | Outside | None:
        """Return what counts: the measured volts before the worked out."""
        return self.by_cord if self.measured is None else self.measured


def look_at_power(seen: Power, limits: PowerLimits | None = None) -> PowerFound:
    """Return what follows from the supply, and the cautions, those about heat first.

    Sources: each formula names its own in ``power``. Raises ``ValueError`` for what cannot be.
    """
    limits = limits or PowerLimits()
    source = seen.gun.volts if seen.source_volts is None else seen.source_volts
    hot_c, cool_c = (power.HOT_WIRE_C, power.COOL_WIRE_C)
    if seen.wire_c is not None:
        hot_c = cool_c = seen.wire_c
    ohm = power.cord_ohm(seen.cords, hot_c) if seen.cords else None
    by_cord = _through(seen, source, ohm)
    most = _through(seen, source, power.cord_ohm(seen.cords, cool_c) if seen.cords else None)
    measured = None if seen.measured_volts is None else power.at_gun(seen.gun, seen.measured_volts)
    lost = _lost(seen.gun, source, ohm)
    generator = _generator(seen, limits)
    circuit = _circuit(seen, limits)
    found = (
        *_of_heat(by_cord if measured is None else measured, limits),
        *_of_loss(seen, lost, source, limits),
        *_of_cords(seen.cords, limits),
        *_of_source(generator, circuit, shared=bool(seen.also_w)),
    )
    unknown = _unknown(ohm, measured, generator)
    return PowerFound(ohm, by_cord, most, measured, lost, generator, circuit, found, unknown)


def _through(
    seen: Power, source: Fraction, ohm: Fraction | Outside | None
) -> AtGun | Outside | None:
    if not isinstance(ohm, Fraction):
        return ohm
    return power.at_gun(seen.gun, power.volts_through_cord(seen.gun, source, ohm))


def _lost(gun: Gun, source: Fraction, ohm: Fraction | Outside | None) -> Fraction | None:
    if not isinstance(ohm, Fraction):
        return None
    return 1 - power.volts_through_cord(gun, source, ohm) / source


def _circuit(seen: Power, limits: PowerLimits) -> SourceLoad | None:
    if seen.circuit_a is None:
        return None
    return power.circuit_load(seen.gun, seen.circuit_a, limits.margin)


def _unknown(
    ohm: Fraction | Outside | None,
    measured: AtGun | Outside | None,
    generator: SourceLoad | Outside | None,
) -> tuple[str, ...]:
    """Return what could not be told, so that nobody takes silence for good supply."""
    outside = tuple(each.reason for each in (ohm, generator) if isinstance(each, Outside))
    if measured is not None:
        return outside
    return (*outside, NO_VOLTS if ohm is None else NOT_MEASURED)


def _generator(seen: Power, limits: PowerLimits) -> SourceLoad | Outside | None:
    if seen.generator_w is None:
        return None
    loads = (seen.gun.watts, *seen.also_w)
    return power.generator_load(
        loads, seen.generator_w, limits.margin, seen.altitude_ft, limits.altitude_loss_per_kft
    )


def _of_heat(found: AtGun | Outside | None, limits: PowerLimits) -> tuple[Caution, ...]:
    if found is None:
        return ()
    if isinstance(found, Outside):
        by_reason = {power.TOO_FEW_VOLTS: FEW_VOLTS, power.TOO_MANY_VOLTS: MANY_VOLTS}
        return (by_reason[found],) if found in by_reason else ()
    if found.share_of_volts > 1 + limits.over_volts:
        return (MANY_VOLTS,)
    return (LESS_HEAT,) if found.share_of_heat < limits.least_heat else ()


def _of_loss(
    seen: Power, lost: Fraction | None, source: Fraction, limits: PowerLimits
) -> tuple[Caution, ...]:
    if lost is None:
        return ()
    found: tuple[Caution, ...] = ()
    if lost > limits.volts_lost:
        found = (VOLTS_LOST_MUCH if lost > limits.volts_lost_much else VOLTS_LOST,)
    if seen.measured_volts is None:
        return found
    beyond = 1 - seen.measured_volts / source - lost
    return (*found, LOSS_UNEXPLAINED) if beyond > limits.unexplained else found


def _of_cords(cords: tuple[Cord, ...], limits: PowerLimits) -> tuple[Caution, ...]:
    gauges = [cord.conductor.awg for cord in cords]
    thin = any(awg is not None and awg > limits.thinnest_awg for awg in gauges)
    return (*((THIN_CORD,) if thin else ()), *((JOINED_CORDS,) if len(cords) > 1 else ()))


def _of_source(
    generator: SourceLoad | Outside | None, circuit: SourceLoad | None, *, shared: bool
) -> tuple[Caution, ...]:
    found: list[Caution] = []
    if isinstance(generator, SourceLoad):
        by_sizing = {Sizing.TOO_SMALL: GENERATOR_SMALL, Sizing.LITTLE_LEFT: GENERATOR_TIGHT}
        found += [by_sizing[generator.sizing]] if generator.sizing in by_sizing else []
    if circuit is not None:
        by_sizing = {Sizing.TOO_SMALL: CIRCUIT_SMALL, Sizing.LITTLE_LEFT: CIRCUIT_TIGHT}
        found += [by_sizing[circuit.sizing]] if circuit.sizing in by_sizing else []
    return (*found, SHARED_SOURCE) if shared else tuple(found)
