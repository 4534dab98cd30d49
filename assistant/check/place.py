"""Where things stand in a checklist's file. Imports ``procedure`` and ``findings``."""

from __future__ import annotations

from collections.abc import Callable
from collections.abc import Mapping as Map
from dataclasses import dataclass

from assistant.check.findings import Finding
from assistant.procedure.faults import Faults
from assistant.procedure.model import Procedure, Step
from assistant.procedure.yaml_lines import Items, Mapping, Value, read_yaml

Lines = Map[tuple[int, str], int]
"""(Line of a step, key inside it such as ``choices.partly``) -> line of that key."""


def key_lines(raw: bytes) -> Lines:
    """Return where each key below each list item of a file stands; nothing of what is no YAML."""
    root = read_yaml(raw, Faults())
    found: dict[tuple[int, str], int] = {}
    _collect(root, None, "", found)
    return found


def _collect(
    value: Value | None, begun: int | None, lead: str, found: dict[tuple[int, str], int]
) -> None:
    if isinstance(value, Items):
        for item in value.items:
            if begun is None and isinstance(item, Mapping):
                _collect(item, item.line, "", found)
            else:
                _collect(item, begun, lead, found)
    elif isinstance(value, Mapping):
        for key, entry in value.entries.items():
            name = f"{lead}.{key}" if lead else key
            if begun is not None:
                found.setdefault((begun, name), entry.line)
            _collect(entry.value, begun, name if begun is not None else "", found)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One checklist, with the lines of its keys where they are known."""

    procedure: Procedure
    lines: Callable[[str], Lines] = lambda _: {}
    """Where the keys of a file stand, by its name; asked only where something is found."""

    def found(self, rule: str, step: Step, wrong: str, mend: str, key: str = "") -> Finding:
        """Return a finding at ``key`` of a step, or at the step itself."""
        file = step.file or self.procedure.source
        line = self.lines(file).get((step.line, key), step.line)
        return Finding(file, line, rule, wrong, mend, step.id)
