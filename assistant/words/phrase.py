"""Phrases as small trees: from one tree come the recogniser's grammar and the parser.

Imports nothing of ours. A tree is made of words, sequences, alternatives and optional parts, and
each node has a meaning. ``readings`` gives every meaning that a list of words can have under a
tree (none: not understood; one: read; several: ambiguous, so ask). ``automaton`` turns the same
tree into a deterministic acceptor, from which a recogniser's strict graph is built: what cannot
be parsed cannot be heard, and the other way round.
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

Match = tuple[int, Any]
"""How far a node read (index of the next word) and what it means."""


class Phrase:
    """A node of the tree."""

    def match(self, words: tuple[str, ...], at: int) -> Iterator[Match]:
        """Yield every way to read this node from ``words[at:]``."""
        raise NotImplementedError

    def build(self, nfa: _Nfa, start: int) -> int:
        """Add this node to ``nfa`` from state ``start``; return its end state."""
        raise NotImplementedError

    def pick(self, rng: random.Random) -> list[str]:
        """Return the words of one phrase, chosen at random."""
        raise NotImplementedError

    def means(self, meaning: Callable[[Any], Any]) -> Phrase:
        """Return this node with its meaning passed through ``meaning``."""
        return _Means(self, meaning)


@dataclass(frozen=True, slots=True)
class Word(Phrase):
    """A single spoken word; its meaning is ``value``."""

    word: str
    value: Any

    def match(self, words: tuple[str, ...], at: int) -> Iterator[Match]:
        if at < len(words) and words[at] == self.word:
            yield at + 1, self.value

    def build(self, nfa: _Nfa, start: int) -> int:
        end = nfa.state()
        nfa.arcs[start].append((self.word, end))
        return end

    def pick(self, rng: random.Random) -> list[str]:
        return [self.word]


@dataclass(frozen=True, slots=True)
class Seq(Phrase):
    """Parts one after another; its meaning is the tuple of theirs."""

    parts: tuple[Phrase, ...]

    def match(self, words: tuple[str, ...], at: int) -> Iterator[Match]:
        return self._rest(words, at, 0, ())

    def _rest(
        self, words: tuple[str, ...], at: int, part: int, values: tuple[Any, ...]
    ) -> Iterator[Match]:
        if part == len(self.parts):
            yield at, values
            return
        for after, value in self.parts[part].match(words, at):
            yield from self._rest(words, after, part + 1, (*values, value))

    def build(self, nfa: _Nfa, start: int) -> int:
        for part in self.parts:
            start = part.build(nfa, start)
        return start

    def pick(self, rng: random.Random) -> list[str]:
        return [word for part in self.parts for word in part.pick(rng)]


@dataclass(frozen=True, slots=True)
class Alt(Phrase):
    """Any one of several phrases; its meaning is that of the one said."""

    options: tuple[Phrase, ...]

    def match(self, words: tuple[str, ...], at: int) -> Iterator[Match]:
        for option in self.options:
            yield from option.match(words, at)

    def build(self, nfa: _Nfa, start: int) -> int:
        end = nfa.state()
        for option in self.options:
            nfa.skips[option.build(nfa, start)].append(end)
        return end

    def pick(self, rng: random.Random) -> list[str]:
        return rng.choice(self.options).pick(rng)


@dataclass(frozen=True, slots=True)
class Opt(Phrase):
    """A part that may be left out; its meaning is then ``absent``."""

    part: Phrase
    absent: Any = None

    def match(self, words: tuple[str, ...], at: int) -> Iterator[Match]:
        yield from self.part.match(words, at)
        yield at, self.absent

    def build(self, nfa: _Nfa, start: int) -> int:
        end = self.part.build(nfa, start)
        nfa.skips[start].append(end)
        return end

    def pick(self, rng: random.Random) -> list[str]:
        return self.part.pick(rng) if rng.random() < 0.5 else []


@dataclass(frozen=True, slots=True)
class _Means(Phrase):
    part: Phrase
    meaning: Callable[[Any], Any]

    def match(self, words: tuple[str, ...], at: int) -> Iterator[Match]:
        for after, value in self.part.match(words, at):
            yield after, self.meaning(value)

    def build(self, nfa: _Nfa, start: int) -> int:
        return self.part.build(nfa, start)

    def pick(self, rng: random.Random) -> list[str]:
        return self.part.pick(rng)


def say(text: str, value: Any) -> Phrase:
    """Return the fixed phrase ``text`` (words parted by spaces) that means ``value``."""
    words = text.split()
    if len(words) == 1:
        return Word(words[0], value)
    return Seq(tuple(Word(word, None) for word in words)).means(lambda _: value)


def any_of(*options: Phrase) -> Phrase:
    """Return a phrase that is any one of ``options``."""
    return options[0] if len(options) == 1 else Alt(options)


def table(meanings: dict[str, Any]) -> Phrase:
    """Return a phrase that is any key of ``meanings`` and means its value."""
    return any_of(*(say(text, value) for text, value in meanings.items()))


def seq(*parts: Phrase) -> Seq:
    """Return ``parts`` one after another."""
    return Seq(parts)


def readings(phrase: Phrase, words: Iterable[str]) -> list[Any]:
    """Return every distinct meaning that all of ``words`` together can have."""
    said = tuple(words)
    found: list[Any] = []
    for after, value in phrase.match(said, 0):
        if after == len(said) and value not in found:
            found.append(value)
    return found


@dataclass(slots=True)
class _Nfa:
    arcs: list[list[tuple[str, int]]] = field(default_factory=list)
    skips: list[list[int]] = field(default_factory=list)

    def state(self) -> int:
        self.arcs.append([])
        self.skips.append([])
        return len(self.arcs) - 1

    def reach(self, states: Iterable[int]) -> frozenset[int]:
        """Return ``states`` and all that is reached from them without a word."""
        seen = set(states)
        todo = list(seen)
        while todo:
            for after in self.skips[todo.pop()]:
                if after not in seen:
                    seen.add(after)
                    todo.append(after)
        return frozenset(seen)


@dataclass(frozen=True, slots=True)
class Automaton:
    """A deterministic acceptor of word lists; state 0 is the start."""

    arcs: tuple[tuple[tuple[str, int], ...], ...]
    """For each state, (word, next state), sorted by word."""
    finals: frozenset[int]

    def accepts(self, words: Iterable[str]) -> bool:
        """Tell whether ``words`` is a whole phrase."""
        state = 0
        for word in words:
            after = dict(self.arcs[state]).get(word)
            if after is None:
                return False
            state = after
        return state in self.finals

    def vocabulary(self) -> frozenset[str]:
        """Return all words on its arcs."""
        return frozenset(word for arcs in self.arcs for word, _ in arcs)


def automaton(phrase: Phrase) -> Automaton:
    """Return the smallest-effort deterministic acceptor of ``phrase``."""
    nfa = _Nfa()
    end = phrase.build(nfa, nfa.state())
    ids: dict[frozenset[int], int] = {nfa.reach([0]): 0}
    order = list(ids)
    arcs: list[tuple[tuple[str, int], ...]] = []
    for group in order:
        targets: dict[str, set[int]] = {}
        for state in group:
            for word, after in nfa.arcs[state]:
                targets.setdefault(word, set()).add(after)
        row = []
        for word in sorted(targets):
            closed = nfa.reach(targets[word])
            if closed not in ids:
                ids[closed] = len(order)
                order.append(closed)
            row.append((word, ids[closed]))
        arcs.append(tuple(row))
    finals = (ids[group] for group in order if end in group)
    return _smallest(Automaton(tuple(arcs), frozenset(finals)))


def _smallest(machine: Automaton) -> Automaton:
    """Merge states that no continuation tells apart (Moore's partition refinement)."""
    block = [int(state in machine.finals) for state in range(len(machine.arcs))]
    while True:
        names: dict[Any, int] = {}
        finer = []
        for state, arcs in enumerate(machine.arcs):
            sign = (block[state], tuple((word, block[after]) for word, after in arcs))
            finer.append(names.setdefault(sign, len(names)))
        if len(names) == len(set(block)):
            break
        block = finer
    # Blocks are named in order of first appearance, so the start state stays 0.
    rows: dict[int, tuple[tuple[str, int], ...]] = {}
    for state, arcs in enumerate(machine.arcs):
        rows.setdefault(finer[state], tuple((word, finer[after]) for word, after in arcs))
    return Automaton(
        tuple(rows[name] for name in range(len(rows))),
        frozenset(finer[state] for state in machine.finals),
    )


@dataclass(frozen=True)
class Grammar:
    """What may be heard at one moment, with a name for messages."""

    name: str
    phrase: Phrase
    free_ms: int = 0
    """So much free speech may come before the phrase, from which a pause parts it: it is kept as
    sound and not recognised."""

    @cached_property
    def automaton(self) -> Automaton:
        """The acceptor of its phrases."""
        return automaton(self.phrase)

    @cached_property
    def key(self) -> str:
        """A short name that changes whenever the set of phrases changes."""
        machine = self.automaton
        text = repr((machine.arcs, sorted(machine.finals)))
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    def readings(self, text: str) -> list[Any]:
        """Return every meaning of ``text``."""
        return readings(self.phrase, text.split())
