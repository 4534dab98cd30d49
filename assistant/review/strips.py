"""Test strips as they stand in a record. Imports ``record``, ``weld`` and ``widths``; pure.

Everything may be missing: a record can be broken, and what was not heard must show as missing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
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


def strips(runs: Sequence[Run], doubtful: Collection[int]) -> tuple[Strip, ...]:
    """Return all strips that still count, the most urgent first, then as written.

    ``doubtful`` holds the ``seq`` of lines that are not sound.
    """
    found = [
        _strip(run, entry, doubtful)
        for run in runs
        for entry in standing(run.entries)
        if entry.kind == kinds.JUDGED
    ]
    return tuple(sorted(found, key=lambda strip: (urgency(strip.outcome), strip.line)))


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


def _strip(run: Run, judged: Entry, doubtful: Collection[int]) -> Strip:
    fields, job = judged.fields, job_of(run)
    basis = _basis(run, judged)
    width = _width_line(basis, fields.get("said"))
    told = width.fields if width else {}
    reasons = fields.get("reasons")
    return Strip(
        line=judged.seq + 1,
        when=judged.local,
        title=_text(run.began.fields, "title") if run.began else None,
        seam=seam_of(run, judged.seq),
        welder=_text(job, "welder"),
        gun=_text(job, "gun"),
        outcome=_text(fields, "outcome") or Outcome.NO_VERDICT.value,
        reasons=tuple(map(str, reasons)) if isinstance(reasons, list) else (),
        said=_text(fields, "said"),
        said_before=_said_before(run, judged, width),
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
        recordings=tuple(_recordings(judged, width, basis)),
        doubtful=any(entry.seq in doubtful for entry in (judged, *basis)),
    )


def _basis(run: Run, judged: Entry) -> tuple[Entry, ...]:
    named = judged.fields.get("from")
    numbers = named if isinstance(named, list) else []
    return tuple(
        entry for entry in run.entries if entry.kind == kinds.ANSWERED and entry.seq in numbers
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
