"""From single answers to counts, at the operating point and over all thresholds."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from assistant.ear.trust import ANSWER_TRUST, VALUE_TRUST

from .engines import OURS, in_words
from .judged import SHUT, Judged, Outcome, Trust, counted, judge
from .kept import name_of
from .levels import NEAREST
from .sets import PEOPLES_WORDS, UNASKED, Asked
from .work import Job, Row

THRESHOLDS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995)
EDGES = (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 1.0)
ALL, OTHERS = "all", "others"
Count = dict[str, Any]


def trust_of(engine: str) -> Trust:
    """Return the operating point: ours, and everything for engines whose confidence says little."""
    return Trust(ANSWER_TRUST, VALUE_TRUST) if engine == OURS else Trust(0.0, 0.0)


def judged(row: Row) -> Judged:
    """Return what a row leads to."""
    if row.text is None:
        return SHUT
    return judge(in_words(row.engine, row.text), row.confidence, row.asked)


def tallies(rows: Iterable[Row], identities: dict[str, str]) -> list[Count]:
    """Return counts by engine, set, level and noise, for clips (not for streams)."""
    groups: dict[tuple[str, str, str, str], list[Row]] = defaultdict(list)
    for row in rows:
        if row.job.stream:
            continue
        noises = [ALL]
        if row.noise:
            noises.append(NEAREST if row.noise == NEAREST else OTHERS)
        for noise in noises:
            groups[row.engine, row.asked.group, row.job.level, noise].append(row)
    return [_tally(key, found, identities[key[0]]) for key, found in groups.items()]


def _tally(key: tuple[str, str, str, str], rows: list[Row], identity: str) -> Count:
    engine, group, level, noise = key
    found = [judged(row) for row in rows]
    at_point = counted(found, trust_of(engine))
    return {
        "engine": engine,
        "engine_id": identity,
        "set": group,
        "level": level,
        "noise": noise,
        "inputs": inputs(rows),
        # Ours hears every clip, and so tells what the samples of the others are made from.
        "inputs_for": {
            other: inputs(row for row in rows if other in row.job.meant_for)
            for other in sorted({name for row in rows for name in row.job.meant_for})
            if engine == OURS
        },
        "n": len(rows),
        # Of those asked again: how many because the words were no phrase, [unk] above all.
        "no phrase": sum(one.needs == "never" and not one.right for one in found),
        **{one.value: at_point[one.value] for one in Outcome},
        "curve": {str(at): _pair(counted(found, Trust(at, at))) for at in THRESHOLDS},
    }


def _pair(counts: dict[str, int]) -> list[int]:
    return [counts[Outcome.RIGHT.value], counts[Outcome.WRONG.value]]


def inputs(rows: Iterable[Row]) -> str:
    """Return a name for the very sounds that rows were made from."""
    return name_of(*sorted(f"{row.job.name} {row.asked.grammar.key} {row.sound}" for row in rows))


def still_good(old: list[Count], new: list[Count], identities: dict[str, str]) -> list[Count]:
    """Return the counts of an earlier run that this one can take over.

    Those of the same form of an engine that was not asked now; and where our ear was measured on
    their set now, only of the same sounds.
    """
    have = {_place(one) for one in new}
    measured = {(one["set"], one["level"]) for one in new if one["inputs_for"]}
    sounds = {
        (engine, *_place(one)[1:], name)
        for one in new
        for engine, name in one["inputs_for"].items()
    }
    taken = []
    for one in old:
        same = identities.get(one["engine"], one["engine_id"]) == one["engine_id"]
        other_set = (one["set"], one["level"]) not in measured
        comparable = other_set or (*_place(one), one["inputs"]) in sounds
        if same and comparable and _place(one) not in have:
            taken.append(one)
    return taken


def _place(one: Count) -> tuple[str, str, str, str]:
    return one["engine"], one["set"], one["level"], one["noise"]


def hours(jobs: Iterable[Job], rows: Iterable[Row]) -> list[Count]:
    """Return what an engine took for values and for commands in hours in which nobody gave any."""
    minutes: Counter[tuple[str, str]] = Counter(
        (engine, asked.group)
        for job in jobs
        if job.stream
        for engine in job.engines
        for asked in job.asked
    )
    groups: dict[tuple[str, str], list[Row]] = {key: [] for key in minutes}
    for row in rows:
        if row.job.stream:
            groups[row.engine, row.asked.group].append(row)
    return [_hour(*key, found, minutes[key]) for key, found in groups.items()]


def _hour(engine: str, moment: str, rows: list[Row], minutes: int) -> Count:
    found = [judged(row) for row in rows]
    curve = {str(at): _accepted(found, Trust(at, at)) for at in THRESHOLDS}
    values, commands = _accepted(found, trust_of(engine))
    taken = [
        {"heard": row.text, "confidence": row.confidence, "where": f"{row.job.name}"}
        for row, one in zip(rows, found, strict=True)
        if one.outcome(trust_of(engine)) is Outcome.WRONG
    ]
    return {
        "engine": engine,
        "moment": moment,
        "minutes": minutes,
        "utterances": len(rows),
        "values": values,
        "commands": commands,
        "curve": curve,
        "taken": taken,
    }


def _accepted(found: list[Judged], trust: Trust) -> tuple[int, int]:
    wrong = [one for one in found if one.outcome(trust) is Outcome.WRONG]
    values = sum(one.needs == "value" for one in wrong)
    return values, len(wrong) - values


def reliability(rows: Iterable[Row]) -> dict[str, list[Count]]:
    """Return, for values and for answers, how often our ear is right at each confidence.

    Counts only clips in which something was said that could be heard, and only words that are
    accepted from some confidence on.
    """
    found: dict[str, list[Judged]] = {"value": [], "answer": []}
    for row in rows:
        if row.engine == OURS and row.asked.said and not row.job.stream:
            one = judged(row)
            if one.needs in ("value", "answer"):
                found[one.needs].append(one)
    return {name: _bins(ones) for name, ones in found.items()}


def _bins(ones: list[Judged]) -> list[Count]:
    rows = []
    for low, high in pairwise(EDGES):
        inside = [o for o in ones if low <= o.confidence < high or high == o.confidence == 1.0]
        mean = sum(one.confidence for one in inside) / max(1, len(inside))
        right = sum(one.right for one in inside)
        rows.append({"from": low, "to": high, "n": len(inside), "right": right, "mean": mean})
    return rows


def mistakes(rows: Iterable[Row]) -> list[Count]:
    """Return what our ear took for something that was not said, to be looked at one by one."""
    found = []
    for row in rows:
        if row.engine != OURS or row.job.stream:
            continue
        if judged(row).outcome(trust_of(OURS)) is Outcome.WRONG:
            found.append(_mistake(row, row.asked))
    return sorted(found, key=lambda one: (one["set"], one["level"], one["clip"]))


def pairs(rows: Iterable[Row]) -> list[list[Any]]:
    """Return what our ear made of each clip: what the simulated conversations mishear from.

    A row is set, level, noise, voice, said, heard (None: the gate stayed shut), confidence.
    """
    found = [
        [
            row.asked.group,
            row.job.level,
            row.noise,
            row.job.voice,
            row.asked.said,
            row.text,
            round(row.confidence, 4),
        ]
        for row in rows
        if row.engine == OURS and not row.job.stream
        if row.asked.group not in (UNASKED, PEOPLES_WORDS)
    ]
    return sorted(found, key=lambda one: [str(part) for part in one])


def hardest(rows: Iterable[Row], most: int = 60) -> list[Count]:
    """Return the phrases that our ear hears right least often, over all levels."""
    found: dict[tuple[str, str], list[Judged]] = defaultdict(list)
    for row in rows:
        if row.engine == OURS and row.asked.said and not row.job.stream:
            found[row.asked.group, row.asked.said].append(judged(row))
    counts: list[Count] = [
        {"set": group, "said": said, "n": len(ones), **counted(ones, trust_of(OURS))}
        for (group, said), ones in found.items()
    ]
    return sorted(counts, key=lambda one: one.get("right", 0) - one["n"])[:most]


def _mistake(row: Row, asked: Asked) -> Count:
    return {
        "set": asked.group,
        "level": row.job.level,
        "noise": row.noise,
        "clip": row.job.name,
        "voice": row.job.voice,
        "said": asked.said,
        "heard": row.text,
        "confidence": round(row.confidence, 4),
    }
