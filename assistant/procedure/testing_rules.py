"""Reads the rule file: when a test is due, what is in question, where to cut next.

Imported by the command line and the shift. Imports ``weld`` for what the rules are. As with a
checklist, every fault is told with file, line and what to write instead, and a file with a fault is
never used.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

from assistant.procedure import measures, quantities
from assistant.procedure.faults import Faults
from assistant.procedure.fields import Fields, kind_of, nearest
from assistant.procedure.loader import read_bytes, top_fields
from assistant.procedure.yaml_lines import Items, Scalar
from assistant.weld.due import DueRules, Kind
from assistant.weld.job_rules import JobRules
from assistant.weld.states import CoverRules
from assistant.weld.suspects import CutRules, Way
from assistant.weld.work import PARTS

AFTER = ("break", "cool-down", "power-lost", "rain", "void", "changing", "doubt")
"""What a job may let end a proof, by the names of ``weld.due.Kind``."""


def load_rules(path: Path) -> JobRules:
    """Read a rule file.

    Raises ``ProcedureProblem`` with all faults, one a line.
    """
    raw = read_bytes(path)
    faults = Faults()
    fields = top_fields(raw, path.name, "the rule file", faults)
    fields.one_of("rules", ("testing",))
    version = fields.text("version")
    due, cover, cuts = fields.inner("due"), fields.inner("cover"), fields.inner("cuts")
    rules = JobRules(
        _due(due) if due else DueRules(),
        _cover(cover) if cover else CoverRules(),
        _cuts(cuts) if cuts else CutRules(),
        version,
        hashlib.sha256(raw).hexdigest(),
    )
    fields.close()
    faults.raise_any(path.name)
    return rules


def _due(fields: Fields) -> DueRules:
    ends = _words(fields, "after", AFTER)
    changes = _words(fields, "changed", PARTS)
    seconds = fields.seconds("hours", "24 h", required=False)
    feet = _amount(fields, "feet", _feet, "500 ft")
    weather = fields.inner("weather", required=False)
    air = sheet = wind = None
    sun = False
    if weather:
        air = _amount(weather, "air", _difference_f, "15 F")
        sheet = _amount(weather, "sheet", _difference_f, "20 F")
        wind = _amount(weather, "wind", quantities.speed_mph, "10 mph")
        sun = _switch(weather, "sun-or-shade", False)
        weather.close()
    fields.close()
    return DueRules(
        ends=frozenset(Kind(word) for word in ends),
        changes=frozenset(changes),
        hours=None if seconds is None else seconds / 3600,
        feet=feet,
        air_f=air,
        surface_f=sheet,
        wind_mph=wind,
        sun=sun,
    )


def _cover(fields: Fields) -> CoverRules:
    usual = CoverRules()
    cut = _amount(fields, "cut", _feet_of_inches, "6 in")
    fault = _amount(fields, "fault", _feet_of_inches, "12 in")
    probe = _switch(fields, "probe-repairs", usual.probe_repairs)
    fields.close()
    return CoverRules(cut or usual.cut_ft, fault or usual.defect_ft, probe)


def _cuts(fields: Fields) -> CutRules:
    usual = CutRules()
    way = fields.one_of("way", tuple(way.value for way in Way))
    step = _amount(fields, "steps-of", _feet, "10 ft")
    bounded = _amount(fields, "halve-to", _feet, "10 ft")
    fields.close()
    return CutRules(
        Way(way) if way else usual.way, step or usual.step_ft, bounded or usual.bounded_ft
    )


# ---- kinds of value


def _feet(text: str) -> Fraction:
    return measures.amount(text, "ft")


def _feet_of_inches(text: str) -> Fraction:
    return measures.inches(text) / 12


def _difference_f(text: str) -> Fraction:
    return quantities.temperature_difference_c(text) * 9 / 5


def _amount(
    fields: Fields, key: str, read: Callable[[str], Fraction], example: str
) -> Fraction | None:
    """Return an amount above nought, or None without it or after a fault."""
    text = fields.text(key, required=False)
    if not text:
        return None
    try:
        amount = read(text)
    except ValueError as problem:
        fields.fault(key, str(problem), f"{key}: {example}")
        return None
    if amount <= 0:
        fields.fault(key, "this is not above nought", f"{key}: {example}")
        return None
    return amount


def _words(fields: Fields, key: str, known: tuple[str, ...]) -> list[str]:
    value = fields.value(key, required=False)
    example = f"{key}: [{known[0]}, {known[1]}]"
    if value is None:
        return []
    if not isinstance(value, Items):
        fields.fault(key, f"{kind_of(value)} stands where a list belongs", example)
        return []
    found: list[str] = []
    for item in value.items:
        if isinstance(item, Scalar) and item.misread:
            continue
        if not isinstance(item, Scalar) or not isinstance(item.data, str):
            fields.faults.add(item.line, key, f"{kind_of(item)} is no word of this list", example)
        elif item.data not in known:
            near = nearest(item.data, known) or f"only {', '.join(known)}"
            fields.faults.add(item.line, key, f"'{item.data}' is no word of this list", near)
        elif item.data in found:
            fields.faults.add(item.line, key, f"'{item.data}' stands here twice", "it once")
        else:
            found.append(item.data)
    return found


def _switch(fields: Fields, key: str, usual: bool) -> bool:
    value = fields.value(key, required=False)
    if value is None:
        return usual
    if isinstance(value, Scalar) and isinstance(value.data, bool):
        return value.data
    if not isinstance(value, Scalar) or not value.misread:
        fields.fault(key, f"{kind_of(value)} is neither true nor false", f"{key}: true")
    return usual
