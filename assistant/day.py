"""Which procedures are walked, in which order, and where an interrupted one goes on.

Imports ``shift``, ``record``, ``dialogue`` and ``procedure``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.dialogue.loop import Line
from assistant.dialogue.state import Settings
from assistant.procedure.model import Procedure
from assistant.record import kinds
from assistant.record.journal import Record
from assistant.record.state import open_run
from assistant.shift import Shift


class Day:
    """A welder's procedures one after another, seam by seam, until somebody says stop."""

    def __init__(
        self, shift: Shift, record: Record, settings: Settings, about: Mapping[str, object]
    ) -> None:
        self._shift, self._record, self._settings, self._about = shift, record, settings, about

    def work(
        self, procedures: Sequence[Procedure], again: Procedure | None, *, fresh: bool
    ) -> bool:
        """Walk ``procedures``; with ``again`` ask at the end whether another seam follows.

        Returns True when all were walked to their end, False when somebody or something stopped.
        """
        self._shift.know(*procedures)
        left: list[Procedure] | None = list(procedures)
        if not fresh:
            left = self._go_on_with_unfinished(list(procedures))
        if left is None:
            return False
        while True:
            for procedure in left:
                if not self._shift.walk(procedure, self._settings, self._about):
                    return False
            if again is None:
                return True
            if not self._another(again):
                return self._record.entries[-1].kind == kinds.ENDED
            left = list(procedures)

    def _another(self, again: Procedure) -> bool:
        if not self._shift.walk(again, self._settings, self._about):
            return False
        answers = [entry for entry in self._record.entries if entry.kind == kinds.ANSWERED]
        return bool(answers[-1].fields["answer"] == "yes")

    def _go_on_with_unfinished(self, left: list[Procedure]) -> list[Procedure] | None:
        """Resume the newest run if it did not end; return what follows it, or None if stopped."""
        run = open_run(self._record.entries)
        if run is None or run.began is None:
            return left
        for place, procedure in enumerate(left):
            if procedure.digest == run.began.fields["digest"]:
                so_far: list[Line] = [(e.kind, e.fields, e.seq) for e in run.entries[1:]]
                if not self._shift.resume(procedure, self._settings, run.seq, so_far):
                    return None
                return left[place + 1 :]
        return left
