"""What was answered last before a sudden end, for whoever comes back. Pure.

Imports ``procedure``, ``progress`` and ``words``.
"""

from __future__ import annotations

from assistant.dialogue import lines
from assistant.dialogue.progress import Progress
from assistant.procedure.model import Procedure
from assistant.record import kinds
from assistant.words.readback import spoken


def last_answer(procedure: Procedure, stands: Progress) -> str:
    """Return a sentence with the last answer that still stands, in the words that were said."""
    for mark in reversed(stands.trail):
        fields = stands.answers.get(procedure.steps[mark.at].id)
        if mark.kind != kinds.ANSWERED or fields is None:
            continue
        called, said = fields.get("called"), fields.get("said")
        if not isinstance(said, str) or not said:
            return ""
        if fields.get("act") == "value" and isinstance(called, str):
            return spoken(f"{lines.LAST_ANSWER} {called}: {said}")
        return spoken(f"{lines.LAST_ANSWER} {said}")
    return ""
