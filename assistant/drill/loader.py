"""Reads a file of questions; every fault is found before a drill begins.

Imports ``procedure``, ``weld``, ``words`` and ``drill``. As with a checklist, each fault is told
with file, line and what to write instead, and a file with a fault is never used.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.drill.model import NOT_KNOWN, Question
from assistant.drill.sources import (
    SIGNS,
    VERDICTS,
    Answers,
    Sign,
    StripAsked,
    limits_of,
    of_dangers,
    of_sign,
    of_strip,
)
from assistant.procedure.faults import Faults
from assistant.procedure.fields import Fields, kind_of
from assistant.procedure.loader import read_bytes, top_fields
from assistant.procedure.model import DANGERS, Choice, Procedure
from assistant.procedure.spoken import unhearable
from assistant.procedure.yaml_lines import Items, Scalar
from assistant.procedure.yaml_lines import Mapping as Keys
from assistant.weld.advice import Cause
from assistant.weld.strip import FailureMode, HeatMarks
from assistant.words.commands import command_phrases

RESERVED = command_phrases() | frozenset(NOT_KNOWN.said)
"""Phrases that no answer may hold."""
CAUSES = {cause.name.lower(): cause for cause in Cause}


@dataclass(frozen=True, slots=True)
class Bank:
    """All questions of a drill."""

    version: str
    digest: str
    """SHA-256 of the file's bytes."""
    questions: tuple[Question, ...]


def load_bank(path: Path, procedures: Sequence[Procedure] = ()) -> Bank:
    """Read a file of questions, and add those that the file asks to make.

    ``procedures`` give the limits of a strip, and are asked about themselves: what can hurt whom.

    Raises ``ProcedureProblem`` with all faults, one a line.
    """
    raw = read_bytes(path)
    faults = Faults()
    fields = top_fields(raw, path.name, "the file of questions", faults)
    fields.name("drill")
    version = fields.text("version")
    answers = _answers(fields)
    limits, found = limits_of(procedures), []
    for inner in _rows(fields, "questions"):
        found.append((inner, _question(inner)))
    for inner in _rows(fields, "signs"):
        sign = _sign(inner)
        if sign and answers:
            found.append((inner, of_sign(sign, answers, limits)))
    for inner in _rows(fields, "strips"):
        strip = _strip(inner)
        if strip and answers:
            found.append((inner, _judged(inner, strip, answers, procedures)))
    fields.close()
    questions = [question for _, question in found if question]
    _each_once(found)
    faults.raise_any(path.name)
    if answers:
        questions += of_dangers(procedures, answers)
    return Bank(version, hashlib.sha256(raw).hexdigest(), tuple(questions))


def _rows(fields: Fields, key: str) -> Iterable[Fields]:
    # Only the questions that are written out must be there.
    needed = key == "questions" or fields.has(key)
    for value in fields.items(key) if needed else ():
        if isinstance(value, Keys):
            yield Fields(value, fields.faults, "this question")
        else:
            fields.faults.add(
                value.line,
                key,
                f"{kind_of(value)} stands where a question belongs",
                "- id: and below it the keys of the question",
            )


def _each_once(found: Iterable[tuple[Fields, Question | None]]) -> None:
    seen: set[str] = set()
    for inner, question in found:
        if question and question.id in seen:
            inner.fault("id", f"there is a question '{question.id}' already", "another name")
        if question:
            seen.add(question.id)


# ---- one question each


def _question(fields: Fields) -> Question | None:
    name, topic, ask = _head(fields)
    choices, right = fields.inner("choices"), fields.name("right")
    because = fields.spoken("because")
    named = _choices(choices) if choices else ()
    fields.close()
    if right and named and right not in [choice.id for choice in named]:
        known = " or ".join(choice.id for choice in named)
        fields.fault("right", f"there is no choice '{right}'", f"right: {known}")
        return None
    if choices and len(named) < 2:
        fields.fault("choices", "a question needs at least two answers", "two or more answers")
        return None
    return Question(name, topic, ask, named, right, because) if named and right else None


def _sign(fields: Fields) -> Sign | None:
    name, topic, ask = _head(fields)
    sign = fields.one_of("sign", tuple(SIGNS))
    fields.close()
    return Sign(name, topic, ask, sign) if sign else None


def _strip(fields: Fields) -> StripAsked | None:
    name, topic = fields.name("id"), fields.spoken("topic")
    modes = (FailureMode.FILM_TEARING, FailureMode.CLEAN_PEEL, FailureMode.PARTLY)
    mode = fields.one_of("mode", tuple(each.value for each in modes))
    width = fields.inches("width")
    heat = fields.one_of("heat", tuple(each.value for each in HeatMarks))
    solid = fields.inches("solid") if fields.has("solid") else None
    fields.close()
    if not mode or not heat or width is None:
        return None
    return StripAsked(name, topic, FailureMode(mode), width, HeatMarks(heat), solid)


def _judged(
    fields: Fields, strip: StripAsked, answers: Answers, procedures: Sequence[Procedure]
) -> Question | None:
    try:
        return of_strip(strip, answers, limits_of(procedures))
    except ValueError as error:
        fields.fault("width", str(error), "a strip that passes, fails or is too wide")
        return None


def _head(fields: Fields) -> tuple[str, str, str]:
    return fields.name("id"), fields.spoken("topic"), fields.spoken("ask")


# ---- answers


def _answers(fields: Fields) -> Answers | None:
    inner = fields.inner("answers")
    if not inner:
        return None
    causes = _named(inner, "causes", tuple(CAUSES))
    verdicts = _named(inner, "verdicts", VERDICTS)
    dangers = _named(inner, "dangers", DANGERS)
    inner.close()
    if not causes or not verdicts or not dangers:
        return None
    return Answers({CAUSES[name]: choice for name, choice in causes.items()}, verdicts, dangers)


def _named(fields: Fields, key: str, wanted: tuple[str, ...]) -> Mapping[str, Choice]:
    """Return an answer for each wanted key; nothing where one is missing."""
    inner = fields.inner(key)
    if not inner:
        return {}
    missing = [name for name in wanted if not inner.has(name)]
    if missing:
        inner.fault(missing[0], f"'{key}' lacks {', '.join(missing)}", f"{missing[0]}: [its words]")
    found = {choice.id: choice for choice in _choices(inner) if choice.id in wanted}
    for name in inner.mapping.entries:
        if name not in wanted:
            inner.fault(name, f"'{key}' has no such key", f"only {', '.join(wanted)}")
    return {} if missing else found


def _choices(inner: Fields) -> tuple[Choice, ...]:
    """Return answers that can be heard, none of them twice."""
    found: list[Choice] = []
    owners: dict[str, str] = {}
    for key in inner.mapping.entries:
        phrases = _phrases(inner, key)
        for phrase in phrases:
            if phrase in owners:
                inner.fault(key, f"'{phrase}' stands here twice", "it once")
            owners[phrase] = key
        if phrases:
            found.append(Choice(key, phrases))
    return tuple(found)


def _phrases(inner: Fields, key: str) -> tuple[str, ...]:
    value, example = inner.value(key), f"{key}: [one way to say it, another way]"
    items = value.items if isinstance(value, Items) else ()
    texts = [item.data for item in items if isinstance(item, Scalar) and isinstance(item.data, str)]
    if not items or len(texts) != len(items):
        inner.fault(key, "the phrases that mean this answer are not a list of texts", example)
        return ()
    for text in texts:
        problem = unhearable(text, RESERVED)
        if problem:
            inner.fault(key, *problem)
            return ()
    return tuple(texts)
