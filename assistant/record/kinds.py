"""The kinds of line in a record, and what each holds. Imports nothing of ours.

Every line also has ``seq``, ``at`` (UTC), ``zone`` (offset of local time), ``prev`` (SHA-256 of
the line before), ``sum`` (SHA-256 of the line itself without ``sum``) and ``run`` (the ``seq`` of
the ``began`` line of its run; a ``began`` line leaves it out). Widths are written as exact
fractions of an inch, such as ``"5/4"``. Lines are never changed: a correction is a new line that
names the old one.

| kind | fields |
|---|---|
| began | procedure, title, version, digest, software, detail, rehearsal (true or false), job |
| - | job holds name, area, sheet, welder, gun |
| resumed | step |
| done | step, act (``tell``, ``warn``, ``wait``), said; for ``wait`` also early (true or false) |
| answered | step, act (``yes-no``, ``choice``, ``value``), said, answer, confidence, clip |
| - yes-no | answer ``"yes"`` or ``"no"``; hoped (true or false: was it the hoped-for answer) |
| - choice | answer is the choice's id; called is how it is said |
| - value | answer (a fraction in unit), unit, width_in, called, hedge, lean, read_back |
| - value | confirmed_by (the words of the yes), confirmed_clip |
| not-heard | step, act, said (list of what was made of each try), clips (list) |
| taken-back | step, entry (seq of the line that no longer counts), said |
| judged | step, outcome, reasons, width, said, hedge, mode, solid, heat, limits, rule, from, clip |
| held | step, because (``asked`` or ``quiet``) |
| carried-on | step, said |
| stopped | step, said |
| ear-lost / ear-back | step, message |
| ended | (nothing more: the procedure was walked to its end) |

``lean`` is ``over``, ``under``, ``about`` or null: which way a hedge such as "strong" leans.
``clip`` is the file name in ``clips/`` of the recording of the answer, or null.
``limits`` is ``{"least_in": "1", "most_in": "3/2", "rule_step_in": "1/16"}``.
``from`` in ``judged`` lists the ``seq`` of the answers that the verdict rests on.
"""

from __future__ import annotations

BEGAN = "began"
RESUMED = "resumed"
DONE = "done"
ANSWERED = "answered"
NOT_HEARD = "not-heard"
TAKEN_BACK = "taken-back"
JUDGED = "judged"
HELD = "held"
CARRIED_ON = "carried-on"
STOPPED = "stopped"
EAR_LOST = "ear-lost"
EAR_BACK = "ear-back"
ENDED = "ended"

ALL = frozenset(
    {
        BEGAN,
        RESUMED,
        DONE,
        ANSWERED,
        NOT_HEARD,
        TAKEN_BACK,
        JUDGED,
        HELD,
        CARRIED_ON,
        STOPPED,
        EAR_LOST,
        EAR_BACK,
        ENDED,
    }
)
