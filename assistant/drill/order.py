"""Which question comes next. Pure; imports ``model``.

A question is due again some questions after it was asked: soon after a wrong answer, later after
a right one, and with each further right answer twice as late. What was wrong and is due comes
before all else. Then new questions and right ones that are due take turns, so that neither keeps
the other away; new ones come in an order that ``seed`` decides, the others as they are overdue.
The numbers are our own choice: a wrong answer comes back within the same short drill.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.drill.model import Told

AFTER_WRONG = 3
"""A wrong answer comes again as the third question from then on, with two others between."""
AFTER_RIGHT = 8
"""Twice as many after each further right answer in a row."""
MOST = 512


def next_question(ids: Sequence[str], told: Sequence[Told], seed: int) -> str:
    """Return the id of the question to ask next, out of ``ids``, which must not be empty.

    ``told`` holds all answers so far, the oldest first, those of earlier drills included. Unless
    there is only one, it is never the one that was asked last.
    """
    last = told[-1].question if told else None
    free = [one for one in ids if one != last] or list(ids)
    known = _seen(told)
    asked = [one for one in free if one in known]
    overdue = {one: len(told) - known[one].due_at for one in asked}
    due = [one for one in asked if overdue[one] >= 0]
    wrong = [one for one in due if not known[one].in_a_row]
    new = [one for one in free if one not in known]
    if new and not wrong and (not due or len(told) % 2):
        return min(new, key=lambda one: _shuffled(one, seed))
    return max(wrong or due or asked, key=lambda one: (overdue[one], _shuffled(one, seed)))


@dataclass(frozen=True, slots=True)
class _Seen:
    due_at: int
    """How many answers must have been given before it is asked again."""
    in_a_row: int


def _seen(told: Sequence[Told]) -> dict[str, _Seen]:
    found: dict[str, _Seen] = {}
    for place, one in enumerate(told):
        row = found[one.question].in_a_row + 1 if one.question in found else 1
        row = row if one.right else 0
        gap = min(AFTER_RIGHT * 2 ** (row - 1), MOST) if row else AFTER_WRONG
        found[one.question] = _Seen(place + gap, row)
    return found


def shuffled(ids: Sequence[str], seed: int) -> tuple[str, ...]:
    """Return ids in an order that ``seed`` decides, the same on every machine."""
    return tuple(sorted(ids, key=lambda one: _shuffled(one, seed)))


def _shuffled(name: str, seed: int) -> str:
    return hashlib.sha256(f"{seed} {name}".encode()).hexdigest()
