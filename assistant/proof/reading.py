"""Record lines as what ``weld`` reckons with: welds, tests, probes, faults, repairs, happenings.

Imports ``record`` and ``weld``; pure. A line that is broken or says less than it might is read for
what it says: a length that nobody told is the whole seam, a seam nobody heard is one of its own.
``checklists/README.md`` tells which steps mean what.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from assistant.proof.rows import Row, amount_of, feet_of, text_of, weather_of
from assistant.record import kinds
from assistant.weld.due import Happening, Kind
from assistant.weld.verdict import PASSING, Outcome
from assistant.weld.work import Defect, Probe, Repair, SetUp, StripTest, Weld, Work

WELD, CUT_AT, FROM, TO, PATCH, PROBE = "weld", "cut-at", "from", "to", "patch", "probe"
"""Ids of steps that mean something here, whatever checklist they stand in."""

_UNDECIDED = (
    Outcome.NO_VERDICT.value,
    Outcome.INVALID.value,
    Outcome.FOREMAN.value,
    Outcome.ASK.value,
)
_EVENTS = {kind.value: kind for kind in (Kind.POWER_LOST, Kind.RAIN, Kind.BREAK, Kind.CHANGING)}


@dataclass(frozen=True, slots=True)
class Found:
    """What a record says was done."""

    work: Work
    happenings: tuple[Happening, ...]
    set_up: SetUp
    """The last that was used."""
    job: tuple[str | None, str | None]
    """Welder and gun as the last job file named them."""
    lines: Mapping[str, Row]
    """The line behind each id."""


@dataclass(slots=True)
class _Run:
    """What is known of one run so far."""

    seam: str | None = None
    judged: bool = False
    cut: bool = False
    places: dict[str, Fraction] = field(default_factory=dict)
    length_ft: Fraction | None = None
    welds: list[int] = field(default_factory=list)
    """Places in the list of welds, to be given their length when it is told."""


@dataclass(slots=True)
class _Reader:
    """Gathers while the lines go by."""

    set_up: SetUp = field(default_factory=SetUp)
    job: tuple[str | None, str | None] = (None, None)
    runs: dict[int, _Run] = field(default_factory=dict)
    welds: list[Weld] = field(default_factory=list)
    tests: list[StripTest] = field(default_factory=list)
    probes: list[Probe] = field(default_factory=list)
    defects: list[Defect] = field(default_factory=list)
    repairs: list[Repair] = field(default_factory=list)
    happenings: list[Happening] = field(default_factory=list)
    set_ups: dict[int, SetUp] = field(default_factory=dict)
    """The set-up with which each strip was judged, by ``seq``, for tests that are corrected."""

    def run(self, row: Row) -> _Run:
        """Return what is known of the run that a line belongs to."""
        return self.runs.setdefault(-1 if row.run is None else row.run, _Run())


def found(rows: Sequence[Row]) -> Found:
    """Return what one record says; lines that were taken back or corrected no longer count."""
    reader = _Reader()
    lines: dict[str, Row] = {}
    by_seq = {row.seq: row for row in rows}
    standing, corrected = _standing(rows)
    for row in standing:
        if row.kind == kinds.JUDGED:
            # What was true of a test when it was judged holds for its correction as well.
            reader.set_ups[row.seq] = reader.set_up
            reader.run(row).judged = True
            if row.seq in corrected:
                continue
        lines[row.id] = row
        _take(reader, row, by_seq)
    work = Work(
        tuple(reader.welds),
        tuple(reader.tests),
        tuple(reader.probes),
        tuple(reader.defects),
        tuple(reader.repairs),
    )
    return Found(work, tuple(reader.happenings), reader.set_up, reader.job, lines)


def set_up_for(known: Found, job: object) -> SetUp:
    """Return the set-up at hand when work goes on under a job file as the record keeps it."""
    fields = job if isinstance(job, dict) else {}
    hand = (text_of(fields.get("welder")), text_of(fields.get("gun")))
    return known.set_up if hand == known.job else SetUp(*hand, lot=text_of(fields.get("lot")))


def _standing(rows: Sequence[Row]) -> tuple[list[Row], set[object]]:
    """Return the lines that were not taken back, and the numbers of tests that were corrected.

    Where a test was taken back, so is what corrects it.
    """
    gone = {_number(row.fields.get("entry")) for row in rows if row.kind == kinds.TAKEN_BACK}
    corrected: set[object] = set()
    for row in rows:
        corrects = _number(row.fields.get("corrects")) if row.kind == kinds.JUDGED else None
        if corrects is not None and corrects in gone:
            gone.add(row.seq)
        elif corrects is not None and row.seq not in gone:
            corrected.add(corrects)
    return [row for row in rows if row.seq not in gone], corrected


def _number(value: object) -> int | None:
    return value if isinstance(value, int) else None


def _take(reader: _Reader, row: Row, by_seq: Mapping[int, Row]) -> None:
    run = reader.run(row)
    if row.kind == kinds.BEGAN:
        _began(reader, row)
    elif row.kind == kinds.ANSWERED:
        _answered(reader, run, row)
    elif row.kind == kinds.NOT_HEARD:
        _not_heard(run, row)
    elif row.kind == kinds.DONE and row.fields.get("act") != "once":
        _done(reader, run, row)
    elif row.kind == kinds.JUDGED:
        _judged(reader, row, by_seq)
    elif row.kind in (kinds.MARK, kinds.MARK_NOT_HEARD):
        _marked(reader, row)
    elif row.kind == kinds.EVENT:
        _event(reader, row)


def _happened(reader: _Reader, row: Row, kind: Kind, **more: object) -> None:
    about = replace(
        Happening(row.id, row.at, kind, reader.set_up),
        **more,  # type: ignore[arg-type]  # fields of a Happening
    )
    reader.happenings.append(about)


# ---- line by line


def _began(reader: _Reader, row: Row) -> None:
    job = row.fields.get("job")
    job = job if isinstance(job, dict) else {}
    welder, gun = text_of(job.get("welder")), text_of(job.get("gun"))
    if (welder, gun) != reader.job:
        # A gun that was changed by voice stays changed until a job file names another.
        reader.job, reader.set_up = (welder, gun), SetUp(welder=welder, gun=gun)
    lot = text_of(job.get("lot"))
    if lot is not None:
        reader.set_up = replace(reader.set_up, lot=lot)
    _happened(reader, row, Kind.USED)


def _answered(reader: _Reader, run: _Run, row: Row) -> None:
    fields = row.fields
    step, called, unit = fields.get("step"), fields.get("called"), fields.get("unit")
    if step == PROBE and fields.get("act") == "yes-no":
        _probed(reader, run, row)
    if fields.get("act") != "value":
        return
    amount = amount_of(fields.get("answer"))
    if called == "seam":
        run.seam = text_of(fields.get("answer"))
    elif called == "seam length":
        _length(reader, run, feet_of(amount, unit))
    elif step in (CUT_AT, FROM, TO):
        run.cut = run.cut or step == CUT_AT
        place = feet_of(amount, unit)
        if place is not None and place >= 0:
            run.places[str(step)] = place
    elif called == "dial":
        reader.set_up = replace(reader.set_up, dial=text_of(fields.get("answer")))
        _happened(reader, row, Kind.USED)
    else:
        weather = weather_of(called, unit, amount)
        if weather is not None:
            _happened(reader, row, Kind.WEATHER, weather=weather, set_up=None)


def _not_heard(run: _Run, row: Row) -> None:
    """Forget a place that was asked for anew and not heard: the one before is another's."""
    step = row.fields.get("step")
    run.cut = run.cut or step == CUT_AT
    if step in (CUT_AT, FROM, TO):
        run.places.pop(str(step), None)


