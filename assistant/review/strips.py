"""Test strips as they stand in a record. Imports ``record``, ``weld`` and ``widths``; pure.

Everything may be missing: a record can be broken, and what was not heard must show as missing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from assistant.record import kinds
from assistant.record.entry import Entry
from assistant.record.state import Run, standing
from assistant.review.widths import fraction
from assistant.weld.limits import WidthLimits
from assistant.weld.verdict import Outcome

URGENCY = (
    (Outcome.FAIL.value, Outcome.OUT.value),
    (Outcome.NO_VERDICT.value, Outcome.INVALID.value, Outcome.FOREMAN.value),
    (Outcome.AT_LIMIT.value,),
    (Outcome.PASS.value,),
)
"""Outcomes in the order in which a foreman wants to see them."""
_NOT_JUDGED = 1
"""Where an outcome belongs that is none of ours."""


@dataclass(frozen=True, slots=True)
class Recording:
    """A clip and what can be heard in it."""

    what: str
    clip: str
    """File name in ``clips/``."""


@dataclass(frozen=True, slots=True)
class Correction:
    """One value of a strip that was changed after its verdict."""

    when: datetime
    line: int
    """Number of its line in the record."""
    step: str | None
    before: str | None
    """What was said before; None where it was not heard."""
    outcome_before: str
    said: str | None
    confirmed_by: str | None


@dataclass(frozen=True, slots=True)
class Strip:
    """One judged strip; None is what was not heard or not stated."""

    line: int
    """Number of its line in the record; the first is 1."""
    when: datetime
    """In the local time there and then."""
    title: str | None
    """The procedure."""
    seam: str | None
    welder: str | None
    gun: str | None
    outcome: str
    reasons: tuple[str, ...]
    said: str | None
    said_before: tuple[str, ...]
    """What was said for this width and then taken back."""
    width_in: Fraction | None
    unit: str
    """The unit the width was said in, ``in`` or ``mm``."""
    hedge: str | None
    read_back: str | None
    confirmed_by: str | None
    mode: str | None
    solid_in: Fraction | None
    heat: str | None
    limits: WidthLimits | None
    rule: str | None
    recordings: tuple[Recording, ...]
    """That of the width first."""
    doubtful: bool
    """Its line, or one that it rests on, is not sound."""
    corrections: tuple[Correction, ...] = ()
    """What was changed since it was judged first, in order."""


def strips(runs: Sequence[Run], doubtful: Collection[int]) -> tuple[Strip, ...]:
    """Return all strips that still count, the most urgent first, then as written.

    ``doubtful`` holds the ``seq`` of lines that are not sound.
    """
    every = sorted((entry for run in runs for entry in run.entries), key=lambda e: e.seq)
    homes = {entry.seq: run for run in runs for entry in run.entries}
    found = [
        _strip(_History(every, homes, entry), entry, doubtful)
        for entry in standing(every)
        if entry.kind == kinds.JUDGED
    ]
    return tuple(sorted(found, key=lambda strip: (urgency(strip.outcome), strip.line)))


def every_strip(runs: Sequence[Run], doubtful: Collection[int]) -> tuple[tuple[Entry, Strip], ...]:
    """Return each verdict that was ever given, as written, whether or not it still counts."""
    every = sorted((entry for run in runs for entry in run.entries), key=lambda e: e.seq)
    homes = {entry.seq: run for run in runs for entry in run.entries}
    return tuple(
        (entry, _strip(_History(every, homes, entry), entry, doubtful))
        for entry in every
        if entry.kind == kinds.JUDGED
    )


def urgency(outcome: str) -> int:
    """Return the place of an outcome in ``URGENCY``."""
    for place, outcomes in enumerate(URGENCY):
        if outcome in outcomes:
            return place
    return _NOT_JUDGED


def seam_of(run: Run, before: int | None = None) -> str | None:
    """Return the number of the seam that a run is about, as known before a line."""
    numbers = [
        _text(entry.fields, "answer")
        for entry in standing(run.entries)
        if entry.kind == kinds.ANSWERED
        and entry.fields.get("called") == "seam"
        and (before is None or entry.seq < before)
    ]
    return numbers[-1] if numbers else None


def job_of(run: Run) -> Mapping[str, object]:
    """Return what a run's first line says about the job."""
    job = run.began.fields.get("job") if run.began else None
    return job if isinstance(job, dict) else {}


class _History:
    """The lines of a record as one strip sees them."""

    def __init__(self, every: Sequence[Entry], homes: Mapping[int, Run], judged: Entry) -> None:
        self.every = every
        by_seq = {entry.seq: entry for entry in every}
        self.verdicts = [judged]
        """The verdict that counts, and before it those in whose place it stands, latest first."""
        while True:
            old = self.verdicts[-1].fields.get("corrects")
            if not isinstance(old, int) or old not in by_seq:
                break
            self.verdicts.append(by_seq.pop(old))
        self.run = homes[self.first.seq]

    @property
    def first(self) -> Entry:
        """The line of its first verdict."""
        return self.verdicts[-1]


