"""What a record says now of tests due and suspects, for whoever asks while work goes on.

Imports ``reading`` and ``weld``; pure.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from fractions import Fraction

from assistant.proof.reading import found, set_up_for
from assistant.proof.rows import Row
from assistant.record import kinds
from assistant.weld.due import Due, due
from assistant.weld.job_rules import JobRules
from assistant.weld.seams import resolve
from assistant.weld.suspects import Accused, accused


def due_now(rows: Sequence[Row], rules: JobRules, now: datetime, job: object) -> Due:
    """Tell whether the set-up at hand needs a test; ``job`` as a ``began`` line holds it."""
    known = found(rows)
    return due(now, known.happenings, rules.due, set_up_for(known, job))


def newly_accused(rows: Sequence[Row], rules: JobRules) -> tuple[Accused, ...]:
    """Return the suspects where the last line is a test that changed who or what is suspect.

    Nothing is told twice: a second failed strip behind a first one accuses nobody new.
    """
    if not rows or rows[-1].kind != kinds.JUDGED:
        return ()
    after, before = accused_now(rows, rules), accused_now(rows[:-1], rules)
    told = {(one.hand, _lengths(one)) for one in before}
    return tuple(one for one in after if (one.hand, _lengths(one)) not in told)


def _lengths(one: Accused) -> tuple[tuple[str, Fraction, Fraction | None], ...]:
    return tuple((each.seam, each.from_ft, each.to_ft) for each in one.suspects)


def accused_now(rows: Sequence[Row], rules: JobRules) -> tuple[Accused, ...]:
    """Return all that is suspect behind these lines."""
    return accused(resolve(found(rows).work, rules.cover), rules.cuts)
