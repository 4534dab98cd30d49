"""Which clips a record says were dropped or shortened. Imports the names of lines only; pure.

A ``tidied`` line tells it before a file goes. A sound that is kept anew afterwards is no longer
dropped: a clip is named by its sound, and the same sound has the same name.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from assistant.record import kinds
from assistant.record.entry import Entry

_RULE = re.compile(r"[a-z0-9 ,]{1,300}")
"""What a rule of ours looks like; anything else is not shown."""


@dataclass(slots=True)
class Dropped:
    """What was told so far, line by line."""

    by: dict[str, Entry] = field(default_factory=dict)
    """File name of a clip -> the line that tells of its end."""
    now: dict[str, str] = field(default_factory=dict)
    """File name of a clip -> that of the shorter one which took its place."""

    def take(self, entry: Entry, names: Iterable[str]) -> None:
        """Take the next line, and the clips that it names."""
        for name in names:
            self.by.pop(name, None)
        if entry.kind == kinds.TIDIED:
            for old, new in shortened(entry):
                self.by[old], self.now[old] = entry, new
            for name in _texts(entry.fields.get("dropped")):
                self.by[name] = entry
                self.now.pop(name, None)

    def stands_for(self, name: str) -> str:
        """Return the clip in which a sound can be heard now, if it can."""
        seen: set[str] = set()
        while name in self.by and name in self.now and name not in seen:
            seen.add(name)
            name = self.now[name]
        return name

    def told(self, name: str) -> str | None:
        """Return what became of a sound, as a clause, or None where it is still kept."""
        entry = self.by.get(self.stands_for(name))
        if entry is None:
            return None
        return f"was dropped on {entry.local:%Y-%m-%d}, as line {entry.seq + 1} tells"


def tidied_told(entry: Entry, dropped: int, short: int) -> str:
    """Return what a ``tidied`` line tells, as a sentence, given how many of its clips are gone."""
    counts = ((dropped, "dropped"), (short, "shortened"))
    what = " and ".join(_counted(count, how) for count, how in counts if count)
    rule = entry.fields.get("rule")
    by = f" ({rule})" if isinstance(rule, str) and _RULE.fullmatch(rule) else ""
    return f"{what} on {entry.local:%Y-%m-%d}, as line {entry.seq + 1} of the record tells{by}."


def _counted(count: int, how: str) -> str:
    return f"{count} {'clip was' if count == 1 else 'clips were'} {how}"


def shortened(entry: Entry) -> list[tuple[str, str]]:
    """Return the clips that a ``tidied`` line shortened, old and new names."""
    pairs = entry.fields.get("shortened")
    found = [pair for pair in pairs if isinstance(pair, dict)] if isinstance(pairs, list) else []
    names = [(pair.get("clip"), pair.get("now")) for pair in found]
    return [(old, new) for old, new in names if isinstance(old, str) and isinstance(new, str)]


def _texts(value: object) -> list[str]:
    return [text for text in value if isinstance(text, str)] if isinstance(value, list) else []
