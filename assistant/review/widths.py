"""Widths as a foreman reads them. Imports limits of ``weld`` and the inch of ``words``.

A width said in inches is shown in inches as it stands on the rule, with the millimetres rounded to
whole ones: a sixteenth is no finer. One said in millimetres is shown in millimetres first. Limits
are exact, so theirs are shown to a tenth.
"""

from __future__ import annotations

import re
from fractions import Fraction

from assistant.weld.limits import WidthLimits
from assistant.words.meaning import MM_PER_INCH

_RULE_MARKS = (1, 2, 4, 8, 16, 32, 64)
_STORED = re.compile(r"[0-9]{1,9}(/[1-9][0-9]{0,8})?")
"""How a record writes exact widths. Nothing longer: a spoiled record must not stall the page."""


def inches(value_in: Fraction) -> str:
    """Return 5/4 as ``1 1/4 in``, and what is on no rule as a decimal: ``1.26 in``."""
    if value_in.denominator not in _RULE_MARKS:
        return f"{decimal(value_in, 2)} in"
    whole, rest = divmod(value_in, 1)
    parts = [str(part) for part in (whole, rest) if part]
    return f"{' '.join(parts) or '0'} in"


def decimal(value: Fraction, places: int) -> str:
    """Return a number rounded half up, without trailing zeros."""
    scaled = (value * 10**places * 2 + 1) // 2
    whole, digits = divmod(int(scaled), 10**places)
    tail = f"{digits:0{places}d}".rstrip("0") if places else ""
    return f"{whole}.{tail}" if tail else str(whole)


def width(value_in: Fraction, unit: str = "in", hedge: str | None = None) -> str:
    """Return a reading in both units, the one it was said in first."""
    beside = f", {hedge}" if hedge else ""
    millimetres = value_in * MM_PER_INCH
    if unit == "mm":
        return f"{decimal(millimetres, 2)} mm{beside} (about {decimal(value_in, 2)} in)"
    return f"{inches(value_in)}{beside} (about {decimal(millimetres, 0)} mm)"


def allowed(limits: WidthLimits) -> str:
    """Return the limits in both units."""
    least, most = (decimal(limit * MM_PER_INCH, 1) for limit in (limits.least_in, limits.most_in))
    span = f"{inches(limits.least_in).removesuffix(' in')} to {inches(limits.most_in)}"
    return f"{span} ({least} to {most} mm)"


def fraction(text: object) -> Fraction | None:
    """Return the fraction that a record holds as text, or None for anything else."""
    if not isinstance(text, str) or not _STORED.fullmatch(text):
        return None
    return Fraction(text)
