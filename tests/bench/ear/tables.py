"""The result as Markdown: a short table first, then everything."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from .engines import OURS, SPHINX, WHISPER
from .intervals import most_an_hour, wilson
from .judged import Outcome
from .levels import LEVELS, NEAREST
from .sets import (
    ANSWERS,
    CHATTER_WIDTH,
    CHATTER_YES,
    NOT_OURS,
    ORDER,
    PEOPLES_DIGITS,
    PEOPLES_WORDS,
    SEAMS,
    WIDTHS,
)
from .tally import ALL, OTHERS, THRESHOLDS, Count

ENGINES = (OURS, SPHINX, WHISPER)
TOP_SETS = (WIDTHS, SEAMS, ANSWERS, PEOPLES_DIGITS, PEOPLES_WORDS)
NOTHING_SAID = (NOT_OURS, CHATTER_WIDTH, CHATTER_YES)
_SHORT = {"clean": "clean", "band": "telephone band"}


def table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> list[str]:
    """Return a Markdown table and an empty line."""
    named = list(heads)
    lines = [f"| {' | '.join(named)} |", "|" + "---|" * len(named)]
    return [*lines, *(f"| {' | '.join(row)} |" for row in rows), ""]


def level_name(level: str) -> str:
    """Return a level as a table's head."""
    return _SHORT.get(level, f"{level} dB")


def percent(hits: int, of: int) -> str:
    """Return a share in percent; a decimal only where it says something."""
    share = 100 * hits / max(1, of)
    return f"{share:.0f}" if share in (0, 100) else f"{share:.1f}"


def with_interval(hits: int, of: int) -> str:
    """Return a share in percent and its 95 % interval."""
    low, high = wilson(hits, of)
    return f"{percent(hits, of)} ({100 * low:.1f} to {100 * high:.1f})"


def _found(counts: list[Count]) -> dict[tuple[str, str, str, str], Count]:
    return {(one["engine"], one["set"], one["level"], one["noise"]): one for one in counts}


def short(counts: list[Count]) -> list[str]:
    """Return right / wrong in percent, a line for each set and engine."""
    have, rows = _found(counts), []
    levels = [at for at in LEVELS if any(one["level"] == at for one in counts)]
    for group in TOP_SETS:
        for engine in ENGINES:
            cells = [have.get((engine, group, level, ALL)) for level in levels]
            if any(cells):
                most = max(one["n"] for one in cells if one)
                name = f"**{engine}**" if engine == OURS else engine
                rows.append([group, name, str(most), *map(_right_wrong, cells)])
    return table(["right / wrong, %", "", "clips", *map(level_name, levels)], rows)


def _right_wrong(one: Count | None) -> str:
    if one is None:
        return ""
    return f"{percent(one['right'], one['n'])} / {percent(one['wrong'], one['n'])}"


def full(counts: list[Count]) -> list[str]:
    """Return every set, engine and level with intervals."""
    have, rows = _found(counts), []
    for group in ORDER:
        for engine in ENGINES:
            for level in LEVELS:
                one = have.get((engine, group, level, ALL))
                if one is not None:
                    rows.append(_full_row(one))
    heads = [
        "set",
        "engine",
        "level",
        "n",
        "gate shut, %",
        "right, %",
        "wrong, %",
        "asked again, %",
    ]
    return table(heads, rows)


def _full_row(one: Count) -> list[str]:
    n, silent = one["n"], one["set"] in NOTHING_SAID
    right = "-" if silent else with_interval(one["right"], n)
    shut, asked = one[Outcome.SHUT.value], one[Outcome.ASKED.value]
    cells = [percent(shut, n), right, with_interval(one["wrong"], n), percent(asked, n)]
    return [one["set"], one["engine"], level_name(one["level"]), str(n), *cells]


def by_noise(counts: list[Count]) -> list[str]:
    """Return our ear's figures beside the vacuum cleaner and beside the other noises."""
    have, rows = _found(counts), []
    levels = [level for level in LEVELS if level not in _SHORT]
    for group in (*TOP_SETS, *NOTHING_SAID):
        for noise in (NEAREST, OTHERS):
            cells = [have.get((OURS, group, level, noise)) for level in levels]
            if any(cells):
                rows.append([group, noise, *(_noise_cell(one) for one in cells)])
    return table(["right / wrong, % (n)", "noise", *map(level_name, levels)], rows)


