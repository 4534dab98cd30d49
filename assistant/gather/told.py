"""What gathering found, in plain sentences. Imports ``gather.lineage``; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from assistant.gather.lineage import Whole

MOST_TOLD = 20
"""Sentences of one sort; more are counted."""

_COUNTED = (
    ("new", "new"),
    ("grown", "brought up to date"),
    ("there", "already there"),
    ("shorter", "shorter than what was there"),
    ("fork", "forked"),
)


@dataclass(slots=True)
class Report:
    """What became of every record that came in."""

    seen: int = 0
    clips: int = 0
    """How many were added."""
    counts: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)
    """Sentences about what is no fault but worth knowing."""
    forks: list[str] = field(default_factory=list)
    clocks: list[str] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    touched: set[str] = field(default_factory=set)
    """Names of the record folders that this call was about."""
    _missing: dict[str, int] = field(default_factory=dict)

    def count(self, how: str, found: Whole, label: str) -> None:
        """Note what became of a record that is whole."""
        self.counts[how] += 1
        if found.cut:
            self.notes.append(
                f"The record of {label} ends in a line that was cut short. Its whole lines were "
                "taken."
            )
        if how == "shorter":
            self.notes.append(
                f"The record of {label} is shorter than the copy that was gathered before. It is "
                "an older copy, or lines were cut from its end. The longer one stays."
            )
        if how == "fork":
            self.forks.append(
                f"The record of {label} goes on otherwise than a copy that was gathered before: "
                "after the same beginning the two hold different lines. All branches are kept, "
                "each in a folder whose name holds “fork”. Find out which device wrote which."
            )

    def unnamed(self, count: int, label: str) -> None:
        """Note recordings that no line names, such as one that a sudden end left behind."""
        if count:
            files = "file" if count == 1 else "files"
            self.notes.append(
                f"{count} {files} among the recordings of {label} no line names. They were left."
            )

    def missing(self, label: str) -> None:
        """Note a clip that a record names and that did not come along."""
        self._missing[label] = self._missing.get(label, 0) + 1

    @property
    def serious(self) -> bool:
        """Tell whether somebody has to look into it."""
        return bool(self.forks or self.broken or self.refused)

    def lines(self) -> Iterator[str]:
        """Yield everything as it is printed."""
        counted = [f"{self.counts[how]} {told}" for how, told in _COUNTED if self.counts[how]]
        counted += [f"{len(self.broken)} not as written"] if self.broken else []
        yield f"Records: {self.seen} read; {', '.join(counted) or 'none taken'}."
        yield f"Clips: {self.clips} added."
        missing = [
            f"{count} clips that the record of {label} names did not come along."
            if count > 1
            else f"One clip that the record of {label} names did not come along."
            for label, count in self._missing.items()
        ]
        for told in (self.broken, self.forks, self.refused, missing, self.clocks, self.notes):
            yield from _some(told)


def _some(told: Sequence[str]) -> Iterator[str]:
    yield from told[:MOST_TOLD]
    if len(told) > MOST_TOLD:
        yield f"There are {len(told) - MOST_TOLD} more like these."
