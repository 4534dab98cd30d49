"""One mapping of a checklist, read key by key; whatever is wrong becomes a fault.

Imported by ``steps`` and ``loader``. A reader returns an empty value (``""`` or ``None``) after a
fault, so that the rest of the file can still be looked through; a file with faults is never used.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from assistant.procedure import measures
from assistant.procedure.faults import Faults
from assistant.procedure.spoken import unspeakable
from assistant.procedure.yaml_lines import Items, Mapping, Scalar, Value

EXAMPLES = {
    "procedure": "procedure: finish-weld",
    "title": "title: Finish weld",
    "version": 'version: "1"',
    "limits": "limits: {least: 1 in, most: 1 1/2 in, rule: 1/16 in}",
    "least": "least: 1 in",
    "most": "most: 1 1/2 in",
    "rule": "rule: 1/16 in",
    "steps": "steps: and below it a list of steps, each beginning with - id:",
    "id": "- id: followed by a name such as clean-roller",
    "tell": "tell: and the words to speak",
    "warn": "warn: and the words to speak",
    "ask": "ask: and the question",
    "wait": "wait: 10 min, or wait: until 13:30",
    "judge": "judge: {width: width, mode: failure}",
    "look": "look: conditions",
    "gun": "gun: {watts: 1600 W, volts: 120 V}",
    "watts": "watts: 1600 W",
    "volts": "volts: 120 V",
    "say": "say: and the words to speak",
    "why": "why: and the reason in words to speak",
    "how": "how: and how it is done, in words to speak",
    "answer": "answer: yes-no, answer: choice or answer: value",
    "hoped": 'hoped: "yes" or hoped: "no", in quotes',
    "otherwise": "otherwise: {say: what to do about it, then: again}",
    "then": "then: again, then: go-on, or then: with the id of an earlier step",
    "choices": "choices: and below it one line for each answer, such as clear: [clear edge]",
    "of": "of: air-temperature, of: wind, or another of checklists/README.md",
    "unit": "unit: in or unit: number, or another unit below of:",
    "plausible": "plausible: {from: 1/4 in, to: 2 1/2 in}",
    "from": "from: 1/4 in (or from: 1 where the unit is number)",
    "to": "to: 2 1/2 in (or to: 999 where the unit is number)",
    "patience": "patience: 1.2 s",
    "quiet": "quiet: 60 s",
    "hands": "hands: busy",
    "meanwhile": "meanwhile: and below it a list such as - {left: 1 min, say: One minute left.}",
    "left": "left: 1 min",
    "every": "every: 10 min",
    "called": "called: width",
    "on-fail": "on-fail: {go-to: weld, say: what to do about it}",
    "go-to": "go-to: with the id of an earlier step",
    "only-if": 'only-if: {step: whole, answer: "no"}',
    "step": "step: with the id of an earlier question",
    "until": "until: done",
    "once": "once: shift",
    "remind": "remind: {every: 10 min, say: what to say}",
    "at-most": "at-most: {times: 3, then: stop, say: what to say}",
    "times": "times: 3",
    "include": "include: shared/cautions.yaml",
    "as": "as: followed by a word to begin the ids with, such as test",
    "shared": "shared: followed by a name such as cautions",
    "values": "values: and below it one line for each, such as least-width: 1 in",
    "danger": "danger: hot, or danger: [hot, sharp, edge, electric] with those that apply",
    "width": "width: with the id of the step that asks for the width",
    "mode": "mode: with the id of the step that asks how the strip failed",
    "rules": "rules: testing",
    "drill": "drill: faults",
    "topic": "topic: and what to look at again after a wrong answer",
    "right": "right: with the key of the one choice that is right",
    "because": "because: and the reason in words to speak",
    "sign": "sign: clean-peel, or another that is listed in checklists/README.md",
    "heat": "heat: none, heat: bleed-out or heat: burn",
    "due": "due: and below it what ends the proof of a set-up",
    "hours": "hours: 5 h",
    "cover": "cover: and below it what a cut or a fault puts in question",
    "cuts": "cuts: and below it where to cut after a failed test",
    "way": "way: steps or way: halving",
}
"""For each key, how it may be written; fills the "Write ..." of a message."""

_ID = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*")


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that ``word`` was most likely meant to be, if one is near."""
    close = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return close[0] if close else None


