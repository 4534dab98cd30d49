"""A list of phrases from which a foreign model learns a grammar's word pairs. Imports ``words``.

The recogniser library makes a bigram language model of the list: it knows which word may follow
which, and no more. So the list needs every pair of neighbours once, not every phrase.
"""

from __future__ import annotations

from collections import deque

from assistant.words.phrase import Automaton

Arc = tuple[int, str, int]


def phrase_list(machine: Automaton, without: frozenset[str] = frozenset()) -> list[str]:
    """Return phrases that hold every pair of neighbouring words, every first and every last word.

    Only whole phrases of the grammar are returned, and none with a word of ``without``: leaving
    out just the word would make "three sixteenths" a "three".
    """
    arcs = [
        (state, word, after)
        for state, row in enumerate(machine.arcs)
        for word, after in row
        if word not in without
    ]
    start = _shortest(arcs, {0}, forward=True)
    finish = _shortest(arcs, set(machine.finals), forward=False)
    useful = [arc for arc in arcs if arc[0] in start and arc[2] in finish]
    found: dict[str, None] = {}
    covered: set[tuple[str, str]] = set()
    for lead, arc in _neighbours(useful):
        phrase = [*start[lead[0] if lead else arc[0]], *([lead[1]] if lead else [])]
        phrase += [arc[1], *finish[arc[2]]]
        pairs = set(zip(["", *phrase], [*phrase, ""], strict=True))
        if not pairs <= covered:
            covered |= pairs
            found[" ".join(phrase)] = None
    return list(found)


def _neighbours(arcs: list[Arc]) -> list[tuple[Arc | None, Arc]]:
    """Return each distinct pair of words that follow each other, once; None before a first."""
    leaving: dict[int, list[Arc]] = {}
    for arc in arcs:
        leaving.setdefault(arc[0], []).append(arc)
    pairs: dict[tuple[str, str], tuple[Arc | None, Arc]] = {}
    for arc in leaving.get(0, ()):
        pairs.setdefault(("", arc[1]), (None, arc))
    for lead in arcs:
        for arc in leaving.get(lead[2], ()):
            pairs.setdefault((lead[1], arc[1]), (lead, arc))
    return list(pairs.values())


def _shortest(arcs: list[Arc], goals: set[int], *, forward: bool) -> dict[int, list[str]]:
    """Return the fewest words from a goal to each state (forward), or from it to a goal."""
    near: dict[int, list[tuple[str, int]]] = {}
    for state, word, after in arcs:
        here, there = (state, after) if forward else (after, state)
        near.setdefault(here, []).append((word, there))
    found: dict[int, list[str]] = {goal: [] for goal in sorted(goals)}
    todo = deque(found)
    while todo:
        here = todo.popleft()
        for word, there in near.get(here, ()):
            if there not in found:
                found[there] = [*found[here], word] if forward else [word, *found[here]]
                todo.append(there)
    return found
