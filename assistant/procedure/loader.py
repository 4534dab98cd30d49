"""Reads checklists and job files; every fault is found before work begins.

This is the door of ``procedure``: the command line and the shift import it. ``README.md`` beside
the checklists tells how one is written.
"""

from __future__ import annotations

import hashlib
from fractions import Fraction
from pathlib import Path

from assistant.errors import ProcedureProblem
from assistant.procedure import references
from assistant.procedure.conditions import Conditions, conditions
from assistant.procedure.faults import Faults
from assistant.procedure.fields import Fields
from assistant.procedure.model import Judge, Procedure
from assistant.procedure.steps import Around, Draft, draft
from assistant.procedure.yaml_lines import Mapping, read_yaml
from assistant.weld.limits import WidthLimits
from assistant.words.commands import command_phrases

JOB_KEYS = (
    "name", "area", "drawing", "sheet", "lot", "welder", "checker", "gun", "nozzle", "roller",
)  # fmt: skip
SUFFIXES = (".yaml", ".yml")


def load_procedure(path: Path, reserved: frozenset[str] | None = None) -> Procedure:
    """Read one checklist.

    ``reserved`` are the phrases that no answer of a choice may hold; the commands unless given.
    Raises ``ProcedureProblem`` with all faults, one a line, in the order of the file.
    """
    raw = read_bytes(path)
    faults = Faults()
    fields = top_fields(raw, path.name, "the checklist", faults)
    phrases = command_phrases() if reserved is None else reserved
    procedure = _procedure(fields, path.name, hashlib.sha256(raw).hexdigest(), phrases)
    faults.raise_any(path.name)
    return procedure


def load_procedures(folder: Path) -> dict[str, Procedure]:
    """Read every checklist of a folder, by the id of each, in the order of the file names.

    Raises ``ProcedureProblem`` with the faults of all files together, for two checklists with the
    same id, and for a folder that holds none.
    """
    found: dict[str, Procedure] = {}
    problems: list[str] = []
    for path in _checklists(folder):
        try:
            procedure = load_procedure(path)
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
        raise ProcedureProblem("\n".join(problems))
    return found


def load_job(path: Path) -> dict[str, str]:
    """Read a job file; returns those of ``JOB_KEYS`` that it gives, as text.

    Raises ``ProcedureProblem`` with all faults, one a line.
    """
    faults = Faults()
    fields = top_fields(read_bytes(path), path.name, "the job file", faults)
    job = {key: fields.text(key, required=False) for key in JOB_KEYS if fields.has(key)}
    fields.asked.extend(JOB_KEYS)
    conditions(fields)
    fields.close()
    faults.raise_any(path.name)
    return job


def load_conditions(path: Path) -> Conditions:
    """Read from a job file where weather and supply call for a caution.

    Raises ``ProcedureProblem`` with all faults, one a line.
    """
    load_job(path)
    faults = Faults()
    return conditions(top_fields(read_bytes(path), path.name, "the job file", faults))


def _checklists(folder: Path) -> list[Path]:
    try:
        paths = sorted(path for path in folder.iterdir() if path.suffix.lower() in SUFFIXES)
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


def read_bytes(path: Path) -> bytes:
    """Return the bytes of a file; raises ``ProcedureProblem`` when it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise ProcedureProblem(
            f"{path}: this file cannot be read ({reason}). Check its name and who may read it."
        ) from error


def top_fields(raw: bytes, file: str, what: str, faults: Faults) -> Fields:
    """Return the outermost keys of a file; raises ``ProcedureProblem`` when it has none."""
    root = read_yaml(raw, faults)
    if isinstance(root, Mapping):
        return Fields(root, faults, what)
    if root is not None:
        faults.add(root.line, "", f"{what} does not begin with a key", "each part as key: value")
    raise faults.problem(file)


def _procedure(fields: Fields, source: str, digest: str, reserved: frozenset[str]) -> Procedure:
    name, title, version = fields.name("procedure"), fields.spoken("title"), fields.text("version")
    limits = _limits(fields)
    around = Around(limits or WidthLimits(), reserved)
    values = fields.items("steps")
    drafts = [made for value in values if (made := draft(value, around, fields.faults))]
    # With a step missing from the list, what names it would be called wrong.
    if len(drafts) == len(values):
        references.check(drafts, fields.faults)
    _limits_are_used(fields, drafts, len(values))
    fields.close()
    return Procedure(name, title, version, source, digest, tuple(each.step for each in drafts))


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


def _limits_are_used(fields: Fields, drafts: list[Draft], count: int) -> None:
    judged = any(isinstance(each.step, Judge) for each in drafts)
    if judged and not fields.has("limits"):
        fields.fault("limits", "the checklist judges a strip and lacks this key")
    if not judged and fields.has("limits") and len(drafts) == count:
        fields.fault("limits", "no judge step uses these limits", "a judge step, or no limits")
