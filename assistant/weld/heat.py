"""A simple model of how a sheet's skin warms: it ranks changes, to explain them. No verdicts.

Imports nothing of ours. One dimension, a thick sheet at one temperature, hot air that begins at
once: textbook conduction (Carslaw and Jaeger). How well the air hands over its heat is known to a
factor of two or three on a roof, and a factor of two in it is a factor of four in speed, so no
temperature, time or speed from here may be told as one, and none makes a dial mark or a pass.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum

LEAVES_OUT = (
    "wind that strips the hot air away",
    "the angle and the gap of the nozzle",
    "how well the pre-weld holds the air in",
    "the time from the nozzle to the roller",
    "pressure",
    "damp, dirt, and sheet that is old",
    "the heat that melting takes",
    "where the sheet burns",
    "sun and colour",
    "what lies under the sheet",
    "three sheets at a joint",
)
"""What the model does not know, to be told wherever it is used."""

SAME_C = 2.0
"""Differences of the skin smaller than this are told as none."""


@dataclass(frozen=True, slots=True)
class Stuff:
    """What a sheet is made of. The defaults are neutral: between measured polypropylene and PVC."""

    conductivity_w_mk: float = 0.20
    density_kg_m3: float = 1000.0
    heat_j_kgk: float = 2000.0

    @property
    def diffusivity_m2_s(self) -> float:
        """How fast heat spreads: k / (rho c)."""
        return self.conductivity_w_mk / (self.density_kg_m3 * self.heat_j_kgk)

    @property
    def effusivity(self) -> float:
        """How much heat it takes up at its face, in W s**0.5 / (m2 K): sqrt(k rho c)."""
        return math.sqrt(self.conductivity_w_mk * self.density_kg_m3 * self.heat_j_kgk)


@dataclass(frozen=True, slots=True)
class Pass:
    """Hot air over one place of a sheet."""

    sheet_c: float = 20.0
    air_c: float = 500.0
    seconds: float = 1.5
    """How long the place is under the nozzle."""
    transfer_w_m2k: float = 200.0
    """How well the air hands over its heat; hardly known."""
    stuff: Stuff = Stuff()


class Effect(Enum):
    """What a change does to the skin, and so to the weld."""

    COLDER = "colder"
    NONE = "no different"
    HOTTER = "hotter"


def skin_share(transfer: float) -> float:
    """Return how far the skin has come from its start to the air: 1 - erfcx(B).

    ``transfer`` is B = h sqrt(a t) / k. The scaled function does not overflow for a large B.
    """
    from scipy.special import erfcx  # noqa: PLC0415 - slow to load, and seldom needed

    return 1.0 - float(erfcx(transfer))


def temperature_c(pass_: Pass, depth_m: float = 0.0) -> float:
    """Return the temperature at a depth at the end of a pass (surface convection, half space).

    With A = x / (2 sqrt(a t)) and B = h sqrt(a t) / k the share of the way to the air is
    erfc(A) - exp(h x / k + B**2) erfc(A + B), which is erfc(A) - exp(-A**2) erfcx(A + B).
    """
    if pass_.seconds <= 0:
        return pass_.sheet_c
    from scipy.special import erfcx  # noqa: PLC0415 - slow to load, and seldom needed

    spread = math.sqrt(pass_.stuff.diffusivity_m2_s * pass_.seconds)
    a = depth_m / (2 * spread)
    b = pass_.transfer_w_m2k * spread / pass_.stuff.conductivity_w_mk
    share = math.erfc(a) - math.exp(-a * a) * float(erfcx(a + b))
    return pass_.sheet_c + share * (pass_.air_c - pass_.sheet_c)


def held_surface_c(
    start_c: float, surface_c: float, diffusivity_m2_s: float, seconds: float, depth_m: float
) -> float:
    """Return the temperature at a depth under a surface that is held at one temperature."""
    share = math.erf(depth_m / (2 * math.sqrt(diffusivity_m2_s * seconds)))
    return surface_c + share * (start_c - surface_c)


def contact_c(one: Stuff, one_c: float, other: Stuff, other_c: float) -> float:
    """Return the temperature where two bodies meet, weighted by what each takes up at its face."""
    total = one.effusivity + other.effusivity
    return (one.effusivity * one_c + other.effusivity * other_c) / total


def seconds_to(pass_: Pass, target_c: float) -> float:
    """Return how long the skin takes to come to a temperature; infinite where it never does."""
    share = (target_c - pass_.sheet_c) / (pass_.air_c - pass_.sheet_c)
    if share <= 0:
        return 0.0
    if share >= 1:
        return math.inf
    low, high = 0.0, 1.0
    while skin_share(high) < share:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if skin_share(middle) < share else (low, middle)
    spread = high * pass_.stuff.conductivity_w_mk / pass_.transfer_w_m2k
    return spread**2 / pass_.stuff.diffusivity_m2_s


def holds_until_s(thickness_m: float, stuff: Stuff | None = None) -> float:
    """Return after how long a sheet is too thin to count as thick: a t / L**2 = 0.2.

    Until then the warmth has not come back from the other face.
    """
    return 0.2 * thickness_m**2 / (stuff or Stuff()).diffusivity_m2_s


def effect(usual: Pass, changed: Pass) -> Effect:
    """Return what a change does to the skin."""
    difference = temperature_c(changed) - temperature_c(usual)
    if abs(difference) < SAME_C:
        return Effect.NONE
    return Effect.HOTTER if difference > 0 else Effect.COLDER


def ranked(usual: Pass, changes: Mapping[str, Pass]) -> tuple[tuple[str, Effect], ...]:
    """Return changes with what each does, that which makes the weld coldest first."""
    order = sorted(changes, key=lambda name: (temperature_c(changes[name]), name))
    return tuple((name, effect(usual, changes[name])) for name in order)


def weaker(usual: Pass, heat_share: float) -> Pass:
    """Return a pass with that share of the gun's heat, as ``weld.power`` gives it for a cord."""
    return replace(usual, air_c=usual.sheet_c + heat_share * (usual.air_c - usual.sheet_c))


def told(usual: Pass, changes: Mapping[str, Pass]) -> tuple[str, ...]:
    """Return the ranking as sentences, and what it leaves out."""
    parts = {
        kind: [name for name, what in ranked(usual, changes) if what is kind] for kind in Effect
    }
    hotter = list(reversed(parts[Effect.HOTTER]))
    sentences = [
        f"{kind} in a simple model of heat, the most first: {', '.join(names)}."
        for kind, names in (("Colder", parts[Effect.COLDER]), ("Hotter", hotter))
        if names
    ]
    if parts[Effect.NONE]:
        sentences.append(f"Hardly any different: {', '.join(parts[Effect.NONE])}.")
    return (*sentences, f"It leaves out {'; '.join(LEAVES_OUT)}. Only a peeled strip tells.")
