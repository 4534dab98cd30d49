"""How near two things that can be said sound: the fewest phones to change, add or leave out.

A phrase is compared with everything that an acceptor lets through, not only with a list.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from pathlib import Path

from assistant.words.phrase import Automaton, Phrase, automaton

Ways = Mapping[str, tuple[tuple[str, ...], ...]]
"""Word -> its pronunciations."""
LEXICON = Path(__file__).parents[2] / "models" / "ear" / "lexicon.txt"


def read_ways(path: Path = LEXICON) -> Ways:
    """Return the pronunciations of every word in a model's lexicon."""
    found: dict[str, tuple[tuple[str, ...], ...]] = {}
    for row in path.read_text(encoding="utf-8").splitlines():
        word, *phones = row.split()
        found[word] = (*found.get(word, ()), tuple(phones))
    return found


class _Phones:
    """An acceptor of words unrolled into phones: node -> (phone, next node)."""

    def __init__(self, machine: Automaton, ways: Ways) -> None:
        self.arcs: list[list[tuple[str, int]]] = [[] for _ in machine.arcs]
        self.finals = machine.finals
        for state, arcs in enumerate(machine.arcs):
            for word, after in arcs:
                for way in ways[word]:
                    at = state
                    for phone in way[:-1]:
                        self.arcs.append([])
                        self.arcs[at].append((phone, len(self.arcs) - 1))
                        at = len(self.arcs) - 1
                    self.arcs[at].append((way[-1], after))


def distance(said: str, others: Phrase, ways: Ways, most: int = 99) -> int:
    """Return the fewest phones by which ``said`` differs from anything in ``others``.

    What lies ``most`` phones away or farther is not told apart from that.
    """
    graph = _Phones(automaton(others), ways)
    return min(_distance(phones, graph, most) for phones in _spoken(said.split(), ways))


def _spoken(words: list[str], ways: Ways) -> list[tuple[str, ...]]:
    if not words:
        return [()]
    return [(*way, *rest) for way in ways[words[0]] for rest in _spoken(words[1:], ways)]


def _distance(phones: tuple[str, ...], graph: _Phones, most: int) -> int:
    """Walk along both at once, cheapest first (Dijkstra)."""
    todo, done = [(0, 0, 0)], set()
    while todo:
        cost, at, node = heapq.heappop(todo)
        if (at, node) in done:
            continue
        done.add((at, node))
        if cost >= most or (at == len(phones) and node in graph.finals):
            return cost
        if at < len(phones):
            heapq.heappush(todo, (cost + 1, at + 1, node))
        for phone, after in graph.arcs[node]:
            heapq.heappush(todo, (cost + 1, at, after))
            if at < len(phones):
                heapq.heappush(todo, (cost + (phone != phones[at]), at + 1, after))
    raise ValueError("the acceptor lets nothing through")
