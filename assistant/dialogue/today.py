"""The shift so far, as a fold over its record lines. Imports ``procedure`` and ``progress``.

As ``progress`` for one run, so this for all of them: the live conversation and whoever starts again
later fold the same lines with the same ``after``, so both know the same tests and the same seam.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from assistant.dialogue import progress
from assistant.procedure.model import Judge, Procedure
from assistant.record import kinds

Fields = Mapping[str, object]

_MOVING = (kinds.ANSWERED, kinds.NOT_HEARD, kinds.DONE, kinds.JUDGED, kinds.TAKEN_BACK)
_KEPT = frozenset({kinds.BEGAN, *_MOVING, kinds.CORRECTED, *kinds.BESIDE})


@dataclass(frozen=True, slots=True)
class Told:
    """One line of the shift."""

    kind: str
    fields: Fields
    seq: int
    run: int | None
    at: datetime | None
    """Local time, where it is known."""


@dataclass(frozen=True, slots=True)
class Tested:
    """One test as it counts now."""

    judged: Told
    """Its ``judged`` line; after a correction, the new one."""
    first: Told
    """The line of the first verdict: its run and its time are those of the test."""
    seam: str | None
    answers: Mapping[str, Fields | None]
    """Step id -> answer, as the verdict was given from, corrections included."""
    procedure: Procedure | None
    """Its checklist, where it is at hand."""
    step: Judge | None

    @property
    def outcome(self) -> str:
        """The outcome, as the record calls it."""
        return str(self.judged.fields["outcome"])


@dataclass(frozen=True, slots=True)
class Today:
    """All lines of the shift that matter here, and the checklists that are at hand."""

    lines: tuple[Told, ...] = ()
    checklists: tuple[Procedure, ...] = ()
    run: int | None = None
    """The run that the last line belongs to."""
    now: datetime | None = None
    """The local time at which this was gathered from a record."""

    def after(self, kind: str, fields: Fields, seq: int, at: datetime | None = None) -> Today:
        """Return the shift after one more line was written."""
        named = fields.get("run")
        run = seq if kind == kinds.BEGAN else named if isinstance(named, int) else self.run
        if kind not in _KEPT:
            return self if run == self.run else replace(self, run=run)
        return replace(self, run=run, lines=(*self.lines, Told(kind, fields, seq, run, at)))

    def knowing(self, *procedures: Procedure) -> Today:
        """Return the same, with these checklists at hand too."""
        known = {each.digest: each for each in (*self.checklists, *procedures)}
        return replace(self, checklists=tuple(known.values()))

    # ---- what it adds up to

    def seam(self) -> str | None:
        """Return the seam at hand: the number said last, in this run or in one before."""
        return _seam(self.standing())

    def seam_length_ft(self) -> Fraction | None:
        """Return how long the seam at hand is, where this run was told so."""
        lengths = [
            line.fields["answer"]
            for line in self.standing()
            if line.run == self.run
            and line.kind == kinds.ANSWERED
            and line.fields.get("called") == "seam length"
            and line.fields.get("unit") == "ft"
        ]
        return Fraction(str(lengths[-1])) if lengths else None

    def beside_since_answer(self) -> Told | None:
        """Return the latest mark, note or event of this run, if no answer came after it."""
        lines = [
            line
            for line in self.standing()
            if line.run == self.run
            and line.kind in (kinds.ANSWERED, kinds.CORRECTED, *kinds.BESIDE)
        ]
        return lines[-1] if lines and lines[-1].kind in kinds.BESIDE else None

    def tests(self) -> tuple[Tested, ...]:
        """Return the tests that count, in the order in which they were judged first."""
        standing = self.standing()
        judged = [line for line in standing if line.kind == kinds.JUDGED]
        found = [self._tested(line, _root(line, self.lines)) for line in judged]
        return tuple(sorted(found, key=lambda test: test.first.seq))

    def standing(self) -> tuple[Told, ...]:
        """Return the lines that still count."""
        gone = set(_gone(self.lines))
        return tuple(line for line in self.lines if line.seq not in gone)

    def _tested(self, judged: Told, first: Told) -> Tested:
        procedure = self._procedure(first.run)
        before = [line for line in self.lines if line.run == first.run and line.seq < first.seq]
        answers = progress.begin(procedure).answers if procedure else {}
        step = None
        if procedure:
            answers = _corrected(_answers(procedure, before), self.lines, judged)
            step = procedure.steps[procedure.index(str(judged.fields["step"]))]
        return Tested(
            judged,
            first,
            _seam([line for line in before if line.seq not in set(_gone(self.lines))]),
            answers,
            procedure,
            step if isinstance(step, Judge) else None,
        )

    def _procedure(self, run: int | None) -> Procedure | None:
        began = [line for line in self.lines if line.kind == kinds.BEGAN and line.seq == run]
        digests = [line.fields.get("digest") for line in began]
        return next((each for each in self.checklists if [each.digest] == digests), None)


def _gone(lines: Sequence[Told]) -> Iterator[int]:
    """Yield the numbers of lines that no longer count: taken back, or corrected since."""
    taken = {line.fields.get("entry") for line in lines if line.kind == kinds.TAKEN_BACK}
    for line in lines:
        corrects = line.fields.get("corrects") if line.kind == kinds.JUDGED else None
        if corrects in taken and corrects is not None:
            taken.add(line.seq)
        elif isinstance(corrects, int):
            yield corrects
    yield from (seq for seq in taken if isinstance(seq, int))


def _root(line: Told, lines: Sequence[Told]) -> Told:
    by_seq = {each.seq: each for each in lines}
    while line.fields.get("corrects") in by_seq:
        line = by_seq[line.fields["corrects"]]  # type: ignore[index]
    return line


def _seam(standing: Sequence[Told]) -> str | None:
    numbers = [
        str(line.fields["answer"])
        for line in standing
        if line.kind == kinds.ANSWERED and line.fields.get("called") == "seam"
    ]
    return numbers[-1] if numbers else None


def _answers(procedure: Procedure, lines: Sequence[Told]) -> Mapping[str, Fields | None]:
    """Return the answers as they stood after these lines of one run."""
    stands = progress.begin(procedure)
    for line in lines:
        stands = progress.after(procedure, stands, line.kind, line.fields, line.seq)
    return stands.answers


def _corrected(
    answers: Mapping[str, Fields | None], lines: Sequence[Told], judged: Told
) -> Mapping[str, Fields | None]:
    """Return the answers with those put in that a verdict given anew rests on."""
    rests_on = judged.fields.get("from")
    numbers = rests_on if isinstance(rests_on, list) else []
    new = {
        str(line.fields["step"]): {**line.fields, "seq": line.seq}
        for line in lines
        if line.kind == kinds.CORRECTED and line.seq in numbers
    }
    return {**answers, **new}
