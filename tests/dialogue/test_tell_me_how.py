"""What "tell me how" answers, and what an apprentice hears at once."""

from __future__ import annotations

import pytest
from support.talk import Talk

from assistant.dialogue import lines
from assistant.dialogue.state import Detail, Settings
from assistant.procedure.model import Procedure, Tell

PEEL = Tell("peel", 1, "Peel it.", "A jerk lies.", how="Pull both tails evenly.", until_done=True)
PLAIN = Tell("keep", 2, "Keep the strip.", until_done=True)


def talk(step: Tell, detail: Detail = Detail.STANDARD) -> Talk:
    """Begin a procedure of one step."""
    return Talk(Procedure("small", "Small", "1", "small.yaml", "", (step,)), Settings(detail))


@pytest.mark.parametrize("words", ["tell me how", "show me how"])
@pytest.mark.parametrize(("step", "tells"), [(PEEL, PEEL.how), (PLAIN, lines.NO_HOW)])
def test_how_is_told_where_the_step_tells_it(step: Tell, tells: str, words: str) -> None:
    """It changes nothing, and the ear opens again."""
    conversation = talk(step)
    before = len(conversation.lines)
    conversation.hear(words)

    assert conversation.said[-1] == tells
    assert len(conversation.lines) == before


@pytest.mark.parametrize(
    ("detail", "heard"),
    [
        (Detail.APPRENTICE, "Peel it. Pull both tails evenly. A jerk lies."),
        (Detail.STANDARD, "Peel it."),
    ],
)
def test_an_apprentice_hears_how_and_why_at_once(detail: Detail, heard: str) -> None:
    """Others hear them when they ask."""
    assert talk(PEEL, detail).said[0].startswith(heard)
