"""Reads checklists and job files; every fault is found before work begins.

This is the door of ``procedure``: the command line and the shift import it. ``README.md`` beside
the checklists tells how one is written.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from assistant.errors import ProcedureProblem
from assistant.procedure import references
from assistant.procedure.conditions import Conditions, conditions
from assistant.procedure.faults import Faults
from assistant.procedure.fields import Fields
from assistant.procedure.job import Job, Putting, values_in
from assistant.procedure.keeping import keeping
from assistant.procedure.making import Around
from assistant.procedure.model import Judge, Procedure
from assistant.procedure.sharing import Reading
from assistant.procedure.yaml_lines import Mapping, read_yaml
from assistant.weld.limits import WidthLimits
from assistant.words.commands import command_phrases

JOB_KEYS = (
    "name", "area", "drawing", "sheet", "lot", "welder", "checker", "gun", "nozzle", "roller",
)  # fmt: skip
JOB_FILE = "job.yaml"
"""The job that counts for the checklists beside it; it is no checklist."""
SUFFIXES = (".yaml", ".yml")


def load_procedure(
    path: Path, reserved: frozenset[str] | None = None, job: Job | None = None
) -> Procedure:
    """Read one checklist.

    ``reserved`` are the phrases that no answer of a choice may hold; the commands unless given.
    ``job`` goes over the ``job.yaml`` beside it. Raises ``ProcedureProblem`` with all faults, one a
    line, in the order of the file.
    """
    return _load(path, reserved, _job_beside(path.parent).under(job or Job()))


def _load(path: Path, reserved: frozenset[str] | None, job: Job) -> Procedure:
    raw = read_bytes(path)
    faults = Faults()
    putting = Putting(job, faults)
    fields = top_fields(raw, path.name, "the checklist", faults, putting)
    phrases = command_phrases() if reserved is None else reserved
    around = Around(WidthLimits(), phrases, job.conditions)
    procedure = _procedure(fields, path.name, raw, Reading(path.parent, around, faults, putting))
    faults.raise_any(path.name)
    return procedure


def load_procedures(folder: Path, job: Job | None = None) -> dict[str, Procedure]:
    """Read every checklist of a folder, by the id of each, in the order of the file names.

    ``job`` goes over the ``job.yaml`` of the folder, which is no checklist.
    Raises ``ProcedureProblem`` with the faults of all files together, for two checklists with the
    same id, and for a folder that holds none.
    """
    found: dict[str, Procedure] = {}
    problems: list[str] = []
    paths = _checklists(folder)
    whole_job = _job_beside(folder).under(job or Job())
    for path in paths:
        try:
            procedure = _load(path, None, whole_job)
        except ProcedureProblem as problem:
            problems.append(str(problem))
            continue
        if procedure.id in found:
            other = found[procedure.id].source
            problems.append(
                f"{path.name}, key 'procedure': '{procedure.id}' is already the name of {other}. "
                "Write another name."
            )
        found[procedure.id] = procedure
    if problems:
        # A fault in a shared file is one, however many checklists include it.
        told = dict.fromkeys(line for problem in problems for line in problem.split("\n"))
        raise ProcedureProblem("\n".join(told))
    return found


def read_job(path: Path) -> Job:
    """Read a job file.

    Raises ``ProcedureProblem`` with all faults, one a line.
    """
    faults = Faults()
    fields = top_fields(read_bytes(path), path.name, "the job file", faults)
    about = {key: fields.text(key, required=False) for key in JOB_KEYS if fields.has(key)}
    fields.asked.extend(JOB_KEYS)
    values = values_in(fields, path.name, about)
    limits = conditions(fields)
    keeping(fields)
    sets = frozenset(key for key in ("weather", "power") if fields.has(key))
    fields.close()
    faults.raise_any(path.name)
    return Job(about, values, limits, sets, (path.name,))


def load_job(path: Path) -> dict[str, str]:
    """Read a job file; returns those of ``JOB_KEYS`` that it gives, as text.

    Raises ``ProcedureProblem`` with all faults, one a line.
    """
    return dict(read_job(path).about)


def load_conditions(path: Path) -> Conditions:
    """Read from a job file where weather and supply call for a caution.

    Raises ``ProcedureProblem`` with all faults, one a line.
    """
    return read_job(path).conditions


def _job_beside(folder: Path) -> Job:
    path = folder / JOB_FILE
    return read_job(path) if path.is_file() else Job()


def _checklists(folder: Path) -> list[Path]:
    try:
        paths = sorted(path for path in folder.iterdir() if _is_checklist(path))
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise ProcedureProblem(
            f"{folder}: this folder cannot be read ({reason}). Name a folder with checklists."
        ) from error
    if not paths:
        raise ProcedureProblem(
            f"{folder}: no checklist is here. Name a folder with files that end in .yaml."
        )
    return paths


def _is_checklist(path: Path) -> bool:
    return path.suffix.lower() in SUFFIXES and path.name != JOB_FILE


def read_bytes(path: Path) -> bytes:
    """Return the bytes of a file; raises ``ProcedureProblem`` when it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise ProcedureProblem(
            f"{path}: this file cannot be read ({reason}). Check its name and who may read it."
        ) from error


