"""The door of the checker: a checklist or a folder of them in, everything found out.

``check_procedure`` is pure; ``check_files`` reads the files.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from assistant.check.cautions import check_cautions
from assistant.check.findings import RULES, Finding, Severity, in_order
from assistant.check.hearing import Ear, check_hearing
from assistant.check.place import Lines, Sheet, key_lines
from assistant.check.speaking import check_speaking
from assistant.check.timing import StepTime, step_times
from assistant.check.ways import check_ways
from assistant.errors import ProcedureProblem
from assistant.procedure.faults import Fault, FaultyChecklist
from assistant.procedure.job import Job
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Procedure


@dataclass(frozen=True, slots=True)
class Checked:
    """One checklist that loads."""

    procedure: Procedure
    file: str
    times: tuple[StepTime, ...]

    @property
    def say_s(self) -> float:
        """Seconds of speech when every step is met once."""
        return sum(time.say_s for time in self.times)

    @property
    def why_s(self) -> float:
        """Seconds that an apprentice hears on top."""
        return sum(time.why_s for time in self.times)

    @property
    def wait_s(self) -> int:
        """Seconds of waiting."""
        return sum(time.wait_s for time in self.times)


@dataclass(frozen=True, slots=True)
class Report:
    """All that was found in some checklists."""

    checked: tuple[Checked, ...]
    findings: tuple[Finding, ...]

    @property
    def good(self) -> bool:
        """Nothing was found that has to be mended before a crew uses them."""
        return all(one.severity is Severity.NOTE for one in self.findings)


def check_procedure(
    procedure: Procedure, ear: Ear, lines: Callable[[str], Lines] = lambda _: {}
) -> tuple[Finding, ...]:
    """Return what is found in one checklist, in its order; ``lines`` gives a file's key lines."""
    sheet = Sheet(procedure, lines)
    found = [
        *check_ways(sheet),
        *check_cautions(sheet),
        *check_hearing(sheet, ear),
        *check_speaking(sheet),
    ]
    return in_order(found)


def check_files(paths: Iterable[Path], ear: Ear, job: Job | None = None) -> Report:
    """Check files; a shared file or a job file with a fault is told of once."""
    checked: list[Checked] = []
    found: list[Finding] = []
    for path in paths:
        folder = path.parent
        lines = lru_cache(maxsize=None)(_reader(folder))
        try:
            procedure = load_procedure(path, job=job)
        except FaultyChecklist as problem:
            own = [_from_fault(fault, problem.file) for fault in problem.faults]
        except ProcedureProblem as problem:
            wrong, _, mend = str(problem).partition(". ")
            own = [Finding(path.name, 1, "form", wrong, mend.rstrip(".") or "Mend the file")]
        else:
            own = [*check_procedure(procedure, ear, lines), *_same_name(procedure, path, checked)]
            checked.append(Checked(procedure, str(path), step_times(procedure)))
        found += [replace(one, file=str(folder / one.file)) for one in own]
    return Report(tuple(checked), in_order(found))


def _reader(folder: Path) -> Callable[[str], Lines]:
    def lines(name: str) -> Lines:
        try:
            return key_lines((folder / name).read_bytes())
        except OSError:
            return {}

    return lines


def _from_fault(fault: Fault, file: str) -> Finding:
    rule = fault.rule if fault.rule in RULES else "form"
    wrong = f"key '{fault.key}': {fault.wrong}" if fault.key else fault.wrong
    return Finding(fault.file or file, fault.line, rule, wrong, f"Write {fault.instead}")


def _same_name(procedure: Procedure, path: Path, before: Sequence[Checked]) -> list[Finding]:
    for other in before:
        if other.procedure.id == procedure.id:
            wrong = f"'{procedure.id}' is already the name of {other.file}"
            return [Finding(path.name, 1, "same-name", wrong, "Write another name")]
    return []
