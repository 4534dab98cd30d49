"""Bringing records into a job folder. Imports ``gather``, ``record`` and ``errors``.

One record after the other: what is there of it, what came, what both add up to (``lineage``), and
only then the disk. Files are added; a record file is only ever replaced by one that begins with the
same bytes. A run that was cut short is made whole by the next.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from assistant.errors import UsageProblem
from assistant.gather import clocks, lineage, signatures
from assistant.gather.copies import opened
from assistant.gather.job import BROKEN_NAME, KEYS_NAME, LOCK_NAME, RECORDS_NAME
from assistant.gather.limits import (
    MEGABYTE,
    MOST_CLIP,
    MOST_RECORD,
    RecordFiles,
    Refused,
    shown,
)
from assistant.gather.sides import BESIDE, sides
from assistant.gather.told import Report
from assistant.record import clips, disk
from assistant.record.dropped import Dropped, shortened
from assistant.record.entry import BadLine, Entry, parsed
from assistant.record.journal import CLIPS_NAME, FILE_NAME
from assistant.record.verify import clips_of


@dataclass(slots=True)
class _Group:
    """The copies of one record that are in the job folder."""

    base: str
    folders: dict[str, bytes]
    """Lines by name of folder."""
    came: RecordFiles
    sides: dict[str, bytes] = field(default_factory=dict)
    """What belongs beside all of them: cut ends and signatures, by the names they get."""


@dataclass(slots=True)
class _Shelf:
    """A job folder, and which of its records are forked: to look for each anew would take long."""

    job: Path
    forks: dict[str, list[str]] = field(default_factory=dict)
    """Names of folders, by the plain name of their record."""

    @classmethod
    def of(cls, job: Path) -> _Shelf:
        """Look through a job folder once."""
        shelf = cls(job)
        for path in (job / RECORDS_NAME).iterdir():
            base, fork, _ = path.name.rpartition("-fork-")
            if fork:
                shelf.forks.setdefault(base, []).append(path.name)
        return shelf

    def folder(self, name: str) -> Path:
        """Return where a record lies."""
        return self.job / RECORDS_NAME / name


def gather(sources: Iterable[Path], job: Path, now: datetime) -> Report:
    """Merge all records in the sources into the job folder, making it where it is missing.

    ``now`` is the aware time that clocks are held against.

    Raises:
        UsageProblem: a source or the job folder is not what it should be.
        RecordInUse: somebody else gathers into it.
        RecordFull, RecordProblem: the disk refuses; what was gathered before is whole.
    """
    report = Report()
    with _held(job):
        shelf = _Shelf.of(job)
        for source in sources:
            came = opened(source, job)
            before = report.seen
            for record in came.records:
                try:
                    _take(record, shelf, report)
                except OSError as error:
                    raise disk.problem_of(error, job) from error
            report.refused += came.refused
            if report.seen == before:
                report.refused.append(f"There is no record in {shown(str(source))}.")
        report.clocks += clocks.unlikely(_spans(job), report.touched, now)
    return report


def _spans(job: Path) -> Iterator[clocks.Span]:
    """Yield from when to when each record goes that the job folder holds."""
    for path in (job / RECORDS_NAME).glob(f"*/{FILE_NAME}"):
        with path.open("rb") as file, suppress(BadLine, OSError):
            first = file.readline(MEGABYTE)
            file.seek(max(0, path.stat().st_size - MEGABYTE))
            last = file.read().rstrip(b"\n").rpartition(b"\n")[2] or first
            yield clocks.span_of(path.parent.name, (parsed(first), parsed(last)))


@contextmanager
def _held(job: Path) -> Iterator[None]:
    if (job / FILE_NAME).exists():
        raise UsageProblem(f"{job} is the folder of one record. Name another with --into.")
    try:
        (job / RECORDS_NAME).mkdir(parents=True, exist_ok=True)
        lock = disk.DISK.lock(job / LOCK_NAME)
    except OSError as error:
        raise disk.problem_of(error, job) from error
    try:
        yield
    finally:
        lock.close()


def _take(came: RecordFiles, shelf: _Shelf, report: Report) -> None:
    report.seen += 1
    try:
        data = came.read(FILE_NAME, MOST_RECORD)
    except Refused as problem:
        report.refused.append(f"The record of {came.label} {problem}. It was left out.")
        return
    found = lineage.read(data)
    if found is None:
        report.refused.append(f"The record of {came.label} is empty.")
    elif isinstance(found, lineage.Broken):
        _set_aside(found, came, shelf.job, report)
    else:
        _merge(found, came, shelf, report)


# ---- a record that is whole


def _merge(found: lineage.Whole, came: RecordFiles, shelf: _Shelf, report: Report) -> None:
    group = _group(found, came, shelf)
    if any(not data.startswith(_first_line(found.data)) for data in group.folders.values()):
        report.refused.append(
            f"The record of {came.label} has the fingerprint of another. It was left out."
        )
        return
    group.sides.update(sides(came, report))
    named = lineage.named(group.base, [*group.folders.values(), found.data])
    report.count(_how(found.data, group, named), found, came.label)
    report.touched |= named.keys()
    report.unnamed(len(came.clips - _clips_named(found.entries).keys()), came.label)
    if found.data not in group.folders.values():
        report.clocks += clocks.jumps(came.label, found.entries)
    _rename(group, named, shelf)
    shelf.forks[group.base] = [name for name in named if name != group.base]
    for name, data in named.items():
        whole = found if found.data == data else lineage.read(data)
        if isinstance(whole, lineage.Whole):
            _write_record(shelf.folder(name), whole, group, report)
    for content in group.sides.values():
        signature = signatures.parsed(content)
        if signature is not None:
            _keep(shelf.job / KEYS_NAME / signature.key_file, signature.key_pem)


def _first_line(data: bytes) -> bytes:
    return data[: data.index(b"\n") + 1]


def _group(found: lineage.Whole, came: RecordFiles, shelf: _Shelf) -> _Group:
    base = lineage.base_name(found.entries[0])
    group = _Group(base, {}, came)
    for folder in map(shelf.folder, [base, *shelf.forks.get(base, [])]):
        if (folder / FILE_NAME).is_file():
            group.folders[folder.name] = (folder / FILE_NAME).read_bytes()
            for path in folder.iterdir():
                if path.name.startswith(BESIDE):
                    group.sides[path.name] = path.read_bytes()
    return group


def _how(data: bytes, group: _Group, named: Mapping[str, bytes]) -> str:
    """Return what became of a copy, as ``Report`` counts it."""
    if data in group.folders.values():
        return "there"
    if not group.folders:
        return "new"
    if any(here.startswith(data) for here in group.folders.values()):
        return "shorter"
    return "grown" if len(named) == len(group.folders) else "fork"


def _rename(group: _Group, named: Mapping[str, bytes], shelf: _Shelf) -> None:
    """Give the folders that are there the names that they have from now on."""
    for old, data in list(group.folders.items()):
        new = next(name for name, whole in named.items() if whole.startswith(data))
        if new != old:
            disk.DISK.rename(shelf.folder(old), shelf.folder(new))
            disk.DISK.sync_folder(shelf.job / RECORDS_NAME)
            group.folders[new] = group.folders.pop(old)


def _write_record(folder: Path, found: lineage.Whole, group: _Group, report: Report) -> None:
    """Write what a record lacks: its clips first, so that no line waits for its sound."""
    _write_clips(found.entries, folder, group, report)
    for name, content in group.sides.items():
        # Beside every branch: of those that were not signed a signature says just that.
        _keep(folder / name, content)
    if group.folders.get(folder.name) != found.data:
        _make(folder)
        disk.write_whole(disk.DISK, folder / FILE_NAME, found.data)


def _write_clips(entries: Iterable[Entry], folder: Path, group: _Group, report: Report) -> None:
    for name, wanted in _clips_named(entries).items():
        path = folder / CLIPS_NAME / name
        content = (
            None if path.exists() else _clip(name, group, folder.parent, report, wanted=wanted)
        )
        if content is not None:
            _keep(path, content)


def _clips_named(entries: Iterable[Entry]) -> dict[str, bool]:
    """Return the clips that lines name, and whether they should be there.

    What is no name of a clip leads nowhere. One that was dropped to save room or for privacy is
    nowhere missed, and yet taken where a copy of the record still has it.
    """
    dropped = Dropped()
    every: dict[str, None] = {}
    for entry in entries:
        names = clips_of(entry)
        dropped.take(entry, names)
        every.update(dict.fromkeys([*names, *(new for _, new in shortened(entry))]))
    return {name: name not in dropped.by for name in every if clips.is_name(name)}


def _clip(name: str, group: _Group, records: Path, report: Report, *, wanted: bool) -> bytes | None:
    """Return a clip from what came, or from another branch of the record."""
    for folder in group.folders:
        kept = records / folder / CLIPS_NAME / name
        if kept.is_file():
            return kept.read_bytes()
    return _checked(name, group.came, report, wanted=wanted)


def _checked(name: str, came: RecordFiles, report: Report, *, wanted: bool) -> bytes | None:
    if name not in came.clips:
        if wanted:
            report.missing(came.label)
        return None
    try:
        content = came.read(f"{CLIPS_NAME}/{name}", MOST_CLIP)
        problem = None if clips.kept_as(name, content) else Refused("is not as it was kept")
    except Refused as refused:
        problem = refused
    if problem is not None:
        report.refused.append(f"The clip {name[:12]} of {came.label} {problem}. It was left out.")
        return None
    report.clips += 1
    return content


# ---- a record that is not


def _set_aside(found: lineage.Broken, came: RecordFiles, job: Path, report: Report) -> None:
    """Keep a record that is not as it was written, apart from the others and just as it came."""
    folder = job / BROKEN_NAME / found.name
    report.broken.append(
        f"The record of {came.label} is not as it was written. {found.why} It is kept apart, in "
        f"{BROKEN_NAME}/{found.name}."
    )
    for name, wanted in _clips_named(found.entries).items():
        path = folder / CLIPS_NAME / name
        content = None if path.exists() else _checked(name, came, report, wanted=wanted)
        if content is not None:
            _keep(path, content)
    _keep(folder / FILE_NAME, found.data)


# ---- the disk


def _keep(path: Path, content: bytes) -> None:
    """Write a file where there is none of that name."""
    if not path.exists():
        _make(path.parent)
        disk.write_whole(disk.DISK, path, content)


def _make(folder: Path) -> None:
    if not folder.is_dir():
        disk.DISK.make_folder(folder)
