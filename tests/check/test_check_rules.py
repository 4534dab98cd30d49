"""Each rule: a checklist that breaks it, where that is told, and one that does not."""

from __future__ import annotations

import pytest
from support.checking import EAR, NOTHING_FOUND, check_text
from support.checklists import line_of

from assistant.check.checking import check_files
from assistant.check.findings import RULES, Severity

LONG = (
    "Press the roller down and keep it there while you walk on to the next one " + "and go on " * 3
)

# Rule, old text, new text in its place, a part of the line that is named, words of the finding.
BREAKS = [
    ("form", "why: It is a start.", "wyh: It is a start.", "wyh:", ["no such key", "Write why"]),
    ("form", "until: done", "until: later", "until: later", ["'later'"]),
    ("job-value", "Set the dial.", "Set {dial-start}.", "tell: Set {", ["no value 'dial-start'"]),
    (
        "include",
        "  - id: dial\n",
        "  - include: shared/nowhere.yaml\n  - id: dial\n",
        "- include",
        ["shared/nowhere.yaml", "cannot be read"],
    ),
    (
        "no-way-out",
        "      at-most: {times: 3, then: go-on, say: Call the foreman.}\n",
        "",
        "otherwise:\n      say: Turn",
        ["'failure' leads back for ever", "Add at-most"],
    ),
    (
        "caution-missing",
        "    danger: hot\n    why: It is hot.",
        "    why: It is hot.",
        "danger: hot\n    why: It must",
        ["'weld' is marked hot", "Put a warn with danger: hot before it"],
    ),
    (
        "danger-not-marked",
        "    danger: sharp\n    why: It hangs",
        "    why: It hangs",
        "tell: Trim",
        ["'trim' sounds like blades", "Add danger: sharp"],
    ),
    (
        "danger-not-marked",
        "Set the dial.",
        "Set the dial, and plug in the cord.",
        "tell: Set",
        ["not marked electric"],
    ),
    (
        "danger-not-marked",
        "Set the dial.",
        "Walk along the roof edge.",
        "tell: Walk",
        ["not marked edge"],
    ),
    (
        "word-not-heard",
        "[clean peel]",
        "[clean peel, xyloid peel]",
        "clean-peel: [",
        ["does not know 'xyloid'", "'xyloid peel' is never heard"],
    ),
    (
        "sounds-alike",
        "[clean peel]",
        "[clean peel, film turning]",
        "clean-peel: [",
        ["'film turning' (clean-peel) sounds like 'film tearing' (film-tearing)"],
    ),
    (
        "sounds-alike",
        "[clean peel]",
        "[clean peel, cold]",
        "clean-peel: [",
        ["'cold' (clean-peel) sounds like 'hold'", "at any time"],
    ),
    ("sentence-long", "Set the dial.", f"{LONG}.", "tell: Press", ["words", "Make two of it"]),
    ("sentence-long", "Mark it.", f"{LONG}.", "otherwise: {say: Press", ["Make two of it"]),
    ("step-long", "Set the dial.", "Set the dial at the gun. " * 30, "tell: Set", ["in one go"]),
    ("why-missing", "    why: It is a start.\n", "", "- id: dial", ["no answer to why"]),
]  # fmt: skip


def test_nothing_is_found_in_the_checklist_that_is_broken_below(tmp_path):
    """The checklist that the rows break is found good as it is."""
    report = check_text(tmp_path, NOTHING_FOUND)

    assert report.findings == ()
    assert report.good


@pytest.mark.parametrize("row", BREAKS, ids=lambda row: row[0])
def test_a_broken_rule_is_told_with_its_place(tmp_path, row):
    """The finding names its rule, file and line, what is wrong and how to mend it."""
    rule, old, new, at, words = row
    if old not in NOTHING_FOUND:
        raise ValueError(f"{old!r} does not stand in the checklist")
    text = NOTHING_FOUND.replace(old, new, 1)
    (finding,) = check_text(tmp_path, text).findings

    assert (finding.rule, finding.line) == (rule, line_of(text, at))
    assert finding.file == str(tmp_path / "small.yaml")
    assert all(word in finding.sentence() for word in words)