def _noise_cell(one: Count | None) -> str:
    return f"{_right_wrong(one)} ({one['n']})" if one else ""


def curves(counts: list[Count]) -> list[str]:
    """Return right / wrong of our ear over all thresholds."""
    have, rows = _found(counts), []
    for group in ORDER:
        for level in LEVELS:
            one = have.get((OURS, group, level, ALL))
            if one is not None:
                cells = [_pair(one["curve"][str(at)], one["n"]) for at in THRESHOLDS]
                rows.append([group, level_name(level), str(one["n"]), *cells])
    return table(["set", "level", "n", *(f">= {at:g}" for at in THRESHOLDS)], rows)


def _pair(pair: list[int], n: int) -> str:
    return f"{percent(pair[0], n)} / {percent(pair[1], n)}"


def hours(found: list[Count]) -> list[str]:
    """Return what was taken for a value or a command although nobody gave one."""
    rows = []
    for one in sorted(found, key=lambda o: (ENGINES.index(o["engine"]), o["moment"])):
        time = one["minutes"] / 60
        cells = [_rate(one[what], time) for what in ("values", "commands")]
        curve = ", ".join(f"{at:g}: {'/'.join(map(str, one['curve'][str(at)]))}" for at in _SOME)
        minutes, heard = str(one["minutes"]), str(one["utterances"])
        rows.append([one["moment"], one["engine"], minutes, heard, *cells, curve])
    heads = ["sound, moment", "engine", "minutes", "utterances", "false values an hour"]
    return table([*heads, "false commands an hour", "values/commands at other thresholds"], rows)


_SOME = (0.0, 0.5, 0.7, 0.9, 0.98)


def _rate(events: int, time: float) -> str:
    return f"{events / time:.3g} (at most {most_an_hour(events, time):.1f})" if time else "-"


def taken(found: list[Count]) -> list[str]:
    """Return what our ear took in those hours, word for word."""
    rows = [
        [one["moment"], each["where"], each["heard"], f"{each['confidence']:.3f}"]
        for one in found
        if one["engine"] == OURS
        for each in one["taken"]
    ]
    return table(["sound, moment", "where", "taken for", "confidence"], rows[:60])


def reliability(bins: dict[str, list[Count]]) -> list[str]:
    """Return how often our ear is right at each confidence."""
    rows = []
    for name, ones in bins.items():
        for one in ones:
            if one["n"]:
                span = f"{one['from']:g} to {one['to']:g}"
                share = with_interval(one["right"], one["n"])
                rows.append([f"{name}s", span, str(one["n"]), f"{100 * one['mean']:.1f}", share])
    return table(["", "confidence", "n", "mean confidence, %", "right, %"], rows)


def speed(found: dict[str, Any]) -> list[str]:
    """Return speed and size, a figure a line."""
    rows = [
        ["model on disk", f"{found['model_mb']:.1f} MB"],
        ["load model and first grammar", f"{found['load_s']:.2f} s"],
        [
            "the same at the very first start, graph not yet compiled",
            f"{found['first_load_s']:.2f} s",
        ],
        ["real-time factor, decoding, one core", f"{found['rtf_decode']:.3f}"],
        ["real-time factor, speech gate, one core", f"{found['rtf_gate']:.3f}"],
        ["both, over the whole time that the ear is open", f"{found['rtf_all']:.3f}"],
        [
            f"process with gate and the {found['grammars']} grammars of a finish weld",
            f"{found['rss_mb']:.0f} MB (peak {found['most_rss_mb']:.0f}, "
            f"before loading {found['rss_before_mb']:.0f})",
        ],
    ]
    for name, delay in ((k, v) for k, v in found.items() if k.startswith("delay ")):
        text = f"{delay['median']:.2f} s, {delay['p90']:.2f} s"
        rows.append([f"end of speech to understanding, {name[6:]}: median, 90 %", text])
    return table(["", ""], rows)
