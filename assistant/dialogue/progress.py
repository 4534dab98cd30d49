"""Where a run stands, as a fold over its record lines.

Imports ``procedure`` and ``weld``. The live conversation and the resume after a crash use the same
``after``: whatever was written is all that is known, so both must come to the same place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.procedure import flow
from assistant.procedure.model import Judge, Look, Procedure, Step, Tell
from assistant.record.kinds import BESIDE
from assistant.weld.verdict import PASSING

Fields = Mapping[str, object]
ONCE = "once"
"""The act of a ``done`` line whose step was passed over, as it was done earlier in the shift."""
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
    came: Mapping[str, str] = field(default_factory=dict)
    turned_back: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Progress:
    """The place in a procedure and what was answered so far."""

    at: int = 0
    answers: Mapping[str, Fields | None] = field(default_factory=dict)
    """Step id -> fields of its ``answered`` line; None when it was not heard."""
    trail: tuple[Mark, ...] = ()
    came: Mapping[str, str] = field(default_factory=dict)
    """Id of a judge or look step -> what came of it."""
    turned_back: Mapping[str, int] = field(default_factory=dict)
    """Id of a step with a cap -> how often in a row it has led back."""


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
    by_itself = kind == "judged" or unasked or fields.get("act") == ONCE
    before = progress.came, progress.turned_back
    mark = Mark(seq, kind, place, progress.answers, by_itself, *before)
    noted = replace(progress, trail=(*progress.trail, mark))
    return _settle(procedure, _moved(procedure, _noted(noted, step, kind, fields, seq), mark))


def _noted(progress: Progress, step: Step, kind: str, fields: Fields, seq: int) -> Progress:
    """Return ``progress`` with what the line tells of its step."""
    answers, came = dict(progress.answers), dict(progress.came)
    carried = fields.get("carried")
    if kind == "answered":
        answers[step.id] = {**fields, "seq": seq}
    elif kind == "not-heard":
        answers[step.id] = None
    elif isinstance(carried, Mapping):
        # A verdict rests on the line in which it was answered.
        answers[step.id] = {**carried, "seq": fields["entry"]}
    elif isinstance(step, (Judge, Look)):
        found = flow.came_of(step, fields)
        if found is not None:
            came[step.id] = found
    return replace(progress, answers=answers, came=came)


def _moved(procedure: Procedure, progress: Progress, mark: Mark) -> Progress:
    """Return ``progress`` at the place behind the line of ``mark``."""
    place, step = mark.at, procedure.steps[mark.at]
    came = came_of(procedure, progress, step.id) if mark.kind in ("answered", "judged") else None
    count = progress.turned_back.get(step.id, 0)
    if came is None:
        return replace(progress, at=place + 1)
    there = flow.next_place(procedure, place, came, count)
    counts = dict(progress.turned_back)
    instead = flow.otherwise(step)
    if flow.cap_reached(step, came, count):
        counts.pop(step.id, None)
    elif flow.turns_back(step, came) and instead and instead.cap:
        counts[step.id] = count + 1
    if there > place:
        return replace(progress, at=there, turned_back=counts)
    return _gone_back(procedure, replace(progress, turned_back=counts), there, place)


def _gone_back(procedure: Procedure, progress: Progress, there: int, place: int) -> Progress:
    """Return ``progress`` at an earlier place: what was answered from there on counts no more.

    The loops between begin anew; one further on does not, or two could keep each other alive.
    """
    again = {other.id for other in procedure.steps[there:]} if there < place else set()
    between = {other.id for other in procedure.steps[there:place]}
    return replace(
        progress,
        at=there,
        answers={name: what for name, what in progress.answers.items() if name not in again},
        came={name: what for name, what in progress.came.items() if name not in again},
        turned_back={
            name: count for name, count in progress.turned_back.items() if name not in between
        },
    )


def _taken_back(progress: Progress, fields: Fields) -> Progress:
    *rest, mark = progress.trail
    if mark.seq != fields["entry"]:
        raise ValueError(f"line {fields['entry']} is not the last that moved the run")
    return Progress(mark.at, mark.answers, tuple(rest), mark.came, mark.turned_back)


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
    # Its trail ends at the verdict: going back from here must not skip the new test.
    trail = progress.trail[: progress.trail.index(mark) + 1]
    there = procedure.index(judge.on_fail)
    back = _gone_back(procedure, replace(progress, trail=trail), there, mark.at)
    return _settle(procedure, back)


def _settle(procedure: Procedure, progress: Progress) -> Progress:
    """Pass over steps whose ``only_if`` was not answered so."""
    at = progress.at
    while at < len(procedure.steps):
        condition = procedure.steps[at].only_if
        if condition is None or came_of(procedure, progress, condition[0]) in condition[1:]:
            break
        at += 1
    return replace(progress, at=at)


def came_of(procedure: Procedure, progress: Progress, step_id: str) -> str | None:
    """Return what came of an earlier step, as a condition names it; None when nothing did."""
    fields = progress.answers.get(step_id)
    if fields is None:
        return progress.came.get(step_id)
    return flow.came_of(procedure.steps[procedure.index(step_id)], fields)


def answer_of(progress: Progress, step_id: str) -> Fields | None:
    """Return the fields of a step's answer, or None when there is none."""
    return progress.answers.get(step_id)


def known_to_be_skipped(procedure: Procedure, progress: Progress, step_id: str) -> bool:
    """Tell whether a step was rightly passed over: its condition was heard and is not met."""
    condition = procedure.steps[procedure.index(step_id)].only_if
    if condition is None:
        return False
    came = came_of(procedure, progress, condition[0])
    return came is not None and came not in condition[1:]
