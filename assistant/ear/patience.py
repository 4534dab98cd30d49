"""How long is silence waited for? It depends on what was said so far.

Imports ``ports``, ``trust`` and ``words`` only. Pure: from the words heard up to a pause, and the
grammar they were heard under, comes how much silence ends the utterance. Behind "yes" nothing can
follow, so nobody need wait; inside "one and" everybody must.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Any

from assistant.ear.ports import Heard
from assistant.ear.trust import ANSWER_TRUST
from assistant.words.phrase import Automaton, Grammar
from assistant.words.widths import EXACT, HEDGES

AFTERTHOUGHTS = frozenset(
    {"no", "correction", "inch", "inches", "of"} | {words.split()[0] for words in (*HEDGES, *EXACT)}
)
"""First words of what changes a whole value, or only finishes it, but is no part of its number."""

_FEW = 8
"""Ways to go on that are compared with what was said already; more count as something new."""


class Standing(Enum):
    """How far a phrase has come."""

    NOT_UNDERSTOOD = "not understood"
    """No words of the grammar, or too unsure: nothing can be said about what follows."""
    PART = "part"
    """The phrase is not whole: something must follow."""
    MAY_GO_ON = "may go on"
    """Whole, but it may be the beginning of something else."""
    AFTERTHOUGHT = "afterthought"
    """Whole; all that may follow is an afterthought, as "strong" behind a width."""
    WHOLE = "whole"
    """Nothing can follow that changes its meaning."""


@dataclass(frozen=True)
class PatienceSettings:
    """How much silence ends an utterance, beside what the caller asks for."""

    whole_ms: int = 320
    """Behind a phrase that nothing can follow. Words hold pauses of up to 0.2 s in themselves."""
    afterthought_ms: int = 700
    """Behind a value that only an afterthought can follow. Values are read back: a correction that
    comes later is still heard."""
    part_factor: float = 1.5
    """Inside a phrase: so many times what was asked for, and never more."""
    sure_from: float = ANSWER_TRUST
    """Words less sure than this change nothing."""
    most_looks: int = 6
    """Pauses in one utterance at which its words are sought; a slow machine must not choke."""
    longest_look_ms: int = 6_000
    """Behind so much sound nobody looks any more: what is so long is mostly noise."""


def standing(text: str, grammar: Grammar) -> Standing:
    """Return how far ``text`` (words parted by spaces) has come in a phrase of ``grammar``."""
    machine = grammar.automaton
    state = _state(text.split(), machine)
    if state is None:
        return Standing.NOT_UNDERSTOOD
    if state not in machine.finals:
        return Standing.PART if text else Standing.NOT_UNDERSTOOD
    following = {word for word, _ in machine.arcs[state]}
    if not following or _changes_nothing(text, state, grammar):
        return Standing.WHOLE
    return Standing.AFTERTHOUGHT if following <= AFTERTHOUGHTS else Standing.MAY_GO_ON


def patience_ms(heard: Heard, grammar: Grammar, asked_ms: int, settings: PatienceSettings) -> int:
    """Return how much silence ends the utterance, given what was heard up to a pause in it.

    Never more than ``part_factor`` times ``asked_ms``; more than ``asked_ms`` only inside a phrase.
    """
    if heard.damaged or heard.confidence < settings.sure_from:
        return asked_ms
    return _spans(asked_ms, settings)[standing(heard.text, grammar)]


def _spans(asked_ms: int, settings: PatienceSettings) -> dict[Standing, int]:
    return {
        Standing.NOT_UNDERSTOOD: asked_ms,
        Standing.PART: round(settings.part_factor * asked_ms),
        Standing.MAY_GO_ON: asked_ms,
        Standing.AFTERTHOUGHT: min(asked_ms, settings.afterthought_ms),
        Standing.WHOLE: min(asked_ms, settings.whole_ms),
    }


def _state(words: list[str], machine: Automaton) -> int | None:
    state: int | None = 0
    for word in words:
        if state is None:
            return None
        state = dict(machine.arcs[state]).get(word)
    return state


def _changes_nothing(text: str, state: int, grammar: Grammar) -> bool:
    """Tell whether all that may follow means the same: "stop stop" is no more than "stop"."""
    ways = list(_ways_on(state, grammar.automaton))
    if len(ways) > _FEW:
        return False
    now: list[Any] = grammar.readings(text)
    return all(grammar.readings(f"{text} {' '.join(way)}") == now for way in ways)


def _ways_on(state: int, machine: Automaton) -> Iterator[tuple[str, ...]]:
    """Yield what may follow, shortest first, until it is too much to be compared."""
    todo: list[tuple[tuple[str, ...], int]] = [((), state)]
    found = 0
    while todo and found <= _FEW:
        said, at = todo.pop(0)
        if said and at in machine.finals:
            found += 1
            yield said
        todo.extend(((*said, word), after) for word, after in machine.arcs[at])
