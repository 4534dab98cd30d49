"""The rule file: what ships, what it may say, and every fault with its line."""

from __future__ import annotations

from fractions import Fraction

import pytest
from support.checklists import SHIPPED

from assistant import places
from assistant.errors import ProcedureProblem
from assistant.procedure.testing_rules import load_rules
from assistant.weld.due import Kind
from assistant.weld.states import CoverRules
from assistant.weld.suspects import CutRules, Way
from assistant.weld.work import PARTS

GOOD = """\
rules: testing
version: "2"
due:
  after: [break, rain]
  changed: [gun, dial]
  weather: {air: 8 C, wind: 16 km/h, sun-or-shade: true}
  hours: 90 min
  feet: 250 ft
cover: {cut: 12 in, fault: 6 in, probe-repairs: false}
cuts: {way: halving, steps-of: 20 ft, halve-to: 5 ft}
"""


@pytest.fixture
def rules(tmp_path):
    """A function that loads a rule file with this text."""

    def load(text: str):
        path = tmp_path / "rules.yaml"
        path.write_text(text, encoding="utf-8")
        return load_rules(path)

    return load


def test_what_ships():
    """The shipped rules end a proof by every cause there is, and lie beside the checklists."""
    found = load_rules(places.rules_file())

    assert places.rules_file() == SHIPPED / "rules" / "testing.yaml"
    assert {Kind.BREAK, Kind.COOL_DOWN, Kind.POWER_LOST, Kind.RAIN, Kind.VOID} <= found.due.ends
    assert found.due.changes == frozenset(PARTS)
    assert (found.cover, found.cuts) == (CoverRules(), CutRules())


def test_a_job_changes_them(rules):
    """Every value is read exactly, in its own unit; what is left out ends no proof."""
    found = rules(GOOD)

    assert found.version == "2"
    assert found.due.ends == {Kind.BREAK, Kind.RAIN}
    assert found.due.changes == {"gun", "dial"}
    assert (found.due.hours, found.due.feet) == (Fraction(3, 2), Fraction(250))
    assert found.due.air_f == Fraction(72, 5)
    assert found.due.surface_f is None
    assert found.due.wind_mph == 16 / Fraction(1609344, 1000000)
    assert found.due.sun
    assert found.cover == CoverRules(Fraction(1), Fraction(1, 2), probe_repairs=False)
    assert found.cuts == CutRules(Way.HALVING, Fraction(20), Fraction(5))


FAULTS = [
    ("rules: testing", "rules: tests", 1, "rules: testing"),
    ('version: "2"\n', "", 1, "version"),
    ("[break, rain]", "[brake, rain]", 4, "break"),
    ("[break, rain]", "[break, break]", 4, "it once"),
    ("[break, rain]", "break", 4, "after: [break, cool-down]"),
    ("[gun, dial]", "[gun, 7]", 5, "changed: [welder, gun]"),
    ("air: 8 C", "air: 8 mph", 6, "air: 15 F"),
    ("wind: 16 km/h", "wind: 16 ft", 6, "wind: 10 mph"),
    ("sun-or-shade: true", "sun-or-shade: maybe", 6, "sun-or-shade: true"),
    ("hours: 90 min", "hours: 30 h", 7, "at most 24 h"),
    ("feet: 250 ft", "feet: 250 in", 8, "feet: 500 ft"),
    ("feet: 250 ft", "foot: 250 ft", 8, "feet"),
    ("cut: 12 in", "cut: 0 in", 9, "cut: 6 in"),
    ("probe-repairs: false", 'probe-repairs: "no"', 9, "probe-repairs: true"),
    ("way: halving", "way: guessing", 10, "way: steps or way: halving"),
    ("steps-of: 20 ft", "steps: 20 ft", 10, "steps-of"),
]


@pytest.mark.parametrize(("old", "new", "line", "instead"), FAULTS)
def test_each_fault_is_told_with_its_line(rules, old, new, line, instead):
    """File, line, and what to write instead."""
    with pytest.raises(ProcedureProblem) as problem:
        rules(GOOD.replace(old, new, 1))

    assert f"rules.yaml, line {line}" in str(problem.value)
    assert instead in str(problem.value)


@pytest.mark.parametrize("part", ["due", "cover", "cuts"])
def test_each_part_must_be_there(rules, part):
    """A file that leaves a part out is refused: nobody should think that it was decided."""
    kept = {"due": GOOD.index("due:"), "cover": GOOD.index("cover:"), "cuts": GOOD.index("cuts:")}
    ends = {"due": kept["cover"], "cover": kept["cuts"], "cuts": len(GOOD)}
    with pytest.raises(ProcedureProblem, match=f"key '{part}'"):
        rules(GOOD[: kept[part]] + GOOD[ends[part] :])


def test_a_file_that_is_not_there(tmp_path):
    """The message says so, and no trace of Python."""
    with pytest.raises(ProcedureProblem, match="cannot be read"):
        load_rules(tmp_path / "none.yaml")
