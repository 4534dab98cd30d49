"""Everything a phrase tree can say, listed from the tree itself: neither matched nor decoded.

A second look at what ``words.phrase`` does twice (as a parser and as an acceptor).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

from assistant.words.phrase import Alt, Automaton, Grammar, Opt, Phrase, Seq, Word

Saying = tuple[tuple[str, ...], Any]
"""The words of a phrase and what they mean in one way of reading them."""


class Sayings:
    """Lists phrases of at most so many words, remembering what parts of a tree can say."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, int], list[Saying]] = {}
        self._kept: list[Phrase] = []  # so that no id is used twice

    def of(self, phrase: Phrase, most: int) -> list[Saying]:
        """Return every way to say ``phrase`` in at most ``most`` words, with its meaning."""
        key = (id(phrase), most)
        if key not in self._known:
            self._kept.append(phrase)
            self._known[key] = list(self._list(phrase, most))
        return self._known[key]

    def _list(self, phrase: Phrase, most: int) -> Iterator[Saying]:
        if isinstance(phrase, Word):
            if most >= 1:
                yield (phrase.word,), phrase.value
        elif isinstance(phrase, Alt):
            for option in phrase.options:
                yield from self.of(option, most)
        elif isinstance(phrase, Opt):
            yield (), phrase.absent
            yield from self.of(phrase.part, most)
        elif isinstance(phrase, Seq):
            yield from self._in_order(phrase.parts, most)
        else:  # a node whose meaning is changed
            for words, value in self.of(phrase.part, most):
                yield words, phrase.meaning(value)

    def _in_order(self, parts: tuple[Phrase, ...], most: int) -> Iterator[Saying]:
        if not parts:
            yield (), ()
            return
        for words, value in self.of(parts[0], most):
            for rest, values in self._in_order(parts[1:], most - len(words)):
                yield words + rest, (value, *values)


def meanings(phrase: Phrase, most: int) -> dict[tuple[str, ...], list[Any]]:
    """Return each phrase of at most ``most`` words with all its different meanings."""
    found: dict[tuple[str, ...], list[Any]] = {}
    for words, value in Sayings().of(phrase, most):
        known = found.setdefault(words, [])
        if value not in known:
            known.append(value)
    return found


def count_by_length(machine: Automaton, most: int) -> Counter[int]:
    """Return how many phrases of each length up to ``most`` an acceptor lets through."""
    at, found = Counter({0: 1}), Counter()
    for length in range(most + 1):
        found[length] = sum(ways for state, ways in at.items() if state in machine.finals)
        following: Counter[int] = Counter()
        for state, ways in at.items():
            for _, after in machine.arcs[state]:
                following[after] += ways
        at = following
    return +found


@st.composite
def phrases(draw: st.DrawFn, grammar: Grammar) -> str:
    """Draw a phrase by walking along the acceptor of ``grammar``, any arc as likely as another."""
    machine, state, words = grammar.automaton, 0, []
    while True:
        arcs = machine.arcs[state]
        may_end = state in machine.finals
        if not arcs or (may_end and draw(st.booleans())):
            return " ".join(words)
        word, state = draw(st.sampled_from(arcs))
        words.append(word)
