"""Whether every loop can be left. Pure; the walk is ``procedure.paths``'.

A step that no answers lead to is a fault at load already, under the rule ``unreachable``.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.check.findings import Finding
from assistant.check.place import Sheet
from assistant.procedure import paths
from assistant.procedure.model import Judge


def check_ways(sheet: Sheet) -> Iterator[Finding]:
    """Yield loops without a way out."""
    for step in paths.loops_without_way_out(sheet.procedure):
        key = "on-fail" if isinstance(step, Judge) else "otherwise"
        wrong = f"step '{step.id}' leads back for ever"
        mend = f"Add at-most: with times, then and say to its {key}"
        yield sheet.found("no-way-out", step, wrong, mend, key)
