"""Records as rows: shifts, lines and tests. Imports ``record``, ``review`` and ``columns``.

All copies and branches of one record are one shift, and a line or a test that several of them hold
is one row. What one branch took back counts in none: a row says that something counts only where
nothing at hand speaks against it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timezone
from fractions import Fraction
from pathlib import Path

from assistant.gather.columns import Row, Value
from assistant.record import chain, kinds
from assistant.record.entry import Entry
from assistant.record.journal import FILE_NAME
from assistant.record.state import Run, runs, standing
from assistant.review.strips import Strip, every_strip
from assistant.review.widths import decimal, width

_DIGITS = 16
_MOST_INTEGER = 1 << 53


@dataclass(slots=True)
class Shift:
    """The rows of one record, whatever copies of it there are."""

    row: Row
    lines: dict[str, Row] = field(default_factory=dict)
    tests: dict[str, Row] = field(default_factory=dict)


def shifts(folders: Iterable[Path]) -> Iterator[Shift]:
    """Yield the shifts in record folders, in a fixed order; copies of one record come as one."""
    grouped: dict[str, list[Path]] = {}
    for folder in folders:
        with (folder / FILE_NAME).open("rb") as stream:
            first = next(iter(chain.Walk(stream)), None)
        if first is not None:
            grouped.setdefault(first.digest, []).append(folder)
    for origin in sorted(grouped):
        yield _shift(origin, [_read(folder) for folder in sorted(grouped[origin])])


def _read(folder: Path) -> chain.Chain:
    return chain.read((folder / FILE_NAME).read_bytes())


def _shift(origin: str, copies: Sequence[chain.Chain]) -> Shift:
    name = f"s-{origin[:_DIGITS]}"
    # Whole copies first: where one is spoiled, what the others say stands.
    ordered = sorted(copies, key=lambda copy: (bool(copy.broken), -len(copy.lines), copy.head))
    known = [{line.digest for line in copy.lines} for copy in ordered]
    branches = [
        copy
        for place, copy in enumerate(ordered)
        if not any(known[place] <= other for other in known[:place])
    ]
    forked = sum(not copy.broken for copy in branches) > 1
    best = ordered[0]
    times = [entry.at for entry in best.entries]
    shift = Shift(
        {
            "shift": name,
            "began": _utc(min(times)) if times else None,
            "ended": _utc(max(times)) if times else None,
            "zone": best.entries[0].zone if times else None,
            "lines": len(best.lines),
            "head": best.head,
            "branches": len(branches),
            "sound": not any(copy.broken for copy in branches),
        }
    )
    for copy in branches:
        _take(shift, name, copy, forked=forked)
    return shift


def _take(shift: Shift, name: str, copy: chain.Chain, *, forked: bool) -> None:
    for line in copy.lines:
        if line.entry is not None and line.entry.digest not in shift.lines:
            sound = not line.problem
            shift.lines[line.entry.digest] = _line_row(name, line.entry, sound=sound)
    for row in _tests(name, copy, forked=forked):
        key = str(row["test"])
        old = shift.tests.get(key)
        if old is None:
            shift.tests[key] = row
        elif old["counts"] and not row["counts"] and row["sound"]:
            shift.tests[key] = {**old, "counts": False, "not_because": row["not_because"]}


# ---- lines


def _line_row(name: str, entry: Entry, *, sound: bool) -> Row:
    fields = {key: value for key, value in entry.fields.items() if key not in ("run", "step")}
    return {
        "digest": entry.digest,
        "shift": name,
        "seq": _integer(entry.seq),
        "at": _utc(entry.at),
        "zone": entry.zone,
        "kind": clean(entry.kind),
        "run": _integer(entry.fields.get("run")),
        "step": _text(entry.fields.get("step")),
        "fields": json.dumps(fields, sort_keys=True),
        "prev": clean(entry.prev),
        "sound": sound,
    }


# ---- tests


def _tests(name: str, copy: chain.Chain, *, forked: bool) -> Iterator[Row]:
    entries = copy.entries
    doubtful = {line.entry.seq for line in copy.broken if line.entry is not None}
    every = runs(entries)
    homes = {entry.seq: run for run in every for entry in run.entries}
    by_seq = {entry.seq: entry for entry in entries}
    lasting = {entry.digest for entry in standing(entries)}
    corrected = {
        entry.fields.get("corrects")
        for entry in entries
        if entry.kind == kinds.JUDGED and entry.digest in lasting
    }
    for entry, strip in every_strip(every, doubtful):
        why = "" if entry.digest in lasting else "taken back"
        if why and _number(entry.seq) in corrected:
            why = "corrected"
        row = dict(_test_row(entry, strip, homes.get(entry.seq), by_seq))
        row["counts"] = not why and not strip.doubtful
        row["not_because"] = why or ("not as written" if strip.doubtful else None)
        row["shift"], row["forked"] = name, forked
        yield row


def _test_row(
    entry: Entry, strip: Strip, run: Run | None, by_seq: Mapping[int, Entry]
) -> Mapping[str, Value]:
    began = run.began.fields if run and run.began else {}
    job = began.get("job")
    job = job if isinstance(job, dict) else {}
    fields, limits = entry.fields, strip.limits
    first = by_seq.get(_number(fields.get("first")) or -1, entry)
    old = by_seq.get(_number(fields.get("corrects")) or -1)
    return {
        "test": _test_name(entry),
        "counts": None,
        "not_because": None,
        "replaces": _test_name(old) if old else None,
        "strip": _test_name(first),
        "shift": None,
        "line": _integer(entry.seq + 1),
        "sound": not strip.doubtful,
        "forked": None,
        "tested_at": strip.when.isoformat(timespec="seconds"),
        "judged_utc": _utc(entry.at),
        "job": _text(job.get("name")),
        **{key: _text(job.get(key)) for key in ("area", "sheet", "lot")},
        "welder": _text(strip.welder),
        "gun": _text(strip.gun),
        "procedure": _text(strip.title),
        "seam": _text(strip.seam),
        "outcome": _text(strip.outcome),
        "finding": _text(fields.get("finding")),
        "reasons": clean(" ".join(strip.reasons)) or None,
        "mode": _text(strip.mode),
        "said": _text(strip.said),
        "width": None if strip.width_in is None else width(strip.width_in, strip.unit, strip.hedge),
        "width_in": _rounded(strip.width_in),
        "width_exact_in": None if strip.width_in is None else str(strip.width_in),
        "hedge": _text(strip.hedge),
        "read_back": _text(strip.read_back),
        "confirmed_by": _text(strip.confirmed_by),
        "solid_in": _rounded(strip.solid_in),
        "heat": _text(strip.heat),
        "pull": _text(fields.get("pull")),
        "least_in": _rounded(limits.least_in if limits else None),
        "most_in": _rounded(limits.most_in if limits else None),
        "rule": _text(strip.rule),
        "clip": _text(strip.recordings[0].clip) if strip.recordings else None,
        "rehearsal": began.get("rehearsal") is True,
        "software": _text(began.get("software")),
    }


def _test_name(entry: Entry) -> str:
    return f"t-{entry.digest[: 2 * _DIGITS]}"


def _rounded(inches: Fraction | None) -> float | None:
    return None if inches is None else float(decimal(inches, 6))


# ---- values that every way out can hold


def clean(text: str) -> str:
    """Return a text without what no database and no terminal takes: half pairs and NUL."""
    return text.encode("utf-8", "replace").decode().replace("\0", "\N{REPLACEMENT CHARACTER}")


def _text(value: object) -> str | None:
    return clean(value) if isinstance(value, str) and value else None


def _number(value: object) -> int | None:
    return value if type(value) is int else None


def _integer(value: object) -> int | None:
    number = _number(value)
    return number if number is not None and abs(number) < _MOST_INTEGER else None


def _utc(moment: datetime) -> str:
    utc = moment.astimezone(timezone.utc)
    return f"{utc:%Y-%m-%dT%H:%M:%S}.{utc.microsecond // 1000:03d}Z"
