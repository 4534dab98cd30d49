"""A shift as its foreman wants it: record lines -> ``ShiftReview``.

Imports ``record``, ``strips`` and ``widths``; pure. It orders and counts what was written and adds
no judgement of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from assistant.record import kinds
from assistant.record.entry import Entry
from assistant.record.state import Run, runs, standing
from assistant.record.verify import clips_of
from assistant.review import beside
from assistant.review.strips import (
    URGENCY,
    Recording,
    Strip,
    job_of,
    readable,
    seam_of,
    strips,
    urgency,
)
from assistant.review.widths import fraction, inches


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that happened and that a foreman should know."""

    line: int
    when: datetime
    where: str
    """Procedure and seam."""
    text: str
    recordings: tuple[Recording, ...] = ()


@dataclass(frozen=True, slots=True)
class Walk:
    """One procedure that was walked through."""

    when: datetime
    title: str
    seam: str | None
    welder: str | None
    gun: str | None
    closed: str
    """``ended``, ``stopped`` or ``open``."""


@dataclass(frozen=True, slots=True)
class ShiftReview:
    """What a record adds up to."""

    began: datetime | None
    ended: datetime | None
    """Times of the first and the last line, local there and then."""
    names: tuple[str, ...]
    areas: tuple[str, ...]
    sheets: tuple[str, ...]
    welders: tuple[str, ...]
    guns: tuple[str, ...]
    software: tuple[str, ...]
    rehearsal: bool
    """Some of it was typed or played in, and not said at a roof."""
    strips: tuple[Strip, ...]
    """The most urgent first."""
    counts: tuple[int, int, int, int]
    """Failed (too wide ones too), without a verdict, passed at the limit, passed."""
    not_heard: tuple[Remark, ...]
    not_hoped: tuple[Remark, ...]
    cut_short: tuple[Remark, ...]
    """Waits that were ended before their time."""
    taken_back: tuple[Remark, ...]
    breaks: tuple[Remark, ...]
    """Holds, stops and times without a microphone."""
    walks: tuple[Walk, ...]
    marks: tuple[Remark, ...] = ()
    """Marks on the seam; those that were meant and not heard too."""
    events: tuple[Remark, ...] = ()
    """What may have ended a set-up: power lost, rain, a break, a change of gun."""
    notes: tuple[Remark, ...] = ()


def shift_review(entries: Sequence[Entry], doubtful: Collection[int] = ()) -> ShiftReview:
    """Return the review of a record's lines.

    ``doubtful`` holds the ``seq`` of lines that are not sound.
    """
    every = runs(entries)
    found = strips(every, doubtful)
    places = [urgency(strip.outcome) for strip in found]
    failed, unjudged, at_limit, passed = (places.count(place) for place in range(len(URGENCY)))
    return ShiftReview(
        began=entries[0].local if entries else None,
        ended=entries[-1].local if entries else None,
        names=_jobs(every, "name"),
        areas=_jobs(every, "area"),
        sheets=_jobs(every, "sheet"),
        welders=_jobs(every, "welder"),
        guns=_jobs(every, "gun"),
        software=_distinct(run.began.fields.get("software") for run in every if run.began),
        rehearsal=any(run.began and run.began.fields.get("rehearsal") is True for run in every),
        strips=found,
        counts=(failed, unjudged, at_limit, passed),
        not_heard=_remarks(every, _not_heard),
        not_hoped=_remarks(every, _not_hoped),
        cut_short=_remarks(every, _cut_short),
        taken_back=_remarks(every, _taken_back, taken_back=True),
        breaks=_remarks(every, _break, taken_back=True),
        walks=tuple(_walk(run) for run in every),
        marks=_remarks(every, beside.mark),
        events=_remarks(every, beside.event),
        notes=_remarks(every, beside.note),
    )


def _jobs(every: Iterable[Run], key: str) -> tuple[str, ...]:
    return _distinct(job_of(run).get(key) for run in every)


def _distinct(values: Iterable[object]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(value for value in values if isinstance(value, str) and value))


_NAMES_ITS_SEAM = {*kinds.BESIDE, kinds.MARK_NOT_HEARD}


def _remarks(
    every: Iterable[Run], tell: Callable[[Run, Entry], str | None], *, taken_back: bool = False
) -> tuple[Remark, ...]:
    """Return what ``tell`` says of each line; of lines that no longer count only if asked to."""
    found = []
    for run in every:
        for entry in run.entries if taken_back else standing(run.entries):
            text = tell(run, entry)
            if text is not None:
                heard = tuple(Recording("what was said", clip) for clip in clips_of(entry))
                found.append(Remark(entry.seq + 1, entry.local, _where(run, entry), text, heard))
    return tuple(sorted(found, key=lambda remark: remark.line))


