"""What a look step finds and says. Imports ``conditions``, ``proof_said``; pure."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from assistant.dialogue import conditions
from assistant.dialogue.proof_said import due_at_start, suspects_now
from assistant.dialogue.state import State
from assistant.procedure.model import Look
from assistant.record import kinds

Found = tuple[bool, tuple[str, ...], tuple[str, ...]]
"""Whether anything was found, what is said of it, and the cautions for the record."""


def looked(state: State, step: Look, now: datetime | None) -> Found:
    """Return what the work so far calls for."""
    if step.of == "conditions":
        found, sentences = conditions.looked(state, step)
        return bool(found), sentences, tuple(each.say for each in found)
    rules, today = state.settings.rules, state.today
    if step.of == "tests":
        said = due_at_start(replace(today, now=now or today.now), rules, _job(state))
    else:
        said = suspects_now(today, rules)
    cautions = (said,) if said else ()
    return bool(said), cautions, cautions


def _job(state: State) -> object:
    began = [each for each in state.today.lines if each.kind == kinds.BEGAN]
    return began[-1].fields.get("job") if began else None
