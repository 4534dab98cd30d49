"""The table of simulated shifts, in words and figures."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from bench.ear.intervals import most_an_hour

Row = dict[str, Any]
PER = 10_000


def interval(wrong: Sequence[int], values: int) -> tuple[float, float, float]:
    """Return the mean, the lowest and the highest number of wrong values in 10,000.

    Low and high are those of the middle 95 % of the shifts; high is never less than so many values
    can rule out (Poisson, 95 %), so that nought is not taken for never.
    """
    scale = PER / values
    ordered = sorted(wrong)
    cut = int(len(ordered) * 0.025)
    most = max(ordered[-1 - cut] * scale, most_an_hour(sum(wrong), len(wrong) * values) * PER)
    return scale * sum(wrong) / len(wrong), ordered[cut] * scale, most


def source(path: Path) -> str:
    """Return what a file of pairs says about itself."""
    about = json.loads(path.read_text("utf-8"))
    return f"{path.name} of {about.get('made', '?')}, clips {about.get('clips', '?')}"


def together(rows: Iterable[Row]) -> list[Row]:
    """Return rows of all kinds of values joined into one for each setting."""
    groups: dict[tuple[Any, ...], list[Row]] = defaultdict(list)
    for row in rows:
        groups[tuple(row[name] for name in _SETTING)].append(row)
    return [_joined(found) for found in groups.values()]


_SETTING = ("table", "level", "detail", "answer", "value", "yes", "careless", "again_is_yes")
_COUNTED = ("misread", "not_heard", "stopped", "asked", "words")


def _joined(rows: Sequence[Row]) -> Row:
    means = {name: sum(row[name] for row in rows) / len(rows) for name in _COUNTED}
    wrong = [sum(shift) for shift in zip(*(row["wrong"] for row in rows), strict=True)]
    worst = max(PER * sum(row["wrong"]) / len(row["wrong"]) / row["values"] for row in rows)
    values = sum(row["values"] for row in rows)
    return {**rows[0], **means, "kind": "all", "wrong": wrong, "values": values, "worst": worst}


def cheapest(grid: Iterable[Row], most_wrong: float) -> Row | None:
    """Return the point that asks least often while no kind of value goes wrong too often."""
    good = [row for row in together(grid) if row["worst"] <= most_wrong]
    return min(good, key=lambda row: row["asked"] + 0.01 * row["words"], default=None)


def text(result: dict[str, Any]) -> str:
    """Return the whole page."""
    rows: list[Row] = result["rows"]
    use, new = (_first(rows, f"settings, {name}") for name in ("in use", "proposed"))
    parts = [
        _HEAD.format(
            made=result["made"],
            machine=result["machine"],
            sources="; ".join(result["sources"]),
            clips="; ".join(_clips(kind, of) for kind, of in result["clips"].items()),
            values=f"{result['values']:,}",
        ),
        "## Settings\n\n" + _TABLE_1 + _point("In use", use),
        _table(rows, "settings, in use", ("level", "detail"), split=True),
        _point("Cheapest point with at most 1 wrong in 10,000 of each kind at 5 dB", new),
        _table(rows, "settings, proposed", ("level", "detail"), split=True),
        "## Thresholds, 5 dB, standard\n\n" + _TABLE_2,
        _table(rows, "thresholds", ("value", "yes"), split=True),
        "## How careful the welder is, 5 dB\n\nThresholds in use, then the proposed ones.\n",
        _table(rows, "careless, in use", ("careless",), split=True),
        _table(rows, "careless, proposed", ("careless",), split=True),
        "## Were the same value again a yes, 5 dB\n\n" + _TABLE_3,
        _table(rows, "again is yes, in use", ("value", "yes"), split=True),
        _table(rows, "again is yes, proposed", ("value", "yes"), split=True),
        "## The threshold for other answers, 5 dB\n",
        _table(rows, "answers", ("answer",), split=True),
    ]
    return "\n".join(parts)


def _clips(kind: str, of: dict[str, int]) -> str:
    return f"{kind}: {', '.join(f'{count} {_level(level)}' for level, count in of.items())}"


def _level(level: str) -> str:
    return level if level == "clean" else f"at {level} dB"


def _first(rows: list[Row], table: str) -> Row:
    return next(row for row in rows if row["table"] == table)


def _point(lead: str, row: Row) -> str:
    return (
        f"\n{lead}: {row['value']:g} for values, {max(row['yes'], row['answer']):g} for a yes to a "
        f"read-back, {row['answer']:g} for other answers.\n"
    )


def _table(rows: list[Row], table: str, by: tuple[str, ...], *, split: bool) -> str:
    found = [row for row in rows if row["table"] == table]
    kinds = list(dict.fromkeys(row["kind"] for row in found)) if split else []
    columns: list[tuple[str, Callable[[Row], str]]] = [
        ("wrong in 10,000", _wrong),
        ("wrong read-backs in 10,000", lambda row: f"{row['misread']:.0f}"),
        ("not heard in 10,000", lambda row: f"{row['not_heard']:.0f}"),
        ("asked", lambda row: f"{row['asked']:.2f}"),
        ("words", lambda row: f"{row['words']:.1f}"),
    ]
    head = ["kind", *by, *(name for name, _ in columns)]
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    for row in [*together(found), *(row for kind in kinds for row in found if row["kind"] == kind)]:
        cells = [row["kind"], *(f"{row[name]}" for name in by), *(show(row) for _, show in columns)]
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines) + "\n"


def _wrong(row: Row) -> str:
    mean, low, high = interval(row["wrong"], row["values"])
    return f"{mean:.2f} ({low:.1f} to {high:.1f})"


_HEAD = """# What the conversation lets through

{made}, {machine}. Shifts of {values} values. Mistakes of the ear: {sources}.
{clips}. Written by tests/bench/conversation/measure.py; everything is in conversation.json.

A simulated welder says values; the real dialogue, parser, grammars, limits and read-backs of the
shipped finish weld do the rest. What is heard of each value and of each yes and no is drawn from
clips. Each shift draws how much every clip counts (a Bayesian bootstrap), with half a clip's worth
of mistakes that nobody has seen: so the interval holds how little a hundred clips can tell.
"Wrong": logged though not meant, hedge and all. "Asked": how often Lapcall spoke and waited, per
value, the question itself included; two is the least there can be. "Words": what it spoke behind
the question.

Assumed, not measured: the welder says yes to one wrong read-back in a hundred (other shares are
below); says the value again in place of "no" three times in ten; and half of what is said once
more is heard exactly as before. Most voices are synthetic.
"""
_TABLE_1 = """Level: the voice over the noise in dB. No setting changes what is confirmed, so they
differ in words alone.
"""
_TABLE_2 = """The confidence from which a value is read back, and from which a yes makes it count.
"""
_TABLE_3 = """Not what Lapcall does: it reads the value back again. An ear that errs may err alike
twice.
"""
