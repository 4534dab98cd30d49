"""Which steps can ever be reached, and which loops nobody but the welder ends. Pure.

Imports ``flow`` and ``model``. A run is followed with every answer that may come, and with none.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.procedure import flow
from assistant.procedure.model import Procedure, Step

MOST_STANDS = 50_000
"""More than any checklist has that somebody can follow; beyond it nothing is called unreachable."""

_Known = frozenset[tuple[str, str]]
_Stand = tuple[int, _Known]
"""A place, and what came of the steps before it that a step from there on still asks for."""


def unreachable(procedure: Procedure) -> tuple[Step, ...]:
    """Return the steps that no answers lead to."""
    asked_last = _asked_last(procedure)
    begun: _Stand = (0, frozenset())
    seen, left, reached = {begun}, [begun], set()
    while left:
        place, known = left.pop()
        if place >= len(procedure.steps):
            continue
        if meets(procedure.steps[place], dict(known)):
            reached.add(place)
            nexts = _from(procedure, place, known)
        else:
            nexts = iter([(place + 1, known)])
        for there, then_known in nexts:
            stand = (there, _still_asked(then_known, there, asked_last))
            if stand not in seen:
                seen.add(stand)
                left.append(stand)
        if len(seen) > MOST_STANDS:
            return ()
    return tuple(each for place, each in enumerate(procedure.steps) if place not in reached)


def loops_without_way_out(procedure: Procedure) -> tuple[Step, ...]:
    """Return the steps that lead to an earlier one for ever, as they have no cap.

    A question that is only asked again is no such loop: it waits for a hand, not for luck.
    """
    return tuple(each for each in procedure.steps if _leads_back_uncapped(each))


def _leads_back_uncapped(step: Step) -> bool:
    instead = flow.otherwise(step)
    if instead is None or instead.then in (flow.AGAIN, flow.GO_ON):
        return False
    return instead.cap is None


def meets(step: Step, came: dict[str, str]) -> bool:
    """Tell whether a step is asked, given what came of the steps before it."""
    return step.only_if is None or came.get(step.only_if[0]) in step.only_if[1:]


def _asked_last(procedure: Procedure) -> dict[str, int]:
    """Return for each step that a condition names where the last such condition stands."""
    steps = enumerate(procedure.steps)
    return {each.only_if[0]: place for place, each in steps if each.only_if}


def _still_asked(known: _Known, place: int, asked_last: dict[str, int]) -> _Known:
    return frozenset(one for one in known if asked_last.get(one[0], -1) >= place)


def _from(procedure: Procedure, place: int, known: _Known) -> Iterator[_Stand]:
    """Yield where a run may stand behind a step; where it was before is not told again."""
    step = procedure.steps[place]
    yield place + 1, known  # it only told, or was not heard
    for came in flow.may_come_of(step):
        and_this = known | {(step.id, came)}
        if not flow.turns_back(step, came):
            yield place + 1, and_this
            continue
        instead = flow.otherwise(step)
        if instead and instead.cap and instead.cap.then != flow.STOP:
            last_turn = instead.cap.times - 1
            yield flow.next_place(procedure, place, came, last_turn), and_this
