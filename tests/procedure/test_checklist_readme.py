"""What the README of the checklists shows is true."""

from __future__ import annotations

import re

import pytest
from support.checklists import SHIPPED

from assistant.procedure.fields import EXAMPLES
from assistant.procedure.loader import JOB_KEYS, load_job, load_procedure
from assistant.words.measured import QUANTITIES

README = (SHIPPED / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)


def test_the_examples_in_their_order_are_one_good_checklist(tmp_path):
    """Whoever copies the examples out of the README gets a checklist that loads."""
    path = tmp_path / "readme.yaml"
    path.write_text("".join(BLOCKS[:-1]), encoding="utf-8")
    procedure = load_procedure(path)

    assert {type(step).__name__ for step in procedure.steps} == {
        "Tell", "Warn", "AskYesNo", "AskChoice", "AskValue", "Wait", "Judge", "Look",
    }  # fmt: skip


def test_the_example_of_a_job_file_loads(tmp_path):
    """The job file of the README gives every key that a job may have."""
    path = tmp_path / "job.yaml"
    path.write_text(BLOCKS[-1], encoding="utf-8")

    assert tuple(load_job(path)) == JOB_KEYS


@pytest.mark.parametrize("key", sorted(EXAMPLES))
def test_every_key_is_explained(key):
    """Each key that the loader knows stands in the README."""
    assert re.search(rf"(`|\b){re.escape(key)}(`|:)", README)


def test_every_shipped_checklist_is_named():
    """The README lists each checklist beside it."""
    for path in SHIPPED.glob("*.yaml"):
        assert f"`{path.name}`" in README


@pytest.mark.parametrize("name", sorted(QUANTITIES))
def test_every_quantity_is_told_with_its_windows(name):
    """The table of quantities tells units, windows and names as they are."""
    row = next(line for line in README.splitlines() if line.startswith(f"| `{name}` |"))
    _, _, units, called, _, _ = (part.strip() for part in row.split("|"))

    told = [f"`{u}` {low} to {high}" for u, (low, high) in QUANTITIES[name].plausible.items()]
    assert units == ", ".join(told)
    assert called == QUANTITIES[name].called


PARTS_OF_THE_EXAMPLE = re.findall(r"```yaml scupper.yaml\n(.*?)```", README, re.DOTALL)


@pytest.mark.parametrize("part", PARTS_OF_THE_EXAMPLE, ids=lambda part: part.split()[2])
def test_the_worked_example_is_the_one_that_ships(part):
    """Each part that the guide shows stands so in the checklist that it tells of."""
    assert part in (SHIPPED / "scupper.yaml").read_text(encoding="utf-8")


def test_the_worked_example_shows_what_a_first_checklist_needs():
    """Top, caution, question, branch, value of the job and way out are all shown."""
    shown = "".join(PARTS_OF_THE_EXAMPLE)

    for key in (
        "include:",
        "warn:",
        "danger:",
        "otherwise:",
        "only-if:",
        "{patch-past}",
        "at-most:",
    ):
        assert key in shown