def _length(reader: _Reader, run: _Run, length_ft: Fraction | None) -> None:
    if length_ft is None or length_ft <= 0:
        return
    run.length_ft = length_ft
    for place in run.welds:
        reader.welds[place] = replace(reader.welds[place], to_ft=length_ft)


def _done(reader: _Reader, run: _Run, row: Row) -> None:
    step = row.fields.get("step")
    seam = run.seam or f"not heard, {row.at:%H:%M}"
    if step == WELD and run.judged and not run.cut:
        run.welds.append(len(reader.welds))
        weld = Weld(row.id, row.at, seam, reader.set_up, Fraction(0), run.length_ft)
        reader.welds.append(weld)
        _happened(reader, row, Kind.WELDED, feet=run.length_ft)
    if step == PATCH and FROM in run.places and TO in run.places:
        span = (run.places[FROM], run.places[TO])
        low, high = min(span), max(span)
        if low < high:
            reader.repairs.append(Repair(row.id, row.at, seam, low, high, reader.set_up))


def _probed(reader: _Reader, run: _Run, row: Row) -> None:
    """Take a probe only where its length was told; one that went in counts wherever it was."""
    clean = row.fields.get("hoped") is True
    low, high = run.places.get(FROM), run.places.get(TO)
    if run.seam is None or (clean and (low is None or high is None)):
        return
    reader.probes.append(Probe(row.id, row.at, run.seam, clean, low or Fraction(0), high))
    if not clean:
        _happened(reader, row, Kind.VOID)


def _judged(reader: _Reader, row: Row, by_seq: Mapping[int, Row]) -> None:
    """Take a test at the time at which it was first judged, whatever was corrected since."""
    outcome = row.fields.get("outcome")
    passed = None if outcome in _UNDECIDED or outcome is None else outcome in _PASSED
    first = row.fields.get("first")
    judged = by_seq.get(first, row) if isinstance(first, int) else row
    run = reader.run(judged)
    set_up = reader.set_ups.get(judged.seq, reader.set_up)
    seam = run.seam if run.cut else None
    place = run.places.get(CUT_AT) if run.cut else None
    reader.tests.append(StripTest(row.id, judged.at, passed, set_up, seam, place))
    if passed is not None and not (passed and run.cut):
        kind = Kind.PASSED if passed else Kind.FAILED
        _happened(reader, row, kind, at=judged.at, set_up=set_up)


_PASSED = tuple(outcome.value for outcome in PASSING)


def _marked(reader: _Reader, row: Row) -> None:
    seam, what = text_of(row.fields.get("seam")), text_of(row.fields.get("what"))
    if what == "void":
        _happened(reader, row, Kind.VOID)
    if seam is not None and what is not None:
        place = amount_of(row.fields.get("position_ft"))
        place = place if place is not None and place >= 0 else None
        reader.defects.append(Defect(row.id, row.at, seam, what, place))


def _event(reader: _Reader, row: Row) -> None:
    kind = _EVENTS.get(str(row.fields.get("what")))
    if kind is None:
        return
    if kind is Kind.CHANGING and row.fields.get("part") == "gun":
        # Nobody said which gun it is now: only that it is not the one before.
        gun = f"another gun since {row.at:%Y-%m-%d %H:%M}"
        reader.set_up = SetUp(welder=reader.set_up.welder, gun=gun, lot=reader.set_up.lot)
    _happened(reader, row, kind, **({"set_up": None} if kind is Kind.RAIN else {}))