def _strip(history: _History, judged: Entry, doubtful: Collection[int]) -> Strip:
    run, first = history.run, history.first
    fields, job = judged.fields, job_of(run)
    basis = _basis(history.every, judged)
    width = _width_line(basis, fields.get("said"))
    told = width.fields if width else {}
    reasons = fields.get("reasons")
    return Strip(
        line=judged.seq + 1,
        when=first.local,
        title=_text(run.began.fields, "title") if run.began else None,
        seam=seam_of(run, first.seq),
        welder=_text(job, "welder"),
        gun=_text(job, "gun"),
        outcome=_text(fields, "outcome") or Outcome.NO_VERDICT.value,
        reasons=tuple(map(str, reasons)) if isinstance(reasons, list) else (),
        said=_text(fields, "said"),
        said_before=_said_before(run, first, width),
        width_in=fraction(told.get("width_in") or fields.get("width")),
        unit=_text(told, "unit") or "in",
        hedge=_text(fields, "hedge"),
        read_back=_text(told, "read_back"),
        confirmed_by=_text(told, "confirmed_by"),
        mode=_text(fields, "mode"),
        solid_in=fraction(fields.get("solid")),
        heat=_text(fields, "heat"),
        limits=_limits(fields.get("limits")),
        rule=_text(fields, "rule"),
        recordings=(*_recordings(judged, width, basis), *_old_recordings(history)),
        doubtful=any(entry.seq in doubtful for entry in (*history.verdicts, *basis)),
        corrections=tuple(_corrections(history)),
    )


_ANSWERS = (kinds.ANSWERED, kinds.CORRECTED)


def _basis(every: Sequence[Entry], judged: Entry) -> tuple[Entry, ...]:
    named = judged.fields.get("from")
    numbers = named if isinstance(named, list) else []
    return tuple(entry for entry in every if entry.kind in _ANSWERS and entry.seq in numbers)


def _corrections(history: _History) -> Iterator[Correction]:
    outcomes = {verdict.seq: verdict.fields.get("outcome") for verdict in history.verdicts}
    for entry in history.every:
        judged = entry.fields.get("judged")
        if entry.kind != kinds.CORRECTED or judged not in outcomes:
            continue
        old = [other for other in history.every if other.seq == entry.fields.get("entry")]
        yield Correction(
            when=entry.local,
            line=entry.seq + 1,
            step=_text(entry.fields, "step"),
            before=_text(old[0].fields, "said") if old else None,
            outcome_before=str(outcomes[judged]),
            said=_text(entry.fields, "said"),
            confirmed_by=_text(entry.fields, "confirmed_by"),
        )


def _width_line(basis: Sequence[Entry], said: object) -> Entry | None:
    values = [entry for entry in basis if entry.fields.get("act") == "value"]
    same = [entry for entry in values if entry.fields.get("said") == said]
    return same[0] if same else None


def _said_before(run: Run, judged: Entry, width: Entry | None) -> tuple[str, ...]:
    """Return earlier answers for the same strip that no longer count, such as "inch shy"."""
    if width is None:
        return ()
    lasting = standing(run.entries)
    verdicts = [e.seq for e in lasting if e.kind == kinds.JUDGED and e.seq < judged.seq]
    since = verdicts[-1] if verdicts else run.seq
    return tuple(
        str(entry.fields.get("said"))
        for entry in run.entries
        if entry.kind == kinds.ANSWERED
        and since < entry.seq < width.seq
        and entry.fields.get("step") == width.fields.get("step")
        and entry not in lasting
    )


def _recordings(judged: Entry, width: Entry | None, basis: Sequence[Entry]) -> list[Recording]:
    found = [Recording("width", _text(judged.fields, "clip") or "")]
    for entry in [*([width] if width else []), *(e for e in basis if e is not width)]:
        what = "width" if entry is width else readable(entry.fields.get("step"))
        found.append(Recording(what, _text(entry.fields, "clip") or ""))
        found.append(
            Recording(f"the yes to the {what}", _text(entry.fields, "confirmed_clip") or "")
        )
    first: dict[str, Recording] = {}
    for recording in found:
        if recording.clip:
            first.setdefault(recording.clip, recording)
    return list(first.values())


def _old_recordings(history: _History) -> Iterator[Recording]:
    """Yield the sound of values that were corrected since."""
    verdicts = {verdict.seq for verdict in history.verdicts}
    corrected = [e for e in history.every if e.kind == kinds.CORRECTED]
    old = {e.fields.get("entry") for e in corrected if e.fields.get("judged") in verdicts}
    for entry in history.every:
        clip = _text(entry.fields, "clip") if entry.seq in old else None
        if clip:
            yield Recording(f"{readable(entry.fields.get('step'))} before it was corrected", clip)


def readable(step_id: object) -> str:
    """Return a step's id as words: ``heat-marks`` -> ``heat marks``."""
    return str(step_id).replace("-", " ").replace("_", " ") if step_id else "unnamed step"


def _limits(stored: object) -> WidthLimits | None:
    if not isinstance(stored, dict):
        return None
    least, most = fraction(stored.get("least_in")), fraction(stored.get("most_in"))
    step = fraction(stored.get("rule_step_in"))
    if least is None or most is None or step is None:
        return None
    return WidthLimits(least, most, step, 2 if stored.get("edges") == 2 else 1)


def _text(fields: Mapping[str, object], name: str) -> str | None:
    value = fields.get(name)
    return value if isinstance(value, str) and value else None
