"""What the checker says: a finding, and the rules by name. Imports nothing of ours."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from enum import Enum


class Severity(Enum):
    """How much a finding matters."""

    FAULT = "fault"
    """The checklist must not be used so."""
    WARNING = "warning"
    """Somebody may be hurt, or not be heard or understood: mend it before a crew uses it."""
    NOTE = "note"
    """Worth a look; nothing fails for it."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing that is looked for."""

    severity: Severity
    looks_for: str
    """A phrase, for the list of rules."""


RULES: dict[str, Rule] = {
    "form": Rule(Severity.FAULT, "keys, values and ids as the loader wants them"),
    "job-value": Rule(Severity.FAULT, "a value that the job file does not give"),
    "include": Rule(Severity.FAULT, "a shared file that cannot be included"),
    "same-name": Rule(Severity.FAULT, "two checklists with one name"),
    "unreachable": Rule(Severity.FAULT, "a step that no answers lead to"),
    "no-way-out": Rule(Severity.FAULT, "a loop that leads back for ever, without a cap"),
    "caution-missing": Rule(Severity.FAULT, "a danger with no caution before it"),
    "danger-not-marked": Rule(Severity.WARNING, "dangerous work without a danger mark"),
    "word-not-heard": Rule(Severity.FAULT, "an answer with a word that the model lacks"),
    "sounds-alike": Rule(Severity.FAULT, "answers of one step that sound alike"),
    "sentence-long": Rule(Severity.WARNING, "a sentence too long to follow by ear"),
    "step-long": Rule(Severity.NOTE, "a step that speaks for too long"),
    "why-missing": Rule(Severity.NOTE, "a step with nothing to say to why"),
}
"""Every rule by its name, in the order in which they are explained."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was found."""

    file: str
    line: int
    """1 is the first line of the file; a step's line where no nearer one is known."""
    rule: str
    """A key of ``RULES``."""
    wrong: str
    """What is wrong: a phrase without a full stop."""
    mend: str
    """What to do: a sentence without its full stop."""
    step: str = ""
    """The id of the step, or empty."""

    @property
    def severity(self) -> Severity:
        """How much it matters."""
        return RULES[self.rule].severity

    def sentence(self) -> str:
        """Return the finding on one line: place, severity, rule, what is wrong, how to mend it."""
        place = f"{self.file}:{self.line}"
        return f"{place}: {self.severity.value}, {self.rule}: {self.wrong}. {self.mend}."

    def as_json(self) -> dict[str, object]:
        """Return it as plain data."""
        return {**asdict(self), "severity": self.severity.value}


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Return findings by file and line, each once."""
    names = list(RULES)
    return tuple(
        sorted(
            set(findings), key=lambda one: (one.file, one.line, names.index(one.rule), one.wrong)
        )
    )
