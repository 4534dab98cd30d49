"""One drill from its record to its end: what was answered before, and the shell that holds it.

Imports ``shift``, ``record``, ``procedure`` and the modules of ``drill``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from assistant.drill import hearing, loop
from assistant.drill.loader import Bank
from assistant.drill.model import Question, Told
from assistant.drill.state import Manner
from assistant.record import kinds
from assistant.record.entry import Entry
from assistant.record.journal import Record
from assistant.shift import Shift
from assistant.words.phrase import Grammar


def practise(
    shift: Shift, record: Record, bank: Bank, manner: Manner, about: Mapping[str, object]
) -> bool:
    """Hold a drill; True when all was asked that was wanted.

    ``about`` goes into its first line; its ``learner`` says whose earlier answers count.
    """
    learner = about.get("learner")
    before = answers(record.entries, str(learner) if learner else None)
    asked = {question.id for question in bank.questions}
    known = [one for one in before if one.question in asked]
    whole = {**about, "questions": bank.version, "digest": bank.digest}
    first = loop.begin(bank.questions, manner, len(record.entries), whole, known)
    return shift.hold(first, loop.step)


def answers(entries: Iterable[Entry], learner: str | None) -> tuple[Told, ...]:
    """Return a learner's answers that count, the oldest first."""
    found: dict[int, Told] = {}
    theirs: set[object] = set()
    for entry in entries:
        fields = entry.fields
        if entry.kind == kinds.DRILL_BEGAN and fields.get("learner") == learner:
            theirs.add(entry.seq)
        elif fields.get("drill") not in theirs:
            continue
        elif entry.kind == kinds.DRILL_ANSWERED and isinstance(fields.get("right"), bool):
            found[entry.seq] = Told(str(fields["question"]), fields["right"] is True)
        elif entry.kind == kinds.DRILL_TAKEN_BACK:
            found.pop(int(str(fields["entry"])), None)
    return tuple(found.values())


def grammars_of(questions: Iterable[Question]) -> list[Grammar]:
    """Return every grammar that a drill opens the ear with."""
    every = [grammar for one in questions for grammar in _two_ways(one)]
    return [*every, hearing.on_hold()]


def _two_ways(question: Question) -> tuple[Grammar, Grammar]:
    return hearing.answers(question.choices), hearing.numbered(len(question.choices))


def sentences(questions: Sequence[Question]) -> list[str]:
    """Return what will be said whatever is answered, so that it can be rendered ahead of need."""
    return [text for one in questions for text in (one.ask, one.because)]
