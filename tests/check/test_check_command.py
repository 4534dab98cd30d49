"""``lapcall check`` and ``card`` as they are called."""

from __future__ import annotations

import json

import pytest
from support.checking import NOTHING_FOUND
from support.checklists import SHIPPED

from assistant.check.findings import RULES
from assistant.cli import main
from assistant.procedure.loader import JOB_FILE


def test_the_shipped_checklists_pass_without_a_finding(capsys):
    """Nothing is found in what ships."""
    assert main(["check"]) == 0
    assert capsys.readouterr().out.endswith("Nothing to mend.\n")


def test_a_finding_that_must_be_mended_ends_in_code_three(tmp_path, capsys):
    """File, line, rule and remedy stand on one line; the counts come last."""
    path = tmp_path / "small.yaml"
    path.write_text(NOTHING_FOUND.replace("[clean peel]", "[cold]"), encoding="utf-8")

    assert main(["check", str(path)]) == 3
    first, *_, last = capsys.readouterr().out.splitlines()
    assert first.startswith(
        f"{path}:38: fault, sounds-alike: 'cold' (clean-peel) sounds like 'hold'"
    )
    assert last == "1 fault, 0 warnings, 0 notes."


def test_findings_as_json(tmp_path, capsys):
    """The same as data, with the time of each step."""
    path = tmp_path / "small.yaml"
    path.write_text(NOTHING_FOUND.replace("    why: It is a start.\n", ""), encoding="utf-8")

    assert main(["check", "--json", str(tmp_path)]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["good"]
    (finding,) = told["findings"]
    assert (finding["rule"], finding["severity"], finding["line"]) == ("why-missing", "note", 19)
    (checklist,) = told["checklists"]
    assert [step["step"] for step in checklist["steps"]][:2] == ["burns", "blades"]
    assert checklist["say_s"] == pytest.approx(sum(s["say_s"] for s in checklist["steps"]), abs=0.1)


def test_the_job_file_of_a_folder_is_no_checklist(tmp_path, capsys):
    """A folder is checked without its job file."""
    (tmp_path / "small.yaml").write_text(NOTHING_FOUND, encoding="utf-8")
    (tmp_path / JOB_FILE).write_text("name: Hall\n", encoding="utf-8")

    assert main(["check", str(tmp_path)]) == 0
    assert "small: 7 steps" in capsys.readouterr().out


@pytest.mark.parametrize("name", RULES)
def test_every_rule_is_listed_and_explained(name, capsys):
    """The list names each rule, and so does the guide beside the checklists."""
    assert main(["check", "--rules"]) == 0
    assert name in capsys.readouterr().out.split()
    assert f"| `{name}` | {RULES[name].severity.value} |" in (SHIPPED / "README.md").read_text(
        "utf-8"
    )


def test_a_card_is_written(tmp_path, capsys):
    """The page lies where it was asked for."""
    out = tmp_path / "card.html"

    assert main(["card", "pre-weld", "--out", str(out)]) == 0
    assert str(out) in capsys.readouterr().out
    assert "<title>Pre-weld: cue card</title>" in out.read_text("utf-8")
