"""Temperatures, speeds, lengths and electrical values as people write them, read exactly.

Imported by ``conditions`` and the command line. Imports ``weld`` for units and cords. Every
function raises ``ValueError`` with what is wrong; the caller knows what to write instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction

from assistant.weld.power import BY_AWG, BY_MM2, Conductor
from assistant.weld.units import KM_PER_MILE, M_PER_FT

Unit = Callable[[Fraction], Fraction]

_WRITTEN = re.compile(r"(?P<number>-?[0-9]{1,9}(?:\.[0-9]{1,9})?) *(?P<unit>.*)", re.ASCII)


def _same(value: Fraction) -> Fraction:
    return value


def _times(factor: Fraction) -> Unit:
    return lambda value: value * factor


_TEMPERATURES: dict[str, Unit] = {"f": lambda value: (value - 32) * 5 / 9, "c": _same}
_DIFFERENCES: dict[str, Unit] = {"f": _times(Fraction(5, 9)), "c": _same}
_KMH = _times(1 / KM_PER_MILE)
_SPEEDS: dict[str, Unit] = {
    "mph": _same,
    "km/h": _KMH,
    "kmh": _KMH,
    "m/s": _times(Fraction(36, 10) / KM_PER_MILE),
}
_LENGTHS: dict[str, Unit] = {"ft": _times(M_PER_FT), "m": _same}
# What has one unit only may be written without it.
_SHARES: dict[str, Unit] = {"%": _times(Fraction(1, 100)), "": _times(Fraction(1, 100))}
_VOLTS: dict[str, Unit] = {"v": _same, "": _same}
_AMPS: dict[str, Unit] = {"a": _same, "": _same}
_WATTS: dict[str, Unit] = {"w": _same, "kw": _times(Fraction(1000)), "": _same}
_GAUGE = re.compile(
    r"#?(?P<size>[0-9]{1,2}(?:\.[0-9])?) ?(?P<unit>awg|mm2|mm\u00b2|)", re.IGNORECASE
)


def temperature_c(text: str) -> Fraction:
    """Read ``68 F``, ``68F`` or ``-5 C`` in C."""
    return _read(text.replace("\u00b0", ""), _TEMPERATURES, "F or C")


def temperature_difference_c(text: str) -> Fraction:
    """Read a difference: ``5.4 F`` is ``3 C``, without the 32."""
    return _not_less(_read(text.replace("\u00b0", ""), _DIFFERENCES, "F or C"))


def speed_mph(text: str) -> Fraction:
    """Read ``15 mph``, ``24 km/h`` or ``7 m/s`` in miles an hour."""
    return _not_less(_read(text, _SPEEDS, "mph, km/h or m/s"))


def length_m(text: str) -> Fraction:
    """Read ``100 ft`` or ``30 m`` in metres."""
    return _not_less(_read(text, _LENGTHS, "ft or m"))


def share(text: str) -> Fraction:
    """Read ``80 %``, ``80%`` or ``80`` as a share of one."""
    return _not_less(_read(text, _SHARES, "%"))


def volts(text: str) -> Fraction:
    """Read ``120 V`` or ``120``."""
    return _above(_read(text, _VOLTS, "V"))


def amps(text: str) -> Fraction:
    """Read ``20 A`` or ``20``."""
    return _above(_read(text, _AMPS, "A"))


def watts(text: str) -> Fraction:
    """Read ``1600 W``, ``1.6 kW`` or ``1600``."""
    return _above(_read(text, _WATTS, "W or kW"))


def conductor(text: str) -> Conductor:
    """Read the gauge of a cord: ``12``, ``12 AWG``, ``#12`` or ``2.5 mm2``."""
    found = _GAUGE.fullmatch(text.strip())
    known = f"{', '.join(str(awg) for awg in sorted(BY_AWG))} AWG, 1.5, 2.5 and 4 mm2"
    if found:
        size, metric = Fraction(found["size"]), found["unit"].lower().startswith("mm")
        cord = BY_MM2.get(size) if metric else BY_AWG.get(int(size) if size % 1 == 0 else 0)
        if cord:
            return cord
    raise ValueError(f"'{text}' is not a cord that is known here ({known})")


def _read(text: str, units: Mapping[str, Unit], named: str) -> Fraction:
    found = _WRITTEN.fullmatch(text.strip())
    if not found:
        raise ValueError(f"'{text}' is not a number with a unit")
    unit = found["unit"].lower()
    if unit in units:
        return units[unit](Fraction(found["number"]))
    if not unit:
        raise ValueError(f"'{text}' has no unit ({named})")
    raise ValueError(f"'{found['unit']}' is not a unit of this ({named})")


def _not_less(value: Fraction) -> Fraction:
    if value < 0:
        raise ValueError("it is less than nought")
    return value


def _above(value: Fraction) -> Fraction:
    if value <= 0:
        raise ValueError("it is not above nought")
    return value
