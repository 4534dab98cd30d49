"""The JSON Schema of checklists, for editors: made from the tables that the loader reads by.

It knows keys, kinds and words, and less than the loader: what steps say about each other is only
found by ``lapcall check``. Whatever the loader takes, it takes (a test holds it to that).
"""

from __future__ import annotations

from typing import Any

from assistant.procedure.conditions import POWER, WEATHER, Key
from assistant.procedure.fields import EXAMPLES
from assistant.procedure.looks import LOOKS
from assistant.procedure.model import DANGERS
from assistant.procedure.questions import ANSWERS
from assistant.procedure.steps import ACTS
from assistant.words.grammars import UNITS
from assistant.words.measured import QUANTITIES

Schema = dict[str, Any]
FILE = "procedure.schema.json"
"""Beside the checklists; ``lapcall check --schema`` prints it."""
_JOB = {
    "type": "object",
    "properties": {"job": {"type": "string", "pattern": r"\S"}},
    "required": ["job"],
    "additionalProperties": False,
}


def _or_job(kind: Schema) -> Schema:
    """A value may be named in the job file instead of written here."""
    return {"anyOf": [kind, {"$ref": "#/$defs/job"}]}


_PHRASE = r"^[a-z]+('[a-z]+)?( [a-z]+('[a-z]+)?)*$"
_DEFS: Schema = {
    "job": _JOB,
    "text": _or_job({"type": "string", "pattern": r"\S"}),
    "name": _or_job({"type": "string", "pattern": "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"}),
    "measure": _or_job({"type": "string", "pattern": "[0-9]"}),
    "count": _or_job({"type": "integer", "minimum": 1}),
    "phrase": _or_job({"type": "string", "pattern": _PHRASE}),
}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


TEXT, NAME, MEASURE, COUNT = (_ref(name) for name in ("text", "name", "measure", "count"))


def _one_of(*words: str) -> Schema:
    return _or_job({"enum": list(words)})


def _some_of(item: Schema) -> Schema:
    return {"anyOf": [item, {"type": "array", "items": item, "minItems": 1}]}


def _keys(required: tuple[str, ...], **keys: Schema) -> Schema:
    """Return a mapping; ``_`` in a key stands for a hyphen, one at its end for nothing."""
    named = {key.rstrip("_").replace("_", "-"): kind for key, kind in keys.items()}
    for key, kind in named.items():
        if key in EXAMPLES:
            named[key] = {"description": f"such as {EXAMPLES[key]}", **kind}
    properties = {"properties": named, "additionalProperties": False}
    return {"type": "object", **properties, "required": list(required)}


def _limits_of(table: dict[str, Key]) -> Schema:
    named = {
        name: {"description": f"such as {name}: {key.example}", **TEXT}
        for name, key in table.items()
    }
    return {"type": "object", "properties": named, "additionalProperties": False}


_AT_MOST = _keys(("times", "then", "say"), times=COUNT, then=TEXT, say=TEXT)
_OTHERWISE = _keys(("say", "then"), say=TEXT, then=TEXT, at_most=_ref("at-most"))
_ONLY_IF = _keys(("step", "answer"), step=TEXT, answer=_some_of(TEXT))
_REMIND = _keys(("every", "say"), every=MEASURE, say=TEXT)
_COMMON: Schema = {
    "id": NAME,
    "why": TEXT,
    "how": TEXT,
    "danger": _some_of(_one_of(*DANGERS)),
    "once": _one_of("shift"),
    "only_if": _ref("condition"),
    "remind": _ref("reminder"),
}
_BUSY: Schema = {"hands": _one_of("busy")}
_ASK: Schema = {"ask": TEXT, "quiet": MEASURE, "answer": _one_of(*ANSWERS)}
_MOMENT: Schema = {
    **_keys(("say",), say=TEXT, left=MEASURE, every=MEASURE),
    "oneOf": [{"required": ["left"]}, {"required": ["every"]}],
}
_PHRASES: Schema = {"type": "array", "minItems": 1, "items": _ref("phrase")}
_END = {"anyOf": [MEASURE, COUNT]}
_MEASURED = [unit for each in QUANTITIES.values() for unit in each.plausible]
_UNITS = tuple(dict.fromkeys([*UNITS, *_MEASURED]))