@dataclass(slots=True)
class Fields:
    """The keys of one mapping; ``close`` reports those that nobody asked for."""

    mapping: Mapping
    faults: Faults
    what: str
    """What the mapping is, for messages: ``"this step"``."""
    asked: list[str] = field(default_factory=list)

    def has(self, key: str) -> bool:
        """Tell whether the key is there."""
        return key in self.mapping.entries

    def line(self, key: str) -> int:
        """Return the line of a key, or of the mapping when it lacks the key."""
        entry = self.mapping.entries.get(key)
        return entry.line if entry else self.mapping.line

    def fault(self, key: str, wrong: str, instead: str = "") -> None:
        """Report what is wrong with a key; without ``instead`` its example is shown."""
        instead = instead or EXAMPLES.get(key, "something else")
        self.faults.add(self.line(key), key, wrong + self._source(key), instead)

    def _source(self, key: str) -> str:
        """Say where a value comes from that stands in a job file."""
        entry = self.mapping.entries.get(key)
        source = entry.value.source if entry and isinstance(entry.value, Scalar) else ""
        return f" (the value comes from {source})" if source else ""

    def value(self, key: str, required: bool = True) -> Value | None:
        """Return the value of a key; None without one, which is a fault when ``required``."""
        self.asked.append(key)
        entry = self.mapping.entries.get(key)
        if entry is None and required:
            self.fault(key, f"{self.what} lacks this key")
        return entry.value if entry else None

    def text(self, key: str, required: bool = True) -> str:
        """Return a text with single spaces."""
        value = self.value(key, required)
        if value is None or (isinstance(value, Scalar) and value.misread):
            return ""
        if not isinstance(value, Scalar) or not isinstance(value.data, str):
            self.fault(key, f"{kind_of(value)} stands where text belongs", _as_text(key, value))
            return ""
        text = " ".join(value.data.split())
        if not text:
            self.fault(key, "the text is empty")
        return text

    def spoken(self, key: str, required: bool = True) -> str:
        """Return a text that a voice can say."""
        text = self.text(key, required)
        problem = unspeakable(text) if text else None
        if problem:
            self.fault(key, *problem)
        return text

    def name(self, key: str) -> str:
        """Return an id: lower-case words joined by hyphens."""
        text = self.text(key)
        if text and not _ID.fullmatch(text):
            self.fault(key, f"'{text}' is not lower-case words joined by hyphens", _id_like(text))
        return text

    def one_of(self, key: str, allowed: tuple[str, ...], required: bool = True) -> str:
        """Return one of a few words, or empty."""
        text = self.text(key, required)
        if text and text not in allowed:
            self.fault(key, f"'{text}' is not one of {', '.join(allowed)}")
            return ""
        return text

    def some_of(self, key: str, allowed: tuple[str, ...]) -> tuple[str, ...]:
        """Return one or more of a few words, given as one word or a list; none without the key."""
        value = self.value(key, required=False)
        if value is None or (isinstance(value, Scalar) and value.misread):
            return ()
        if isinstance(value, Items) and not value.items:
            self.fault(key, "the list is empty")
        found: list[str] = []
        for item in value.items if isinstance(value, Items) else (value,):
            word = item.data if isinstance(item, Scalar) else None
            if word in allowed and word not in found:
                found.append(str(word))
            elif not isinstance(item, Scalar) or not item.misread:
                twice = f"'{word}' stands here twice"
                other = f"{kind_of(item)} is not one of {', '.join(allowed)}"
                self.faults.add(item.line, key, twice if word in found else other, EXAMPLES[key])
        return tuple(found)

    def inches(self, key: str) -> Fraction | None:
        """Return a length above nought, in inches."""
        return self._measure(key, measures.inches, "a length")

    def seconds(self, key: str, most: str, required: bool = True) -> Fraction | None:
        """Return a time in seconds, above nought and at most ``most``, such as ``"12 h"``."""
        value = self._measure(key, measures.seconds, "a time", required)
        if value is not None and value > measures.seconds(most):
            self.fault(key, f"the time is longer than {most}", f"at most {most}")
            return None
        return value

    def whole_seconds(self, key: str, most: str, required: bool = True) -> int | None:
        """Return a time as ``seconds`` does, in whole seconds."""
        value = self.seconds(key, most, required)
        if value is not None and value.denominator != 1:
            self.fault(key, "the time is not whole seconds")
            return None
        return None if value is None else int(value)

    def count(self, key: str) -> Fraction | None:
        """Return a whole number above nought."""
        value = self.value(key)
        if value is None or (isinstance(value, Scalar) and value.misread):
            return None
        # bool is an int to Python, and no number to anybody else.
        if isinstance(value, Scalar) and type(value.data) is int:
            if value.data > 0:
                return Fraction(value.data)
            self.fault(key, f"{value.data} is not above nought", f"{key}: 1 or more")
            return None
        self.fault(key, f"{kind_of(value)} stands where a whole number belongs", f"{key}: 1")
        return None

    def inner(self, key: str, required: bool = True) -> Fields | None:
        """Return the mapping under a key."""
        value = self.value(key, required)
        if value is None:
            return None
        if not isinstance(value, Mapping):
            self.fault(key, f"{kind_of(value)} stands where keys with values belong")
            return None
        return Fields(value, self.faults, f"'{key}'")

    def items(self, key: str) -> tuple[Value, ...]:
        """Return the list under a key; an empty list is a fault."""
        value = self.value(key)
        if value is None:
            return ()
        if not isinstance(value, Items):
            self.fault(key, f"{kind_of(value)} stands where a list belongs")
            return ()
        if not value.items:
            self.fault(key, "the list is empty")
        return value.items

    def close(self) -> None:
        """Report every key that was not asked for."""
        for key in self.mapping.entries:
            if key not in self.asked:
                instead = nearest(key, self.asked) or f"only {', '.join(self.asked)}"
                self.fault(key, f"{self.what} has no such key", instead)

    def _measure(
        self, key: str, read: Callable[[str], Fraction], what: str, required: bool = True
    ) -> Fraction | None:
        value = self.value(key, required)
        if value is None or (isinstance(value, Scalar) and value.misread):
            return None
        if not isinstance(value, Scalar) or not isinstance(value.data, str):
            self.fault(key, f"{kind_of(value)} stands where {what} with its unit belongs")
            return None
        try:
            size = read(value.data)
        except ValueError as error:
            self.fault(key, str(error))
            return None
        if not size:
            self.fault(key, f"{what} of nought makes no sense")
            return None
        return size


def kind_of(value: Value) -> str:
    """Say what a value is, for a message."""
    if isinstance(value, Items):
        return "a list"
    if isinstance(value, Mapping):
        return "a group of keys"
    if value.data is None:
        return "nothing"
    if isinstance(value.data, bool):
        return f"the switch {str(value.data).lower()}"
    return f"the number {value.data}" if isinstance(value.data, int) else f"the text '{value.data}'"


def _as_text(key: str, value: Value) -> str:
    if isinstance(value, Scalar) and type(value.data) is int:
        return f'{key}: "{value.data}" in quotes'
    return EXAMPLES.get(key, f"{key}: and a text")


def _id_like(text: str) -> str:
    words = re.findall(r"[a-z0-9]+", text.lower())
    likely = "-".join(words)
    return likely if _ID.fullmatch(likely) else "a name such as clean-roller"
