"""Checks what the steps of a checklist say about each other, once all are known.

Imported by ``loader``. Each check is a function over the drafts that adds faults; a name that is
empty was refused already and is passed over.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.procedure import flow
from assistant.procedure.faults import Faults
from assistant.procedure.fields import nearest
from assistant.procedure.measures import in_inches
from assistant.procedure.model import AskChoice, AskValue, Judge, Otherwise, Procedure
from assistant.procedure.paths import unreachable
from assistant.procedure.steps import Draft

MODES = ("film-tearing", "clean-peel", "partly")
MORE_MODES = ("at-scrim", "at-grip")
"""Ways to fail that a checklist may ask for and need not."""
PULLS = ("steady", "jerked")
HEAT_MARKS = ("none", "bleed-out", "burn")

_KINDS = {
    "width": (AskValue, "a question with answer: value and unit: in"),
    "mode": (AskChoice, "a question with answer: choice"),
    "solid": (AskValue, "a question with answer: value and unit: in"),
    "heat": (AskChoice, "a question with answer: choice"),
    "pull": (AskChoice, "a question with answer: choice"),
}
_ANSWERS_KNOWN = {"mode": MODES, "heat": HEAT_MARKS, "pull": PULLS}
_ANSWERS_MORE = {"mode": MORE_MODES}


def check(drafts: list[Draft], procedure: Procedure, faults: Faults) -> None:
    """Add a fault for every step that names or fits another one wrongly, or is never reached."""
    _repeated_ids(drafts, faults)
    places: dict[str, int] = {}
    for place, draft in enumerate(drafts):
        places.setdefault(draft.step.id, place)
    every = _Every(drafts, places, faults)
    for place, draft in enumerate(drafts):
        step = draft.step
        instead = flow.otherwise(step)
        if instead and not isinstance(step, Judge):
            _otherwise(every, place, instead)
        if instead and instead.cap:
            _way_out(every, place, instead.cap.then)
        if step.only_if:
            _only_if(every, place, step.only_if)
        if isinstance(step, Judge):
            _judge(every, place, step)
    # A name with a fault was read as empty, and leads nowhere.
    if not faults.found:
        _reached(drafts, procedure, faults)


def _reached(drafts: list[Draft], procedure: Procedure, faults: Faults) -> None:
    """Add a fault for each step that no answers lead to."""
    never = unreachable(procedure)
    for draft in drafts:
        if draft.step in never:
            line = draft.lines.get("only-if", draft.step.line)
            wrong = f"step '{draft.step.id}' is never reached, whatever is answered"
            instead = "an answer with which the work can go on to it, or leave the step out"
            faults.at(draft.step.file).add(line, "", wrong, instead, "unreachable")


class _Every:
    """All steps, with their places by id."""

    def __init__(self, drafts: list[Draft], places: dict[str, int], faults: Faults) -> None:
        self.drafts = drafts
        self.places = places
        self.faults = faults

    def fault(self, place: int, at: str, key: str, wrong: str, instead: str) -> None:
        """Add a fault at the line that the step at ``place`` remembers as ``at``."""
        draft = self.drafts[place]
        line = draft.lines.get(at, draft.step.line)
        self.faults.at(draft.step.file).add(line, key, wrong, instead)

    def earlier(self, place: int, at: str, key: str, name: str) -> int | None:
        """Return the place of an earlier step; None, with a fault, when there is none."""
        if not name:
            return None
        found = self.places.get(name)
        if found is None:
            near = nearest(name, self.places) or "the id of an earlier step"
            self.fault(place, at, key, f"there is no step '{name}'", near)
            return None
        if found < place:
            return found
        line = self.drafts[found].step.line
        wrong = f"step '{name}' does not come before this one (it stands in line {line})"
        self.fault(place, at, key, wrong, "the id of an earlier step")
        return None


def _repeated_ids(drafts: list[Draft], faults: Faults) -> None:
    first: dict[str, str] = {}
    for draft in drafts:
        name = draft.step.id
        if name and name in first:
            wrong = f"'{name}' is already the id of the step in {first[name]}"
            instead = "a name of its own"
            if draft.step.file:
                instead += ", or as: and a word before the ids of the shared file"
            faults.at(draft.step.file).add(draft.lines["id"], "id", wrong, instead)
        of = f" of {draft.step.file}" if draft.step.file else ""
        first.setdefault(name, f"line {draft.lines['id']}{of}")


def _otherwise(every: _Every, place: int, instead: Otherwise) -> None:
    then = instead.then
    if then in (flow.AGAIN, flow.GO_ON):
        return
    if then == every.drafts[place].step.id:
        every.fault(place, "then", "then", f"'{then}' is this step itself", "then: again")
    elif every.places.get(then, -1) > place:
        wrong = f"step '{then}' comes later, and the steps between would be left out unseen"
        remedy = "then: go-on, and only-if in the steps that depend on this answer"
        every.fault(place, "then", "then", wrong, remedy)
    else:
        every.earlier(place, "then", "then", then)


def _way_out(every: _Every, place: int, then: str) -> None:
    if not then or then in (flow.GO_ON, flow.END, flow.STOP):
        return
    found = every.places.get(then)
    remedy = "then: go-on, end, stop, or the id of a later step"
    if found is None:
        wrong = f"there is no step '{then}', and no way out of that name"
        every.fault(place, "at-most", "then", wrong, nearest(then, every.places) or remedy)
    elif found <= place:
        wrong = f"step '{then}' does not come later, so it is no way out"
        every.fault(place, "at-most", "then", wrong, remedy)


def _only_if(every: _Every, place: int, only_if: tuple[str, ...]) -> None:
    name, *answers = only_if
    if isinstance(every.drafts[place].step, Judge):
        wrong = "a judge step is never left out"
        every.fault(place, "only-if", "only-if", wrong, "the judge step without it")
        return
    found = every.earlier(place, "only-if", "step", name)
    if found is None:
        return
    possible = flow.may_come_of(every.drafts[found].step)
    if not possible:
        wrong = f"step '{name}' is not a question with answer: yes-no or answer: choice"
        remedy = "the id of such a question, of a value with hoped, or of a judge or look step"
        every.fault(place, "only-if", "step", wrong, remedy)
    for answer in answers if possible else ():
        if answer not in possible:
            wrong = f"'{answer}' is never the answer at step '{name}'"
            every.fault(place, "only-if answer", "answer", wrong, f"one of {', '.join(possible)}")


def _judge(every: _Every, place: int, step: Judge) -> None:
    places = [
        found
        for part, name in _parts(step)
        if (found := every.earlier(place, part, part, name)) is not None
        and _part_fits(every, place, part, found)
    ]
    if step.solid and step.solid == step.width:
        wrong = "the solid width is the same question as the width"
        every.fault(place, "solid", "solid", wrong, "the id of a question of its own")
    back = every.earlier(place, "go-to", "go-to", step.on_fail)
    # Else the new weld would be judged by answers about the old one.
    if back is not None and places and back > min(places):
        wrong = f"step '{step.on_fail}' comes after an answer that is judged, which is then old"
        every.fault(place, "go-to", "go-to", wrong, "the id of a step before all of them")


def _parts(step: Judge) -> Iterator[tuple[str, str]]:
    yield "width", step.width
    yield "mode", step.mode
    yield "solid", step.solid
    yield "heat", step.heat
    yield "pull", step.pull


def _part_fits(every: _Every, place: int, part: str, found: int) -> bool:
    """Check the question that one part of a judge step rests on."""
    question = every.drafts[found].step
    kind, described = _KINDS[part]
    if not isinstance(question, kind) or getattr(question, "unit", "in") != "in":
        every.fault(place, part, part, f"step '{question.id}' is not {described}", "one that is")
        return False
    if question.only_if and part != "solid":
        wrong = f"step '{question.id}' may be left out (it has only-if), and this needs its answer"
        every.fault(place, part, part, wrong, "a question that is always asked")
    if isinstance(question, AskChoice):
        _known_answers(every, found, part, question)
    if part == "width" and isinstance(question, AskValue):
        _window_shows_limits(every, place, found, question)
    return True


def _known_answers(every: _Every, found: int, part: str, question: AskChoice) -> None:
    known, more = _ANSWERS_KNOWN[part], _ANSWERS_MORE.get(part, ())
    ids = {choice.id for choice in question.choices} - set(more)
    for name in sorted(ids - set(known)):
        instead = nearest(name, (*known, *more)) or f"only {', '.join((*known, *more))}"
        wrong = f"'{name}' is not an answer that can be judged as {part}"
        every.fault(found, "choices", "choices", wrong, instead)
    for name in known:
        if name not in ids and ids <= set(known):
            wrong = f"the answer '{name}' is missing, so another one would be given for it"
            every.fault(found, "choices", "choices", wrong, f"{name}: and its phrases as well")


def _window_shows_limits(every: _Every, place: int, found: int, question: AskValue) -> None:
    judge = every.drafts[place].step
    if not isinstance(judge, Judge) or not question.plausible_to:
        return
    least, most = judge.limits.least_in, judge.limits.most_in
    # A window as narrow as the limits would refuse to hear a width that fails.
    if question.plausible_from < least and question.plausible_to > most:
        return
    wrong = (
        f"the limits {in_inches(least)} to {in_inches(most)} do not lie inside this window, "
        "so a width that fails could not be said"
    )
    instead = f"from: less than {in_inches(least)}, to: more than {in_inches(most)}"
    every.fault(found, "plausible", "plausible", wrong, instead)