def _step(required: tuple[str, ...], **keys: Schema) -> Schema:
    return _keys(("id", *required), **_COMMON, **keys)


def _answers() -> dict[str, Schema]:
    choices: Schema = {"type": "object", "minProperties": 2, "additionalProperties": _PHRASES}
    window = _keys(("from", "to"), from_=_END, to=_END)
    return {
        "yes-no": _step(
            ("answer", "hoped", "otherwise"),
            **_ASK,
            hoped=_one_of("yes", "no"),
            otherwise=_ref("otherwise"),
        ),
        "choice": _step(
            ("answer", "choices"),
            **_ASK,
            choices=choices,
            hoped=_some_of(TEXT),
            otherwise=_ref("otherwise"),
        ),
        "value": _step(
            ("answer", "unit"),
            **_ASK,
            of=_one_of(*QUANTITIES),
            unit=_one_of(*_UNITS),
            plausible=window,
            patience=MEASURE,
            called=TEXT,
            hoped={**_keys((), from_=_END, to=_END), "minProperties": 1},
            otherwise=_ref("otherwise"),
        ),
    }


def _acts() -> dict[str, Schema]:
    judge = _keys(("width", "mode"), width=TEXT, mode=TEXT, solid=TEXT, heat=TEXT, pull=TEXT)
    on_fail = _keys(("go-to", "say"), go_to=NAME, say=TEXT, at_most=_ref("at-most"))
    gun = _keys(("watts", "volts"), watts=TEXT, volts=TEXT)
    meanwhile: Schema = {"type": "array", "minItems": 1, "items": _MOMENT}
    return {
        "tell": _step((), tell=TEXT, until=_one_of("done"), **_BUSY),
        "warn": _step((), warn=TEXT),
        "wait": _step(("say",), wait=MEASURE, say=TEXT, meanwhile=meanwhile, **_BUSY),
        "judge": _step(("on-fail",), judge=judge, on_fail=on_fail, say=TEXT),
        "look": _step(
            (),
            look=_one_of(*LOOKS),
            say=TEXT,
            gun=gun,
            weather=_limits_of(WEATHER),
            power=_limits_of(POWER),
        ),
    }


def _if_has(key: str, then: Schema) -> Schema:
    return {"if": {"required": [key]}, "then": then}


def _any_step() -> Schema:
    answers = [
        {"if": {"properties": {"answer": {"const": name}}, "required": ["answer"]}, "then": kind}
        for name, kind in _answers().items()
    ]
    asks: Schema = {"required": ["answer"], "properties": _ASK, "allOf": answers}
    kinds = {**_acts(), "ask": asks}
    if set(kinds) != set(ACTS):
        raise ValueError("the schema and the loader know different kinds of steps")
    one_act = {"oneOf": [{"required": [act]} for act in ("include", *ACTS)]}
    include = _keys(("include",), include=TEXT, as_=NAME)
    rows = [_if_has("include", include), *(_if_has(act, kinds[act]) for act in ACTS)]
    return {"type": "object", **one_act, "allOf": rows}


def schema() -> Schema:
    """Return the schema of a checklist or a shared file."""
    steps = {"type": "array", "minItems": 1, "items": _ref("step")}
    limits = _keys(
        ("least", "most", "rule"),
        least=MEASURE,
        most=MEASURE,
        rule=MEASURE,
        edges=_or_job({"enum": [1, 2]}),
        strip=MEASURE,
    )
    whole = _keys(
        ("procedure", "title", "version", "steps"),
        procedure=NAME,
        title=TEXT,
        version=TEXT,
        limits=limits,
        steps=steps,
    )
    shared = _keys(("shared", "steps"), shared=NAME, steps=steps)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A checklist of Lapcall",
        "if": {"required": ["shared"]},
        "then": shared,
        "else": whole,
        "$defs": {
            **_DEFS,
            "step": _any_step(),
            "at-most": _AT_MOST,
            "otherwise": _OTHERWISE,
            "condition": _ONLY_IF,
            "reminder": _REMIND,
        },
    }
