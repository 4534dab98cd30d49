"""Drills for tests: two plain questions, and how a drill is walked without devices."""

from __future__ import annotations

from pathlib import Path

from assistant.dialogue.events import Event, Say, SpeechHeard
from assistant.drill.loop import Result, begin, step
from assistant.drill.model import Question
from assistant.drill.state import Manner, State
from assistant.procedure.model import Choice

SHIPPED = Path(__file__).parents[2] / "checklists" / "drill" / "faults.yaml"
BEAD = Question(
    "bead",
    "Heat marks",
    "What does a dark bead tell you?",
    (Choice("hot", ("too hot",)), Choice("cold", ("too cold",)), Choice("good", ("a good weld",))),
    "hot",
    "Heavy or dark means too hot.",
)
PEEL = Question(
    "peel",
    "The peel test",
    "Which strip shows a good weld?",
    (Choice("tearing", ("film tearing",)), Choice("clean", ("clean peel",))),
    "tearing",
    "The skin left the scrim.",
)


def started(*questions: Question, count: int = 12, sure_from: float = 0.5) -> Result:
    """Begin a drill of these questions, or of both."""
    return begin(questions or (BEAD, PEEL), Manner(count, sure_from=sure_from), 0, {})


def answered(state: State, *, right: bool) -> str:
    """Return words that answer what is asked, rightly or wrongly."""
    question = state.question
    if question is None:
        raise ValueError("nothing is asked")
    fits = [one for one in question.choices if (one.id == question.right) is right]
    return fits[0].said[0]


def after(state: State, *events: Event | str) -> Result:
    """Take events, or words that are heard surely; return the last result."""
    actions = ()
    for event in events:
        state, actions = step(state, SpeechHeard(event) if isinstance(event, str) else event)
    return state, actions


def said(result: Result) -> list[str]:
    """Return what is spoken, in order."""
    return [action.text for action in result[1] if isinstance(action, Say)]
