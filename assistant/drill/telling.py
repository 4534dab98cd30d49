"""How a drill asks, judges and sums up: words only. Pure; imports ``lines`` and ``words``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.dialogue import lines
from assistant.drill.model import NOT_KNOWN, Question
from assistant.procedure.model import Choice
from assistant.words.numbers import in_words
from assistant.words.readback import spoken


def asked(question: Question) -> str:
    """Return a question with its answers read out."""
    names = [choice.said[0] for choice in question.choices]
    return f"{question.ask} {spoken(', '.join(names[:-1]) + f', or {names[-1]}')}"


def by_number(question: Question) -> str:
    """Return the answers as a numbered list."""
    rows = (
        f"Number {in_words(place)}, {choice.said[0]}."
        for place, choice in enumerate(question.choices, 1)
    )
    return " ".join((lines.SECOND_CHOICE, *rows))


def judged(question: Question, chosen: Choice) -> str:
    """Return what is said of an answer: what was heard where it was wrong, and why.

    A wrong one is named, so that whoever was misheard notices.
    """
    if chosen.id == question.right:
        return f"{lines.DRILL_RIGHT} {question.because}"
    right = spoken(f"{lines.DRILL_IT_IS} {question.answer.said[0]}")
    if chosen is NOT_KNOWN:
        return f"{right} {question.because}"
    heard = spoken(f"{lines.DRILL_NOT} {chosen.said[0]}")
    return f"{heard} {right} {question.because}"


def score(right: int, of: int) -> str:
    """Return how many were right."""
    if not of:
        return lines.DRILL_NOTHING_ANSWERED
    return spoken(lines.DRILL_SCORE.format(right=in_words(right), of=in_words(of)))


def look_again(topics: Sequence[str]) -> str:
    """Return what to look at again, or nothing."""
    return spoken(f"{lines.DRILL_LOOK_AGAIN} {_listed(topics)}") if topics else ""


def _listed(texts: Iterable[str]) -> str:
    *most, last = [text.rstrip(".") for text in texts]
    return f"{', '.join(most)}, and {last}" if most else last
