"""The JSON Schema for editors says the same as the loader, as far as a schema can."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator

import pytest
import yaml
from jsonschema import Draft202012Validator
from support.checklists import GOOD, SHIPPED

from assistant.check.schema import FILE, schema
from assistant.errors import ProcedureProblem
from assistant.procedure import fields as fields_of
from assistant.procedure.loader import JOB_FILE, load_procedure

VALIDATOR = Draft202012Validator(schema())
CHECKLISTS = sorted(path for path in SHIPPED.glob("*.yaml") if path.name != JOB_FILE)
SHARED = sorted((SHIPPED / "shared").glob("*.yaml"))
# Read by other readers than the one of checklists: rules, drills, job files.
ELSEWHERE = {"values", "rules", "due", "hours", "cover", "cuts", "way"}
ELSEWHERE |= {"drill", "topic", "right", "because", "sign"}


def data_of(text: str) -> object:
    """Return a checklist as plain data, with texts as our own reader takes them."""
    return yaml.safe_load(text)


def test_the_file_for_editors_is_up_to_date():
    """The schema that lies beside the checklists is the one that is made now."""
    stored = json.loads((SHIPPED / FILE).read_text(encoding="utf-8"))

    assert stored == schema(), "run: lapcall check --schema > checklists/procedure.schema.json"


def test_it_is_a_schema():
    """The schema itself follows the standard."""
    Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("path", [*CHECKLISTS, *SHARED], ids=lambda path: path.stem)
def test_every_shipped_checklist_follows_it(path):
    """What the loader takes, the schema takes."""
    found = list(VALIDATOR.iter_errors(data_of(path.read_text(encoding="utf-8"))))

    assert [each.message for each in found] == []


def keys_in(part: object) -> Iterator[str]:
    """Yield every key that the schema names."""
    if isinstance(part, dict):
        yield from part.get("properties", {})
        for value in part.values():
            yield from keys_in(value)
    elif isinstance(part, list):
        for value in part:
            yield from keys_in(value)


def test_it_knows_every_key_that_the_loader_explains():
    """No key was added to the loader alone."""
    known = set(keys_in(schema()))

    assert set(fields_of.EXAMPLES) - ELSEWHERE - known == set()


def asked_keys(monkeypatch, paths) -> set[str]:
    """Return every key that the loader asks for while it reads these checklists."""
    asked: set[str] = set()
    close = fields_of.Fields.close

    def remember(self):
        if "job" not in self.what:
            asked.update(self.asked)
        close(self)

    monkeypatch.setattr(fields_of.Fields, "close", remember)
    for path in paths:
        load_procedure(path)
    return asked


def test_it_knows_every_key_that_the_loader_asks_for(monkeypatch, tmp_path):
    """Whatever the loader looks for in the shipped checklists has a place in the schema."""
    good = tmp_path / "good.yaml"
    good.write_text(GOOD, encoding="utf-8")
    own = {"film-tearing", "clean-peel", "partly", "none", "bleed-out", "burn"}
    answers = {
        choice.id
        for path in CHECKLISTS
        for step in load_procedure(path).steps
        for choice in getattr(step, "choices", ())
    }
    asked = asked_keys(monkeypatch, [good, *CHECKLISTS]) - own - answers

    assert {"id", "tell", "only-if", "judge", "plausible"} <= asked
    assert asked - set(keys_in(schema())) - fields_elsewhere() == set()


def fields_elsewhere() -> set[str]:
    """Return the keys of the job file that is read on the way."""
    from assistant.procedure.loader import JOB_KEYS  # noqa: PLC0415 - only here

    return {*JOB_KEYS, "values", "clips", "weather", "power"}


def _places(data: object, lead: tuple = ()) -> Iterator[tuple]:
    yield lead
    items = (
        data.items()
        if isinstance(data, dict)
        else enumerate(data)
        if isinstance(data, list)
        else ()
    )
    for key, value in items:
        yield from _places(value, (*lead, key))


def _at(data, place):
    for key in place:
        data = data[key]
    return data


def _mutations(data: dict, count: int) -> Iterator[tuple[str, dict]]:
    """Yield changed checklists: a key misspelt, a value of another kind, nothing in a place."""
    rng = random.Random(7)  # noqa: S311 - not for secrets
    places = [place for place in _places(data) if place and isinstance(place[-1], str)]
    for _ in range(count):
        place = rng.choice(places)
        how = rng.choice(["misspelt", "list", "nested", "number", "emptied"])
        changed = copy.deepcopy(data)
        inside = _at(changed, place[:-1])
        if how == "misspelt":
            inside[f"{place[-1]}-x"] = inside.pop(place[-1])
        else:
            inside[place[-1]] = {
                "list": [[1]],
                "nested": {"x": {"y": 1}},
                "number": -7,
                "emptied": "",
            }[how]
        yield f"{how} {'.'.join(map(str, place))}", changed


@pytest.mark.parametrize("path", CHECKLISTS[:12], ids=lambda path: path.stem)
def test_a_mutated_checklist_fails_in_both(path, tmp_path):
    """A key misspelt or a value of the wrong kind is refused by the loader and by the schema."""
    (tmp_path / "shared").mkdir()
    for shared in [*SHARED]:
        (tmp_path / "shared" / shared.name).write_bytes(shared.read_bytes())
    (tmp_path / JOB_FILE).write_bytes((SHIPPED / JOB_FILE).read_bytes())
    told = []
    for name, changed in _mutations(data_of(path.read_text(encoding="utf-8")), 25):
        if ".choices." in name and name.startswith("misspelt"):
            continue  # another answer is no mistake of form
        target = tmp_path / "changed.yaml"
        target.write_text(yaml.safe_dump(changed, sort_keys=False, width=1000), encoding="utf-8")
        told.append((name, _refused(target), not VALIDATOR.is_valid(changed)))

    assert [row for row in told if row[1:] != (True, True)] == []


def _refused(path) -> bool:
    try:
        load_procedure(path)
    except ProcedureProblem:
        return True
    return False
