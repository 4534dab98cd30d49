"""What ships is found good, and each harm done to it is found."""

from __future__ import annotations

import copy
import shutil
from collections.abc import Callable, Iterator

import pytest
import yaml
from support.checking import EAR
from support.checklists import SHIPPED

from assistant.check.checking import check_files
from assistant.procedure.loader import JOB_FILE, load_procedure
from assistant.procedure.model import DANGERS, Warn

CHECKLISTS = sorted(path for path in SHIPPED.glob("*.yaml") if path.name != JOB_FILE)
LONG = (
    "This goes on and on for so many words that nobody beside a running gun can tell any more how "
    "it began."
)


def _uncapped(step: dict) -> bool:
    for key, to in (("otherwise", "then"), ("on-fail", "go-to")):
        inner = step.get(key, {})
        if "at-most" in inner and inner[to] not in ("again", "go-on"):
            del inner["at-most"]
            return True
    return False


def _unmarked(step: dict) -> bool:
    if "tell" in step and "Weld" in step["tell"] and step.get("until"):
        return step.pop("danger", None) is not None
    return False


def _as_a_command(step: dict) -> bool:
    for phrases in step.get("choices", {}).values():
        phrases[0] = "cold"
        return True
    return False


def _unknown(step: dict) -> bool:
    for phrases in step.get("choices", {}).values():
        phrases.append("xyloid mark")
        return True
    return False


def _endless(step: dict) -> bool:
    act = next((act for act in ("tell", "ask", "warn") if act in step), None)
    if act:
        step[act] = LONG
    return bool(act)


HARMS: dict[str, Callable[[dict], bool]] = {
    "no-way-out": _uncapped,
    "danger-not-marked": _unmarked,
    "sounds-alike": _as_a_command,
    "word-not-heard": _unknown,
    "sentence-long": _endless,
}
"""Rule -> what breaks it in one step; False where that step cannot break it."""


def harmed(rule: str) -> Iterator[tuple[str, dict]]:
    """Yield the name of a file and its data with one step harmed, for each step that can be."""
    for path in [*CHECKLISTS, *sorted((SHIPPED / "shared").glob("*.yaml"))]:
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
        for place in range(len(data["steps"])):
            changed = copy.deepcopy(data)
            if HARMS[rule](changed["steps"][place]):
                yield str(path.relative_to(SHIPPED)), changed


@pytest.fixture
def copied(tmp_path):
    """A copy of what ships."""
    shutil.copytree(SHIPPED, tmp_path / "set")
    return tmp_path / "set"


def test_what_ships_is_good(copied):
    """Nothing is found in any of it, not even a note."""
    assert check_files([copied / path.name for path in CHECKLISTS], EAR).findings == ()


@pytest.mark.parametrize("rule", HARMS)
def test_harm_done_to_what_ships_is_found(rule, copied):
    """One step harmed in one file is found, under its rule and in that file or where it is used."""
    paths = [copied / path.name for path in CHECKLISTS]
    unseen, done = [], 0
    for name, changed in harmed(rule):
        kept = (copied / name).read_bytes()
        (copied / name).write_text(yaml.safe_dump(changed, sort_keys=False), encoding="utf-8")
        using = (
            [copied / name]
            if "/" not in name
            else [p for p in paths if name in p.read_text("utf-8")]
        )
        rules = {one.rule for one in check_files(using, EAR).findings}
        (copied / name).write_bytes(kept)
        done += 1
        if rule not in rules and using:
            unseen.append((name, rules))

    assert done
    assert unseen == []


@pytest.mark.parametrize("danger", DANGERS)
def test_cautions_that_do_not_speak_of_a_danger_are_missed(danger, copied):
    """With no caution of one danger anywhere, each checklist with work so marked is found."""
    paths = [copied / path.name for path in CHECKLISTS]
    marked = {
        str(path)
        for path in paths
        for step in load_procedure(path).steps
        if danger in step.danger and not isinstance(step, Warn)
    }
    for path in [*paths, *(copied / "shared").glob("*.yaml")]:
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
        for step in data["steps"]:
            if "warn" in step:
                step["danger"] = [one for one in DANGERS if one != danger]
        path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    found = [one for one in check_files(paths, EAR).findings if one.rule == "caution-missing"]
    where = {str(path) for path in paths for one in found if one.step in path_steps(path)}

    assert marked <= where
    assert all(danger in one.wrong for one in found)


def path_steps(path) -> set[str]:
    """Return the ids of a checklist's steps, shared ones too."""
    return {step.id for step in load_procedure(path).steps}