def test_a_step_that_nothing_leads_to_is_found(tmp_path):
    """An answer that ends the way to a later step makes that step unreachable."""
    asked = """\
  - id: sort
    ask: Which?
    answer: choice
    choices: {film: [film], scrim: [scrim]}
    hoped: film
    otherwise: {say: Again., then: again}
    why: It differs.
  - id: never
    only-if: {step: sort, answer: scrim}
    tell: Note the scrim.
  - id: dial
"""
    text = NOTHING_FOUND.replace("  - id: dial\n", asked, 1)
    (finding,) = check_text(tmp_path, text).findings

    assert (finding.rule, finding.line) == ("unreachable", line_of(text, "only-if: {step: sort"))


def test_every_rule_has_a_row():
    """No rule goes untested."""
    elsewhere = {"same-name", "unreachable"}

    assert {row[0] for row in BREAKS} | elsewhere == set(RULES)


def test_two_checklists_of_one_name_are_found(tmp_path):
    """The second file of a name is told of the first."""
    for name in ("a.yaml", "b.yaml"):
        (tmp_path / name).write_text(NOTHING_FOUND, encoding="utf-8")
    (finding,) = check_files([tmp_path / "a.yaml", tmp_path / "b.yaml"], EAR).findings

    assert (finding.rule, finding.file) == ("same-name", str(tmp_path / "b.yaml"))
    assert "a.yaml" in finding.wrong


def test_a_caution_that_may_be_left_out_is_none(tmp_path):
    """Asked only after one answer, a caution does not count for what is always done."""
    text = NOTHING_FOUND.replace(
        "  - id: blades\n    warn: Blades cut. Close them.\n    danger: sharp\n"
        "    why: A blade slips.\n",
        "",
        1,
    ).replace(
        "  - id: dial\n",
        '  - id: blades\n    only-if: {step: whole, answer: "no"}\n    warn: Blades cut.\n'
        "    danger: sharp\n    why: A blade slips.\n  - id: dial\n",
        1,
    )

    assert [one.rule for one in check_text(tmp_path, text).findings] == ["caution-missing"]


def test_a_caution_counts_for_a_step_under_the_same_condition(tmp_path):
    """A caution and the work behind it may be left out together."""
    only = '    only-if: {step: whole, answer: "no"}\n'
    text = NOTHING_FOUND.replace(
        "  - id: blades\n    warn: Blades cut. Close them.\n    danger: sharp\n"
        "    why: A blade slips.\n",
        "",
        1,
    ).replace(
        "  - id: trim\n",
        f"  - id: blades\n{only}    warn: Blades cut.\n    danger: sharp\n"
        f"    why: A blade slips.\n  - id: trim\n{only}",
        1,
    )

    assert check_text(tmp_path, text).findings == ()


def test_a_way_past_a_caution_is_found(tmp_path):
    """A cap that leads past a caution leaves the work behind it uncautioned."""
    text = NOTHING_FOUND.replace(
        "then: go-on}", "then: burns, at-most: {times: 2, then: trim, say: Trim.}}", 1
    )
    first, *rest = text.partition("  - id: blades\n")
    blades, dial = "".join(rest).split("  - id: whole\n")
    moved = f"{first}  - id: whole\n{dial}".replace("  - id: dial\n", f"{blades}  - id: dial\n", 1)

    assert [one.rule for one in check_text(tmp_path, moved).findings] == ["caution-missing"]
    assert check_text(tmp_path, moved.replace("then: trim", "then: blades")).findings == ()


def test_notes_alone_are_good(tmp_path):
    """A note fails nothing, a warning does."""
    noted = check_text(tmp_path, NOTHING_FOUND.replace("    why: It is a start.\n", ""))
    warned = check_text(tmp_path, NOTHING_FOUND.replace("Set the dial.", "Watch the roof edge."))

    assert noted.good
    assert [one.severity for one in noted.findings] == [Severity.NOTE]
    assert not warned.good


def test_a_fault_in_a_shared_file_is_told_once_and_there(tmp_path):
    """Two checklists that include one faulty file give one finding, in that file."""
    (tmp_path / "shared").mkdir()
    shared = "shared: part\nsteps:\n  - id: see\n    tell: See 7.\n"
    (tmp_path / "shared" / "part.yaml").write_text(shared, encoding="utf-8")
    paths = [tmp_path / "a.yaml", tmp_path / "b.yaml"]
    for path in paths:
        text = NOTHING_FOUND.replace(
            "  - id: dial\n", "  - include: shared/part.yaml\n  - id: dial\n"
        )
        path.write_text(
            text.replace("procedure: small", f"procedure: {path.stem}"), encoding="utf-8"
        )
    (finding,) = check_files(paths, EAR).findings

    assert (finding.file, finding.line) == (str(tmp_path / "shared" / "part.yaml"), 4)
