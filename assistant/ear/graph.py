"""From a grammar to the graph in which the recogniser searches. Imports ``words`` and ``lexicon``.

The graph holds the grammar's phrases and nothing between them: what cannot be parsed cannot be
heard. Beside the phrases it holds silence alone, and ``[unk]``, a loop of any phones at a price,
so that chatter and noise need not be bent into a phrase.

Labels read are Kaldi's transition numbers (two for each phone: stay, and enter); labels written
are words. The word is written on its first arc, and words that lead to the same grammar state
share everything behind their first phone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.ear.fst import EPSILON, Fst
from assistant.ear.lexicon import SILENCE, Lexicon
from assistant.errors import ModelProblem
from assistant.words.phrase import Automaton, Grammar

UNKNOWN = "[unk]"


@dataclass(frozen=True)
class Costs:
    """Prices in the graph, as negative natural logarithms of probabilities."""

    unknown: float = 6.0
    """For ``[unk]`` at all: so much better must it fit than a phrase. Guards the short commands."""
    unknown_phone: float = 2.0
    """For each phone of it besides. Lower: more chatter is refused, which is long."""
    silence: float = math.log(2)
    """For silence before, between or behind words; speaking on without costs the same."""
    no_silence: float = 8.0
    """For speech at the very first or last moment: the gate keeps silence on both sides, and a
    network that hears only hum would else make a word of all of it."""


@dataclass(frozen=True)
class Graph:
    """A compiled grammar."""

    fst: Fst
    words: tuple[str, ...]
    """The words it writes, in order of their numbers, from 1; ``[unk]`` is the last."""


def compile_graph(grammar: Grammar, lexicon: Lexicon, costs: Costs = Costs()) -> Graph:
    """Build the graph of ``grammar``.

    Raises:
        ModelProblem: the lexicon lacks words of the grammar; names every one.
    """
    machine = grammar.automaton
    missing = lexicon.missing(machine.vocabulary())
    if missing:
        raise ModelProblem(
            f"The recogniser's lexicon lacks words of {grammar.name!r}: {', '.join(missing)}. "
            "Use other words in the checklist, or add these to lexicon.txt in the model folder."
        )
    words = (*sorted(machine.vocabulary()), UNKNOWN)
    return Graph(_Builder(machine, lexicon, costs, words).build(), words)


def _stay(phone: int) -> int:
    return 2 * phone - 1


def _enter(phone: int) -> int:
    return 2 * phone


class _Builder:
    """One compilation. Each grammar state becomes two: ready for a word, and in silence."""

    def __init__(
        self, machine: Automaton, lexicon: Lexicon, costs: Costs, words: tuple[str, ...]
    ) -> None:
        self._machine = machine
        self._lexicon = lexicon
        self._costs = costs
        self._fst = Fst()
        self._numbers = {word: number for number, word in enumerate(words, start=1)}
        self._silence = lexicon.numbers[SILENCE]
        self._tails: dict[tuple[tuple[int, ...], int], int] = {}
        self._ways = {word: lexicon.pronunciations(word) for word in machine.vocabulary()}

    def build(self) -> Fst:
        """Return the whole graph."""
        start = self._fst.state()
        # The place behind [unk] is one more than those of the grammar: nothing may follow it.
        self._ready = [self._place() for _ in range(len(self._machine.arcs) + 1)]
        self._fst.skip(start, self._costs.no_silence, self._ready[0][0])
        self._fst.arc(start, _enter(self._silence), EPSILON, 0.0, self._ready[0][1])
        for state in (0, *self._machine.finals, len(self._machine.arcs)):
            ready, quiet = self._ready[state]
            self._fst.final(ready, self._costs.no_silence)
            self._fst.final(quiet)
        for state, arcs in enumerate(self._machine.arcs):
            for word, after in arcs:
                self._word(self._ready[state][0], word, after)
        self._unknown(self._ready[0][0], len(self._machine.arcs))
        return self._fst

    def _place(self) -> tuple[int, int]:
        ready, quiet = self._fst.state(), self._fst.state()
        self._fst.arc(quiet, _stay(self._silence), EPSILON, 0.0, quiet)
        self._fst.skip(quiet, 0.0, ready)
        return ready, quiet

    def _leave(self, state: int, after: int) -> None:
        """Go on from a word's last phone to a grammar state, with or without silence."""
        ready, quiet = self._ready[after]
        self._fst.skip(state, -math.log(1 - math.exp(-self._costs.silence)), ready)
        self._fst.arc(state, _enter(self._silence), EPSILON, self._costs.silence, quiet)

    def _word(self, ready: int, word: str, after: int) -> None:
        for way in self._ways[word]:
            to = self._tail(tuple(way), after)
            self._fst.arc(ready, _enter(way[0]), self._numbers[word], 0.0, to)

    def _tail(self, phones: tuple[int, ...], after: int) -> int:
        """Return the state in which the first of ``phones`` sounds, the rest behind it."""
        found = self._tails.get((phones, after))
        if found is not None:
            return found
        state = self._tails[phones, after] = self._fst.state()
        self._fst.arc(state, _stay(phones[0]), EPSILON, 0.0, state)
        if len(phones) == 1:
            self._leave(state, after)
        else:
            to = self._tail(phones[1:], after)
            self._fst.arc(state, _enter(phones[1]), EPSILON, 0.0, to)
        return state

    def _unknown(self, ready: int, after: int) -> None:
        """Add the loop of any phones: one that begins a word, any inside, one that ends it."""
        inside, end = self._fst.state(), self._fst.state()
        label = self._numbers[UNKNOWN]
        for first, middle, last in self._lexicon.spoken():
            self._unknown_phone(ready, first, label, inside)
            self._unknown_phone(inside, middle, EPSILON, inside)
            self._unknown_phone(inside, last, EPSILON, end)
        self._leave(end, after)

    def _unknown_phone(self, start: int, phone: int, writes: int, to: int) -> None:
        state = self._fst.state()
        cost = self._costs.unknown_phone + (self._costs.unknown if writes else 0.0)
        self._fst.arc(start, _enter(phone), writes, cost, state)
        self._fst.arc(state, _stay(phone), EPSILON, 0.0, state)
        self._fst.skip(state, 0.0, to)