def top_fields(
    raw: bytes, file: str, what: str, faults: Faults, putting: Putting | None = None
) -> Fields:
    """Return the outermost keys of a file, with the values of a job in their places.

    Raises ``ProcedureProblem`` when it has none.
    """
    root = read_yaml(raw, faults)
    if putting and isinstance(root, Mapping):
        root = putting.into(root)
    if isinstance(root, Mapping):
        return Fields(root, faults, what)
    if root is not None:
        faults.add(root.line, "", f"{what} does not begin with a key", "each part as key: value")
    raise faults.problem(file)


def _procedure(fields: Fields, source: str, raw: bytes, reading: Reading) -> Procedure:
    name, title, version = fields.name("procedure"), fields.spoken("title"), fields.text("version")
    limits = _limits(fields)
    reading.around = replace(reading.around, limits=limits or WidthLimits())
    reading.steps(fields.items("steps"))
    _limits_are_used(fields, reading)
    fields.close()
    steps = tuple(each.step for each in reading.drafts)
    procedure = Procedure(name, title, version, source, _digest(raw, reading), steps)
    # With a step missing from the list, what names it would be called wrong.
    if reading.whole:
        references.check(reading.drafts, procedure, fields.faults)
    return procedure


def _digest(raw: bytes, reading: Reading) -> str:
    """Return the SHA-256 of the file, or of it with what it includes and names of the job."""
    own = hashlib.sha256(raw).hexdigest()
    if not reading.digests and not reading.putting.used:
        return own
    all_of_it = [own, reading.digests, sorted(reading.putting.used.items())]
    return hashlib.sha256(json.dumps(all_of_it).encode()).hexdigest()


def _limits(fields: Fields) -> WidthLimits | None:
    inner = fields.inner("limits", required=False)
    if not inner:
        return None
    least, most, rule = inner.inches("least"), inner.inches("most"), inner.inches("rule")
    edges = inner.count("edges") if inner.has("edges") else Fraction(1)
    strip = inner.inches("strip") if inner.has("strip") else None
    inner.close()
    if edges not in (None, 1, 2):
        inner.fault("edges", "a width has one edge or two to be read", "edges: 1 or edges: 2")
    if least is None or most is None or rule is None:
        return None
    if least >= most:
        inner.fault("least", "'least' is not less than 'most'", "the smaller width as least")
    elif rule > most - least:
        between = "no mark of the rule need lie between 'least' and 'most'"
        inner.fault("rule", between, "the smallest mark that is read, such as 1/16 in")
    return WidthLimits(least, most, rule, int(edges or 1), strip_least_in=strip)


def _limits_are_used(fields: Fields, reading: Reading) -> None:
    judged = any(isinstance(each.step, Judge) for each in reading.drafts)
    if judged and not fields.has("limits"):
        fields.fault("limits", "the checklist judges a strip and lacks this key")
    if not judged and fields.has("limits") and reading.whole:
        fields.fault("limits", "no judge step uses these limits", "a judge step, or no limits")