def _where(run: Run, entry: Entry) -> str:
    """Return procedure and seam; what is said beside the steps names its seam itself."""
    named = entry.fields.get("seam") if entry.kind in _NAMES_ITS_SEAM else None
    seam = named if isinstance(named, str) and named else seam_of(run)
    return f"{_title(run)}, seam {seam}" if seam else _title(run)


def _title(run: Run) -> str:
    title = run.began.fields.get("title") if run.began else None
    return title if isinstance(title, str) and title else "Unknown procedure"


def _walk(run: Run) -> Walk:
    job = job_of(run)
    welder, gun = job.get("welder"), job.get("gun")
    return Walk(
        when=run.entries[0].local,
        title=_title(run),
        seam=seam_of(run),
        welder=welder if isinstance(welder, str) else None,
        gun=gun if isinstance(gun, str) else None,
        closed=run.closed,
    )


# ---- what is told of a line, or None when it is nothing to tell


def _not_heard(_: Run, entry: Entry) -> str | None:
    if entry.kind != kinds.NOT_HEARD:
        return None
    tries = entry.fields.get("said")
    said = (
        [f"“{said}”" if said else "no words" for said in tries] if isinstance(tries, list) else []
    )
    made = f" What was made of it: {', '.join(said)}." if said else ""
    return f"{_step(entry)}: not heard.{made}"


def _not_hoped(run: Run, entry: Entry) -> str | None:
    if entry.kind != kinds.ANSWERED or entry.fields.get("hoped") is not False:
        return None
    text = f"{_step(entry)}: {entry.fields.get('answer')}."
    for later in standing(run.entries):
        if later.seq > entry.seq and _mends(later, entry):
            return f"{text} Answered {later.fields.get('answer')} at {later.local:%H:%M}."
    return f"{text} It was not answered otherwise later."


def _mends(later: Entry, entry: Entry) -> bool:
    same = later.fields.get("step") == entry.fields.get("step")
    return same and later.fields.get("hoped") is True


def _cut_short(_: Run, entry: Entry) -> str | None:
    if entry.kind != kinds.DONE or entry.fields.get("early") is not True:
        return None
    return f"{_step(entry)}: the wait was ended early."


def _taken_back(run: Run, entry: Entry) -> str | None:
    if entry.kind != kinds.TAKEN_BACK:
        return None
    number = entry.fields.get("entry")
    old = next((other for other in run.entries if other.seq == number), None)
    what = "an earlier line" if old is None else _content(old)
    said = entry.fields.get("said")
    hedged = entry.fields.get("reason") == kinds.HEDGE_DECIDES
    by = f" by “{said}”" if said else ", for its hedge decided the verdict" if hedged else ""
    return f"{_step(entry)}: {what} was taken back{by}."


def _content(entry: Entry) -> str:
    """Return what a line said, for showing that it no longer counts."""
    fields = entry.fields
    if entry.kind in kinds.BESIDE:
        return f"{entry.kind} “{beside.told(entry)}”"
    if entry.kind == kinds.JUDGED:
        return f"the verdict “{fields.get('outcome')}”"
    if entry.kind != kinds.ANSWERED:
        return "“not heard”" if entry.kind == kinds.NOT_HEARD else "“done”"
    width = fraction(fields.get("width_in"))
    if width is not None:
        hedge = f", {fields['hedge']}" if fields.get("hedge") else ""
        return f"the answer {inches(width)}{hedge}"
    called = fields.get("called") if fields.get("act") == "choice" else None
    return f"the answer {readable(called or fields.get('answer'))}"


def _break(_: Run, entry: Entry) -> str | None:
    texts = {
        kinds.HELD: "on hold after silence"
        if entry.fields.get("because") == "quiet"
        else "on hold",
        kinds.CARRIED_ON: "carried on",
        kinds.STOPPED: "stopped",
        kinds.RESUMED: "taken up again",
        kinds.EAR_LOST: "the microphone was lost",
        kinds.EAR_BACK: "the microphone was back",
    }
    text = texts.get(entry.kind)
    return None if text is None else f"{_step(entry)}: {text}."


def _step(entry: Entry) -> str:
    name = readable(entry.fields.get("step")) if entry.fields.get("step") else "at the end"
    return name[:1].upper() + name[1:]
