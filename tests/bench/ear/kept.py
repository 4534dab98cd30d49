"""What was heard before, so that an engine that did not change is not asked twice.

A line-by-line file outside version control. Each entry is named for everything it depends on: the
sound itself, the grammar, and the exact form of the engine or the gate.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

Entry = tuple[str, Any]


def name_of(*parts: str) -> str:
    """Return a short name for things that together decide a result."""
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:24]


def as_lines(result: dict[str, Any]) -> str:
    """Return JSON in which each entry of a list has a line of its own: short, and fit for diffs."""
    fields = []
    for name, value in result.items():
        if isinstance(value, list) and value:
            rows = ",\n  ".join(json.dumps(one) for one in value)
            fields.append(f"{json.dumps(name)}: [\n  {rows}\n ]")
        else:
            fields.append(f"{json.dumps(name)}: {json.dumps(value)}")
    return "{\n " + ",\n ".join(fields) + "\n}\n"


class Kept:
    """Results by name. Only one process adds."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.known: dict[str, Any] = {}
        if path.is_file():
            for line in path.read_text("utf-8").splitlines():
                try:
                    name, value = json.loads(line)
                except ValueError:
                    continue  # a run that was cut off left half a line
                self.known[name] = value

    def add(self, entries: Iterable[Entry]) -> None:
        """Keep these, at once on the disk: a run that is cut off loses nothing."""
        new = [(name, value) for name, value in entries if self.known.get(name) != value]
        if not new:
            return
        self._path.parent.mkdir(parents=True, exist_ok=True)
        with self._path.open("a", encoding="utf-8") as file:
            file.writelines(json.dumps(entry) + "\n" for entry in new)
        self.known.update(new)
