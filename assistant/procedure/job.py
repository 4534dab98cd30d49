"""The values of a job: written once in ``job.yaml``, named in checklists, never repeated.

Imported by ``loader`` and ``sharing``. ``{job: NAME}`` stands for a value of the job; ``{NAME}``
inside a text is that value in words. Both are put in before anything is read, so whatever reads a
checklist knows nothing of jobs.
"""

from __future__ import annotations

import re
from collections.abc import Mapping as Map
from dataclasses import dataclass, field, replace

from assistant.procedure.conditions import Conditions
from assistant.procedure.faults import Faults
from assistant.procedure.fields import Fields, kind_of, nearest
from assistant.procedure.job_words import in_words_of
from assistant.procedure.yaml_lines import Entry, Items, Mapping, Scalar, Value

_NAMED = re.compile(r"\{([^{}]*)\}")
NAME = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class JobValue:
    """One value of a job file."""

    data: str | int
    source: str
    """Where it is written: ``"job.yaml, line 9"``."""


@dataclass(frozen=True, slots=True)
class Job:
    """What a job file says."""

    about: Map[str, str] = field(default_factory=dict)
    """What the record keeps: name, sheet, gun and the like."""
    values: Map[str, JobValue] = field(default_factory=dict)
    """By name; what is in ``about`` can be named too."""
    conditions: Conditions = field(default_factory=Conditions)
    sets: frozenset[str] = frozenset()
    """Which of the sections ``weather`` and ``power`` it has."""
    files: tuple[str, ...] = ()

    def under(self, other: Job) -> Job:
        """Return this job with all that ``other`` says put over it."""
        weather = other if "weather" in other.sets else self
        power = other if "power" in other.sets else self
        return Job(
            {**self.about, **other.about},
            {**self.values, **other.values},
            Conditions(weather.conditions.weather, power.conditions.power),
            self.sets | other.sets,
            (*self.files, *other.files),
        )


def values_in(fields: Fields, file: str, about: Map[str, str]) -> dict[str, JobValue]:
    """Read the ``values`` of a job file; what is in ``about`` can be named as well."""
    found = {key: JobValue(text, f"{file}, line {fields.line(key)}") for key, text in about.items()}
    inner = fields.inner("values", required=False)
    if not inner:
        return found
    for name, entry in inner.mapping.entries.items():
        inner.asked.append(name)
        value = entry.value
        if not NAME.fullmatch(name):
            wrong = f"'{name}' is not lower-case words joined by hyphens"
            inner.fault(name, wrong, "a name such as least-width")
        elif name in about:
            inner.fault(name, f"'{name}' stands outside 'values' as well", "it once")
        elif not isinstance(value, Scalar) or isinstance(value.data, bool) or value.data is None:
            wrong = f"{kind_of(value)} stands where a text or a whole number belongs"
            inner.fault(name, wrong, f"{name}: 1 in, or another value")
        elif not value.misread:
            found[name] = JobValue(value.data, f"{file}, line {entry.line}")
    return found


@dataclass(slots=True)
class Putting:
    """Puts the values of a job into what was read of a checklist."""

    job: Job
    faults: Faults
    used: dict[str, str | int] = field(default_factory=dict)
    """What was named, and what it stood for."""

    def into(self, value: Value, key: str = "") -> Value:
        """Return ``value`` with all that names a job value replaced by it."""
        if isinstance(value, Mapping):
            if list(value.entries) == ["job"]:
                return self._whole(value, key)
            entries = {
                name: Entry(entry.line, self.into(entry.value, name))
                for name, entry in value.entries.items()
            }
            return Mapping(value.line, entries)
        if isinstance(value, Items):
            return Items(value.line, tuple(self.into(item, key) for item in value.items))
        return self._inside(value, key)

    def _whole(self, value: Mapping, key: str) -> Value:
        name = value.entries["job"].value
        if not isinstance(name, Scalar):
            return value
        found = self._find(str(name.data), name.line, key)
        if found is None:
            return Scalar(value.line, "", misread=True)
        return Scalar(value.line, found.data, source=found.source)

    def _inside(self, value: Scalar, key: str) -> Scalar:
        if not isinstance(value.data, str) or "{" not in value.data:
            return value
        sources = []
        text = value.data
        for name in dict.fromkeys(_NAMED.findall(text)):
            found = self._find(name, value.line, key)
            if found is None:
                return replace(value, data="", misread=True)
            sources.append(found.source)
            text = text.replace("{" + name + "}", in_words_of(found.data))
        return replace(value, data=text, source="; ".join(sources))

    def _find(self, name: str, line: int, key: str) -> JobValue | None:
        found = self.job.values.get(name)
        if found is not None:
            self.used[name] = found.data
            return found
        where = " or ".join(self.job.files) or "no job.yaml beside this file, no file under --job"
        near = nearest(name, self.job.values)
        instead = near or f"a value that the job has, or {name}: under values in job.yaml"
        wrong = f"the job has no value '{name}' ({where})"
        self.faults.add(line, key, wrong, instead, "job-value")
        return None
