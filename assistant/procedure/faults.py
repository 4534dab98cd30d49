"""Faults of a checklist, gathered so that the writer sees all of them at once.

Imported by the rest of ``procedure``; imports only ``errors``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.errors import ProcedureProblem


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing that is wrong in a file, and what to write instead."""

    line: int
    """1 is the first line of the file."""
    key: str
    """The key it stands under, or empty when it belongs to no key."""
    wrong: str
    """What is wrong: a phrase without a full stop."""
    instead: str
    """What to write: continues "Write ...", without a full stop."""
    file: str = ""
    """The file it stands in, where that is another than the one that is read."""
    rule: str = ""
    """The name of the rule it breaks, where it has one."""

    def sentence(self, file: str) -> str:
        """Return the fault as it is shown, beginning with ``file``."""
        key = f", key '{self.key}'" if self.key else ""
        return f"{self.file or file}, line {self.line}{key}: {self.wrong}. Write {self.instead}."


class FaultyChecklist(ProcedureProblem):
    """A file with faults, which are kept one by one for whoever shows them in another way."""

    def __init__(self, file: str, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(fault.sentence(file) for fault in faults))
        self.file = file
        self.faults = faults


@dataclass(slots=True)
class Faults:
    """All faults found so far in one file."""

    found: list[Fault] = field(default_factory=list)
    file: str = ""
    """The shared file that is read now; empty for the checklist itself."""

    def add(self, line: int, key: str, wrong: str, instead: str, rule: str = "") -> None:
        """Remember a fault."""
        self.found.append(Fault(line, key, wrong, instead, self.file, rule))

    def at(self, file: str) -> Faults:
        """Return the same faults, to which those of another file are added."""
        return Faults(self.found, file)

    def problem(self, file: str) -> ProcedureProblem:
        """Return the error with one line for each fault, in the order of the file."""
        # The same mistake can be met on two ways through the file; say it once.
        unique = sorted(set(self.found), key=lambda fault: (fault.file, fault))
        return FaultyChecklist(file, tuple(unique))

    def raise_any(self, file: str) -> None:
        """Raise ``ProcedureProblem`` when there is any fault."""
        if self.found:
            raise self.problem(file)
