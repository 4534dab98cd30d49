"""Puts the tables together and says what each column means."""

from __future__ import annotations

from typing import Any

from assistant.ear.trust import ANSWER_TRUST, VALUE_TRUST
from assistant.words.numbers import in_words

from . import tables

_TOP = """\
Right / wrong in percent; the rest was asked again (or the gate heard no speech). Wrong is what
would have gone into the record, or would have been obeyed, without having been said. All engines
hear the very same samples: ours through its own front, the others what the same speech gate cuts
out after the full patience. Levels are the voice over noise that no training used: every second
clip beside a vacuum cleaner, the others beside {others} more recordings. Lapcall asks again below
its thresholds ({answer:g} for answers, {value:g} for values); the others are believed whenever what
they heard is a phrase of the grammar."""

_FULL = """\
n: clips. Gate shut: the speech gate found nothing, so nobody was asked. Right, wrong: with 95 %
intervals (Wilson). Asked again: too unsure, `[unk]`, or no phrase of the grammar. Sets in which
nothing was said for Lapcall (chatter; widths in words of no grammar) have no right: all that counts
there is what was wrongly taken."""

_HOURS = """\
An open microphone with nobody speaking to it: recorded noises that no training used and made ones
of unseen seeds at five loudnesses; talk by voices that no training used, joined with pauses, clean
and in noise at 20, 10, 5 and 0 dB. Every utterance that the gate cut out was tried at three
moments. In brackets: the 95 % upper bound (Poisson). A command "stop" counts at any confidence,
as the dialogue obeys it at any. Last column: values/commands had the threshold been another."""

_RELIABLE = """\
Of all clips in which something was said that could be heard, at all levels: how sure the ear was,
and how often it was right. Where the two agree, a threshold means what it says."""

_SPEED = """\
One core, in seconds of its work. The delay runs from the last sound of the voice to the words being
understood, sound coming in at the pace of a microphone; "90 %": nine of ten are quicker."""


def text(result: dict[str, Any]) -> str:
    """Return the whole report."""
    counts = result["counts"]
    lines = ["# What the ear hears", "", _head(result), ""]
    others = in_words(max(0, len(result["noises"]) - 1))
    top = _TOP.format(answer=ANSWER_TRUST, value=VALUE_TRUST, others=others)
    lines += [*tables.short(counts), top, ""]
    if result["hours"]:
        lines += [
            "## Noise and talk taken for words",
            "",
            _HOURS,
            "",
            *tables.hours(result["hours"]),
        ]
    if result["speed"]:
        lines += ["## Speed and size", "", _SPEED, "", *tables.speed(result["speed"])]
    if result["reliability"]:
        lines += ["## Does its confidence mean anything?", "", _RELIABLE, ""]
        lines += tables.reliability(result["reliability"])
    lines += ["## Everything, with intervals", "", _FULL, "", *tables.full(counts)]
    lines += ["## By noise", "", *tables.by_noise(counts)]
    lines += ["## At other thresholds", "", "Lapcall, right / wrong in percent.", ""]
    lines += tables.curves(counts)
    if any(one["taken"] for one in result["hours"]):
        lines += ["## Taken for words in those hours", "", *tables.taken(result["hours"])]
    lines += [_notes(result), ""]
    return "\n".join(lines)


def _head(result: dict[str, Any]) -> str:
    model, machine = result["model"], result["machine"]
    engines = "; ".join(f"{name}: {form}" for name, form in result["engines"].items())
    return (
        f"{result['made']}, {machine}. Model {model['sha256'][:12]} of {model['made']}, trained on "
        f"{model.get('trained_on') or 'unknown'}. {engines}. People's digits: "
        f"{result['digits_of']}. Clips: {result['clips']}. Written by tests/bench/ear/measure.py; "
        "the counts are in ear.json beside this."
    )


def _notes(result: dict[str, Any]) -> str:
    taken = result["taken_over"]
    if not taken:
        return "All figures are of one run."
    return f"{taken} counts were taken over from an earlier run on the same sounds."
