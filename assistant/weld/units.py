"""Units of weather and power, and what is said where a formula ends. Imports nothing of ours.

A temperature and a difference of temperatures convert differently: three degrees C above the dew
point are 5.4 degrees F above it, not 37.4. Two functions keep them apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

M_PER_FT = Fraction(3048, 10000)
"""Exact by definition (NIST SP 811, appendix B)."""
KM_PER_MILE = Fraction(1609344, 1000000)
"""Exact by definition (NIST SP 811, appendix B)."""


@dataclass(frozen=True, slots=True)
class Outside:
    """Instead of a number: the formula was not made for this."""

    reason: str
    """A whole sentence without figures, to be spoken or shown."""


def c_from_f(temperature_f: float) -> float:
    """Return a temperature in C: (F - 32) 5/9 (NIST SP 811, appendix B)."""
    return (temperature_f - 32) * 5 / 9


def f_from_c(temperature_c: float) -> float:
    """Return a temperature in F: C 9/5 + 32 (NIST SP 811, appendix B)."""
    return temperature_c * 9 / 5 + 32


def c_difference_from_f(difference_f: float) -> float:
    """Return a difference of temperatures in C: 5/9 of it, without the 32."""
    return difference_f * 5 / 9


def f_difference_from_c(difference_c: float) -> float:
    """Return a difference of temperatures in F: 9/5 of it, without the 32."""
    return difference_c * 9 / 5


def mph_from_kmh(speed_kmh: float) -> float:
    """Return a speed in miles an hour."""
    return speed_kmh / float(KM_PER_MILE)


def kmh_from_mph(speed_mph: float) -> float:
    """Return a speed in kilometres an hour."""
    return speed_mph * float(KM_PER_MILE)
