"""Steps that several checklists share: ``include: FILE`` among the steps. Imported by ``loader``.

A shared file is read as if its steps stood in the checklist; faults in it name the shared file.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path, PurePosixPath

from assistant.procedure import flow
from assistant.procedure.faults import Fault, Faults
from assistant.procedure.fields import Fields
from assistant.procedure.job import Job, Putting
from assistant.procedure.making import Around
from assistant.procedure.model import Judge, Otherwise, Step
from assistant.procedure.steps import Draft, draft
from assistant.procedure.yaml_lines import Mapping, Value, read_yaml

_NO_STEPS = frozenset({flow.AGAIN, flow.GO_ON, flow.END, flow.STOP})


@dataclass(slots=True)
class Reading:
    """One checklist while it is read: what its steps become, and by what they were made."""

    folder: Path
    around: Around
    faults: Faults
    putting: Putting
    drafts: list[Draft] = field(default_factory=list)
    whole: bool = True
    """No step is missing because of a fault."""
    digests: list[str] = field(default_factory=list)
    """SHA-256 of each shared file, in the order in which they are included."""

    def steps(self, values: tuple[Value, ...]) -> None:
        """Read the steps of the checklist itself."""
        for value in values:
            if isinstance(value, Mapping) and "include" in value.entries:
                self._include(Fields(value, self.faults, "this include"))
            else:
                self._step(value, self.around, self.faults)

    def _step(self, value: Value, around: Around, faults: Faults) -> Draft | None:
        made = draft(value, around, faults)
        self.whole = self.whole and made is not None
        if made:
            self.drafts.append(made)
        return made

    def _include(self, fields: Fields) -> None:
        name = fields.text("include")
        prefix = fields.name("as") if fields.has("as") else ""
        fields.asked.append("as")
        fields.close()
        raw = self._bytes(fields, name) if name else None
        if raw is None:
            self.whole = False
            return
        self.digests.append(hashlib.sha256(raw).hexdigest())
        own = self.faults.at(name)
        before = len(self.drafts)
        for value in _steps_of(raw, own, self.putting.job, self.putting.used):
            if isinstance(value, Mapping) and "include" in value.entries:
                wrong = "a shared file does not include another"
                own.add(value.line, "include", wrong, "both includes in the checklist", "include")
                self.whole = False
            else:
                self._step(value, self.around, own)
        self.whole = self.whole and len(self.drafts) > before
        if prefix:
            self.drafts[before:] = _renamed(self.drafts[before:], prefix)

    def _bytes(self, fields: Fields, name: str) -> bytes | None:
        path = PurePosixPath(name)
        if path.is_absolute() or ".." in path.parts or "\\" in name or len(path.parts) < 2:
            wrong = f"'{name}' does not lie in a folder below this file"
            fields.faults.add(fields.line("include"), "include", wrong, _WHERE, "include")
            return None
        try:
            return (self.folder / path).read_bytes()
        except OSError as error:
            reason = error.strerror or "unknown reason"
            wrong = f"the shared file '{name}' cannot be read ({reason})"
            fields.faults.add(fields.line("include"), "include", wrong, _WHERE, "include")
            return None


_WHERE = "the name of a file there, such as shared/cautions.yaml"


def _steps_of(
    raw: bytes, faults: Faults, job: Job, used: dict[str, str | int]
) -> tuple[Value, ...]:
    """Return the steps of a shared file, as yet unread."""
    root, found = _read(raw)
    faults.found.extend(replace(fault, file=faults.file) for fault in found)
    if not isinstance(root, Mapping):
        if root is not None:
            wrong = "the shared file does not begin with a key"
            faults.add(root.line, "", wrong, "each part as key: value")
        return ()
    inside = Putting(job, faults, used).into(root)
    fields = Fields(inside if isinstance(inside, Mapping) else root, faults, "the shared file")
    fields.name("shared")
    values = fields.items("steps")
    fields.close()
    return values


@lru_cache(maxsize=128)
def _read(raw: bytes) -> tuple[Value | None, tuple[Fault, ...]]:
    """Read a file that many checklists share only once."""
    faults = Faults()
    return read_yaml(raw, faults), tuple(faults.found)


def _renamed(drafts: list[Draft], prefix: str) -> list[Draft]:
    """Put ``prefix`` before the ids of these steps, and wherever one of them names another."""
    own = {each.step.id for each in drafts}

    def new(name: str) -> str:
        return f"{prefix}-{name}" if name in own and name not in _NO_STEPS else name

    return [replace(each, step=_with_names(each.step, new)) for each in drafts]


def _with_names(step: Step, new: Callable[[str], str]) -> Step:
    if step.only_if:
        step = replace(step, only_if=(new(step.only_if[0]), *step.only_if[1:]))
    instead = getattr(step, "otherwise", None)
    if isinstance(instead, Otherwise):
        cap = instead.cap and replace(instead.cap, then=new(instead.cap.then))
        step = replace(step, otherwise=replace(instead, then=new(instead.then), cap=cap))  # type: ignore[call-arg]  # only questions have it
    if isinstance(step, Judge):
        cap = step.cap and replace(step.cap, then=new(step.cap.then))
        step = replace(
            step,
            on_fail=new(step.on_fail),
            cap=cap,
            width=new(step.width),
            mode=new(step.mode),
            solid=new(step.solid),
            heat=new(step.heat),
            pull=new(step.pull),
        )
    return replace(step, id=new(step.id))
