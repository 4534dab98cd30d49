"""The tables of tests/bench/attention.py."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from bench.ear.intervals import most_an_hour

from assistant.ear.trust import ANSWER_TRUST

THRESHOLDS = (0.5, ANSWER_TRUST, 0.9, 0.97)
LEVELS = ("clean", "10", "5", "0")
_ABOUT = """\
Missed: in percent of clips said at that level over noise that no training used (every second one
beside a vacuum cleaner), the phrase alone, and with "done" in the same breath, which must be heard
as a whole. False wakes: in talk by voices that no training used, joined with pauses, clean and in
noise at 20, 10, 5 and 0 dB, and in noise alone; in brackets the 95 % upper bound (Poisson). More:
words that would have done something beside waking ("done" or a command in the same breath). Stops:
"stop" and its like without the phrase, at any confidence and at the threshold for answers. All
counts but those at other thresholds are at that for answers, {trust:g}. Through the dialogue: the
same hours with the phrase that was chosen, through gate, recogniser and dialogue, with Lapcall
asleep at first, and with an instruction just given, at which it hears "done" until talk puts it to
sleep. After a stop or an advanced step it is begun again."""


def report(head: str, sections: Iterable[str]) -> str:
    """Return the whole file."""
    about = _ABOUT.format(trust=ANSWER_TRUST)
    return "\n".join(["# The attention phrase", "", head, "", about, "", *sections])


def spans(minutes: int) -> dict[str, int]:
    """Return how many minutes of each sound are heard."""
    return {"chatter": minutes, "noise": max(1, minutes // 4) if minutes else 0}


def section(title: str, outcomes: Sequence[Any], minutes: int, names: Sequence[str]) -> str:
    """Return the tables of one folder of clips."""
    heard = spans(minutes)
    if not names:
        return f"## {title}\n"
    count = {
        hour: sum(1 for one in outcomes if one.what == hour and one.name in ("", names[0]))
        for hour in heard
    }
    rows = [
        f"## {title}",
        "",
        f"{heard['chatter']} minutes of talk ({count['chatter']} utterances), {heard['noise']} "
        f"minutes of noise ({count['noise']} utterances).",
        "",
        "| phrase | clips a level | missed: clean, 10, 5, 0 dB | missed with done | false wakes an "
        "hour of talk | of noise | more, in all | stops in all: any confidence, at the threshold |",
        "|---|---|---|---|---|---|---|---|",
    ]
    rows += [_row(name, outcomes, heard) for name in names]
    rows += ["", "### At other thresholds", "", _heads(), "|---|" + "---|" * len(THRESHOLDS)]
    rows += [_curve(name, outcomes, heard) for name in names]
    taken = [one for one in outcomes if one.what in heard and one.took]
    if taken:
        rows += [
            "",
            "### Taken for words",
            "",
            "| listened for | hour | level | text | confidence |",
        ]
        rows += ["|---|---|---|---|---|"]
        rows += [
            f"| {one.name} | {one.what} | {one.level} | {one.text} | {one.confidence:.3f} |"
            for one in sorted(taken, key=lambda one: (one.name, -one.confidence))
        ]
    return "\n".join([*rows, ""])


def _row(name: str, outcomes: Sequence[Any], spans: dict[str, int]) -> str:
    mine = [one for one in outcomes if one.name == name]
    clips = [one for one in mine if one.what == "phrase"]
    noisy = sum(1 for one in clips if one.level == LEVELS[1])
    alone = ", ".join(_missed(mine, "phrase", "wake", level) for level in LEVELS)
    both = ", ".join(_missed(mine, "phrase and done", "done", level) for level in LEVELS)
    wakes = {hour: _sure(mine, hour, {"wake"}, ANSWER_TRUST) for hour in spans}
    rates = [_rate(wakes[hour], spans[hour]) for hour in spans]
    talk = [one for one in mine if one.what in spans]
    more = [o for o in talk if o.took not in ("", "wake", "stop") and o.confidence >= ANSWER_TRUST]
    stops = [one for one in talk if one.took == "stop"]
    sure = sum(1 for one in stops if one.confidence >= ANSWER_TRUST)
    return (
        f"| {name} | {noisy} | {alone} | {both} | {rates[0]} | {rates[1]} | {len(more)} | "
        f"{len(stops)}, {sure} |"
    )


def _missed(mine: Sequence[Any], what: str, right: str, level: str) -> str:
    clips = [one for one in mine if one.what == what and one.level == level]
    if not clips:
        return "-"
    missed = [one for one in clips if one.took != right or one.confidence < ANSWER_TRUST]
    return f"{100 * len(missed) / len(clips):.0f}"


def _sure(mine: Sequence[Any], what: str, took: set[str], least: float) -> int:
    found = (one for one in mine if one.what == what and one.took in took)
    return sum(1 for one in found if one.confidence >= least)


def _rate(events: int, minutes: int) -> str:
    if not minutes:
        return "-"
    hours = minutes / 60
    return f"{events / hours:.1f} (at most {most_an_hour(events, hours):.1f})"


def _heads() -> str:
    return (
        "| phrase | "
        + " | ".join(f"{each:g}: missed at 5 dB, wakes an hour of talk" for each in THRESHOLDS)
        + " |"
    )


def _curve(name: str, outcomes: Sequence[Any], spans: dict[str, int]) -> str:
    mine = [one for one in outcomes if one.name == name]
    at_five = [one for one in mine if one.what == "phrase" and one.level == "5"]
    cells = []
    for least in THRESHOLDS:
        woke = sum(1 for one in at_five if one.took == "wake" and one.confidence >= least)
        missed = f"{100 * (1 - woke / len(at_five)):.0f} %" if at_five else "-"
        wakes = _sure(mine, "chatter", {"wake"}, least)
        rate = f"{60 * wakes / spans['chatter']:.1f}" if spans["chatter"] else "-"
        cells.append(f"{missed}, {rate}")
    return f"| {name} | " + " | ".join(cells) + " |"
