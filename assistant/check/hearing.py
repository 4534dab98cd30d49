"""Whether the answers of a checklist can be heard, and told apart. Pure.

Only choices are looked at: every other answer is a phrase of ``words``, which has tests of its own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator
from dataclasses import dataclass, field
from itertools import combinations

from assistant.check.findings import Finding
from assistant.check.place import Sheet
from assistant.procedure.fields import nearest
from assistant.procedure.model import AskChoice
from assistant.words.commands import COMMANDS
from assistant.words.marks import HAPPENED
from assistant.words.phones import ALIKE_UP_TO, Ways, kind_of, phrases_alike, ways_of

ANYTIME = (*COMMANDS, *HAPPENED)
"""What may be said at any question beside its answers, and counts at once. Marks do not: they are
read back."""


@dataclass(frozen=True, slots=True)
class _Heap:
    """The phones of a phrase without their order, over all ways to say it."""

    least: int
    most: int
    phones: Counter[str]
    kinds: Counter[str]


@dataclass(slots=True)
class Ear:
    """What a recogniser's model knows of words."""

    ways: Ways = field(default_factory=dict)
    """Pronunciations; empty where the model keeps them to itself: then nothing sounds alike."""
    known: Container[str] | None = None
    """Words that it can hear; None: those with a pronunciation."""
    _alike: dict[tuple[str, str], bool] = field(default_factory=dict)
    _heaps: dict[str, _Heap] = field(default_factory=dict)

    def hears(self, word: str) -> bool:
        """Tell whether it can hear a word."""
        return word in (self.ways if self.known is None else self.known)

    def alike(self, one: str, other: str) -> bool:
        """Tell whether two phrases sound alike."""
        pair = (one, other)
        if pair not in self._alike:
            near = self._may_be_alike(one, other)
            self._alike[pair] = near and phrases_alike(one, other, self.ways)
        return self._alike[pair]

    def _may_be_alike(self, one: str, other: str) -> bool:
        """Rule most pairs out by the phones they share, without lining them up."""
        ours, theirs = self._heap(one), self._heap(other)
        longest, least = max(ours.most, theirs.most), max(ours.least, theirs.least)
        alike = sum((ours.kinds & theirs.kinds).values())
        same = sum((ours.phones & theirs.phones).values())
        # What finds no like phone costs one, what finds only a like one costs half.
        cost = max(0, least - alike) + max(0, min(alike, least) - same) / 2
        return cost <= max(1.0, ALIKE_UP_TO * longest)

    def _heap(self, phrase: str) -> _Heap:
        if phrase not in self._heaps:
            phones: Counter[str] = Counter()
            kinds: Counter[str] = Counter()
            lengths = [0]
            for way in ways_of(phrase, self.ways):
                phones |= Counter(way)
                kinds |= Counter(map(kind_of, way))
                lengths.append(len(way))
            self._heaps[phrase] = _Heap(min(lengths[1:] or [0]), max(lengths), phones, kinds)
        return self._heaps[phrase]


def check_hearing(sheet: Sheet, ear: Ear) -> Iterator[Finding]:
    """Yield words that nobody will be heard with, and answers that sound alike."""
    for step in sheet.procedure.steps:
        if isinstance(step, AskChoice):
            yield from _lacking(sheet, step, ear)
            yield from _alike(sheet, step, ear)


def _lacking(sheet: Sheet, step: AskChoice, ear: Ear) -> Iterator[Finding]:
    for choice in step.choices:
        for phrase in choice.said:
            lacking = [word for word in phrase.split() if not ear.hears(word)]
            if not lacking:
                continue
            near = nearest(lacking[0], ear.ways)
            other = f"Use another word such as '{near}'" if near else "Use other words"
            words = " and ".join(f"'{word}'" for word in lacking)
            yield sheet.found(
                "word-not-heard",
                step,
                f"the recogniser does not know {words}, so '{phrase}' is never heard",
                f"{other}, or add the word's pronunciation as models/recipe tells",
                f"choices.{choice.id}",
            )


def _alike(sheet: Sheet, step: AskChoice, ear: Ear) -> Iterator[Finding]:
    said = [(choice.id, phrase) for choice in step.choices for phrase in choice.said]
    for (one, phrase), (other, against) in combinations(said, 2):
        if one != other and ear.alike(phrase, against):
            yield sheet.found(
                "sounds-alike",
                step,
                f"'{against}' ({other}) sounds like '{phrase}' ({one})",
                "Say one of them with other words, or leave that phrase out",
                f"choices.{other}",
            )
    for name, phrase in said:
        for always in ANYTIME:
            if ear.alike(phrase, always):
                yield sheet.found(
                    "sounds-alike",
                    step,
                    f"'{phrase}' ({name}) sounds like '{always}', which can be said at any time",
                    "Say the answer with other words",
                    f"choices.{name}",
                )
