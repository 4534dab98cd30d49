"""Where a run stands, as a fold over its record lines.

Imports ``procedure`` and ``weld``. The live conversation and the resume after a crash use the same
``after``: whatever was written is all that is known, so both must come to the same place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.procedure.model import AskYesNo, Judge, Look, Procedure, Tell
from assistant.record.kinds import BESIDE
from assistant.weld.verdict import PASSING

Fields = Mapping[str, object]
_PASSING = {outcome.value for outcome in PASSING}


@dataclass(frozen=True, slots=True)
class Mark:
    """One line that moved the run on, and where it stood before."""

    seq: int
    kind: str
    at: int
    answers: Mapping[str, Fields | None]
    by_itself: bool
    """It needed no word from anybody, so going back goes past it."""


@dataclass(frozen=True, slots=True)
class Progress:
    """The place in a procedure and what was answered so far."""

    at: int = 0
    answers: Mapping[str, Fields | None] = field(default_factory=dict)
    """Step id -> fields of its ``answered`` line; None when it was not heard."""
    trail: tuple[Mark, ...] = ()


def begin(procedure: Procedure) -> Progress:
    """Return the start of a run."""
    return _settle(procedure, Progress())


def after(
    procedure: Procedure, progress: Progress, kind: str, fields: Fields, seq: int
) -> Progress:
    """Return ``progress`` after one line of the run was written.

    Lines that move nothing (held, ear-lost and the like) leave it as it is.
    """
    if kind == "taken-back":
        # What was said beside the steps has moved nothing.
        return progress if fields.get("of") in BESIDE else _taken_back(progress, fields)
    if kind == "corrected":
        return _corrected(progress, fields, seq)
    if kind == "judged" and fields.get("corrects") is not None:
        return _judged_anew(procedure, progress, fields)
    if kind not in ("done", "answered", "not-heard", "judged"):
        return progress
    place = procedure.index(str(fields["step"]))
    step = procedure.steps[place]
    unasked = isinstance(step, Look) or (isinstance(step, Tell) and not step.until_done)
    by_itself = kind == "judged" or unasked
    mark = Mark(seq, kind, place, progress.answers, by_itself)
    answers = dict(progress.answers)
    if kind == "answered":
        answers[step.id] = {**fields, "seq": seq}
    if kind == "not-heard":
        answers[step.id] = None
    there = _next_place(procedure, place, kind, fields)
    if there < place:
        again = {other.id for other in procedure.steps[there:]}
        answers = {name: what for name, what in answers.items() if name not in again}
    moved = replace(progress, at=there, answers=answers, trail=(*progress.trail, mark))
    return _settle(procedure, moved)


def _taken_back(progress: Progress, fields: Fields) -> Progress:
    *rest, mark = progress.trail
    if mark.seq != fields["entry"]:
        raise ValueError(f"line {fields['entry']} is not the last that moved the run")
    return Progress(mark.at, mark.answers, tuple(rest))


def _corrected(progress: Progress, fields: Fields, seq: int) -> Progress:
    """Put a corrected answer wherever the old one is remembered, so that it is judged no more."""
    step, old = str(fields["step"]), fields["entry"]

    def mended(answers: Mapping[str, Fields | None]) -> Mapping[str, Fields | None]:
        known = answers.get(step)
        if known is None or known.get("seq") != old:
            return answers
        return {**answers, step: {**fields, "seq": seq}}

    trail = tuple(replace(mark, answers=mended(mark.answers)) for mark in progress.trail)
    return replace(progress, answers=mended(progress.answers), trail=trail)


def _judged_anew(procedure: Procedure, progress: Progress, fields: Fields) -> Progress:
    """Go back for a new test where a pass of this run is none any more; else move nothing."""
    mark = next((each for each in progress.trail if each.seq == fields["first"]), None)
    if mark is None or fields["was"] not in _PASSING or fields["outcome"] in _PASSING:
        return progress
    judge = procedure.steps[mark.at]
    if not isinstance(judge, Judge) or not judge.on_fail:
        return progress
    there = procedure.index(judge.on_fail)
    again = {other.id for other in procedure.steps[there:]}
    answers = {name: what for name, what in progress.answers.items() if name not in again}
    # Its trail ends at the verdict: going back from here must not skip the new test.
    trail = progress.trail[: progress.trail.index(mark) + 1]
    return _settle(procedure, Progress(there, answers, trail))


def _next_place(procedure: Procedure, place: int, kind: str, fields: Fields) -> int:
    step = procedure.steps[place]
    if kind == "judged" and isinstance(step, Judge) and step.on_fail:
        return place + 1 if fields["outcome"] in _PASSING else procedure.index(step.on_fail)
    if kind == "answered" and isinstance(step, AskYesNo) and not fields["hoped"]:
        then = step.otherwise.then
        if then == "again":
            return place
        return place + 1 if then == "go-on" else procedure.index(then)
    return place + 1


def _settle(procedure: Procedure, progress: Progress) -> Progress:
    """Pass over steps whose ``only_if`` was not answered so."""
    at = progress.at
    while at < len(procedure.steps):
        condition = procedure.steps[at].only_if
        if condition is None or _answer(progress, condition[0]) == condition[1]:
            break
        at += 1
    return replace(progress, at=at)


def _answer(progress: Progress, step_id: str) -> object:
    fields = progress.answers.get(step_id)
    return None if fields is None else fields["answer"]


def answer_of(progress: Progress, step_id: str) -> Fields | None:
    """Return the fields of a step's answer, or None when there is none."""
    return progress.answers.get(step_id)


def known_to_be_skipped(procedure: Procedure, progress: Progress, step_id: str) -> bool:
    """Tell whether a step was rightly passed over: its condition was heard and is not met."""
    condition = procedure.steps[procedure.index(step_id)].only_if
    if condition is None:
        return False
    answer = _answer(progress, condition[0])
    return answer is not None and answer != condition[1]
