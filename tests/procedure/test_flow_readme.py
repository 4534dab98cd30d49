"""What the README of the checklists tells of job values and shared steps is true."""

from __future__ import annotations

import re

from support.checklists import SHIPPED

from assistant.procedure.loader import load_procedure

README = (SHIPPED / "README.md").read_text(encoding="utf-8")
FILES = ("job.yaml", "shared/cool.yaml", "with-both.yaml")


def test_the_example_of_job_and_shared_steps_loads(tmp_path):
    """Whoever copies the three files gets a checklist that speaks the values of the job."""
    (tmp_path / "shared").mkdir()
    for name in FILES:
        found = re.search(rf"```yaml {re.escape(name)}\n(.*?)```", README, re.DOTALL)
        (tmp_path / name).write_text(found[1], encoding="utf-8")
    steps = load_procedure(tmp_path / "with-both.yaml").steps

    assert [step.id for step in steps] == ["weld", "flashing-cool", "flashing-cold", "probe"]
    assert steps[1].seconds == 600
    assert steps[1].say == "Let the white TPO cool in the shade, ten minutes or more."
