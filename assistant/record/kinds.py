"""The kinds of line in a record, and what each holds. Imports nothing of ours.

FORMAT.md tells a stranger all of this, and record.schema.json a program; a test holds the three
together. Every line also has ``v`` (format), ``seq``, ``at`` (UTC), ``zone`` (offset of local
time), ``up_ms`` (a clock that nobody sets), ``prev`` (SHA-256 of the line before), ``sum`` (SHA-256
of the line itself without ``sum``) and ``run`` (the ``seq`` of the ``began`` line of its run; a
``began`` line leaves it out). Widths are written as exact
fractions of an inch, such as ``"5/4"``. Lines are never changed: a correction is a new line that
names the old one.

| kind | fields |
|---|---|
| began | procedure, title, version, digest, software, detail, rehearsal (true or false), job |
| - | job holds name, area, drawing, sheet, lot, welder, checker, gun, nozzle, roller |
| - | rules holds version and digest of the rules for tests that are due, or is null |
| resumed | step |
| done | step, act (``tell``, ``warn``, ``wait``), said; for ``wait`` also early (true or false) |
| - | act ``look`` has cautions, the list of those that were spoken, and answer (``yes``, ``no``) |
| - | once (in ``answered`` too): the mark of a step that is done once a shift |
| - | act ``once`` (done earlier in this shift) has entry (its seq) and carried (what it holds) |
| answered | step, act (``yes-no``, ``choice``, ``value``), said, answer, confidence, clip |
| - yes-no | answer ``"yes"`` or ``"no"``; hoped (true or false: was it the hoped-for answer) |
| - choice | answer is the choice's id; called is how it is said |
| - value | answer (a fraction in unit), unit, width_in, called, hedge, lean, read_back |
| - value | confirmed_by (the words of the yes), confirmed_clip |
| not-heard | step, act, said (list of what was made of each try), clips (list) |
| taken-back | step, entry (seq of the line that no longer counts), said, reason; of |
| judged | step, outcome, reasons, width, said, hedge, mode, solid, heat, limits, rule, from, clip |
| - judged | finding (what decided: narrow, wide ...), pull (where it was asked for) |
| - again | also corrects (seq of the ``judged`` line it takes the place of), was (its outcome), |
| - | first (seq of the first ``judged`` line of this test) |
| corrected | judged (seq of the test), entry (seq of the old answer, or null), asked_by (words), |
| - | reason |
| - | and all that ``answered`` holds; a choice has read_back and confirmed_by as well |
| mark | step, seam, what, position_ft, said, said_at, read_back, confirmed_by, confirmed_clip, |
| - | confidence, clip (of the position), clips (of what was marked, where it was said apart) |
| mark-not-heard | step, seam, what, said (list), clips (list), because (``tries``, ``quiet``) |
| note | step, seam, clip, length_ms, said, ended_by (``quiet``, ``words``, ``full``), damaged |
| event | step, seam, what, part, said, confidence, clip |
| held | step, because (``asked``, ``quiet`` or ``talk``) |
| carried-on | step, said |
| stopped | step, said; because (``at-most``: tried as often as it may be) |
| ear-lost / ear-back | step, message |
| ended | (nothing more: the procedure was walked to its end) |
| closed | lines (how many stand before it), said (the words that stopped the work, or null); |
| - | belongs to no run, and ends a shift: what is missing behind it was never written |
| tidied | dropped (list of clips), shortened (list of clip and now), rule; belongs to no run |
| reviewed | about (seq, or null for the whole), by, decision, reason, head; belongs to no run |
| drill-began | seed, count, questions, digest, learner, software, rehearsal; a drill is no work: |
| - | its lines belong to no run, and name by ``drill`` the seq of its drill-began |
| drill-answered | drill, question, said, answer, wanted, right, confidence |
| - | answer is the choice's id or ``not-known``; answer and right are null where not heard |
| drill-taken-back | drill, entry (seq of the drill-answered line that no longer counts) |
| drill-ended | drill, right, asked, again (ids whose last answer was wrong), said |

``lean`` is ``over``, ``under``, ``about`` or null: which way a hedge such as "strong" leans.
``clip`` is the file name in ``clips/`` of the recording of the answer, or null.
``limits`` is ``{"least_in": "1", "most_in": "3/2", "rule_step_in": "1/16", "edges": 1}``.
``what`` of a mark is ``void``, ``bleed-out``, ``wrinkle``, ``burn``, ``stitch-marks`` or
``fishmouth`` (as in ``weld.strip.Defect``); ``position_ft`` is an exact fraction, such as
``"25/2"``, from the seam's start. ``said_at`` are the words that held the position.
``what`` of an event is ``power-lost``, ``rain``, ``break`` or ``changing``, as in
``weld.due.Kind``; ``part`` is what is being changed (``gun``), else null. From its ``at`` on, what
a test proved before may no longer hold; ``seam`` is the one at hand, yet it concerns every seam.
``said`` of a note is null where its sound was kept, else what was typed; nothing is transcribed.
``reason`` is ``asked`` (somebody said so) or ``hedge-decides`` (Lapcall needs a plain width).
``of`` is the kind of the line that was taken back, where that is a mark, a note or an event.
``seam`` is the number said last, as text, or null. A ``corrected`` line and the ``judged`` line
behind it carry the run that was under way; the test's own run is that of the line they name.
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
CLOSED = "closed"
CORRECTED = "corrected"
MARK = "mark"
MARK_NOT_HEARD = "mark-not-heard"
NOTE = "note"
EVENT = "event"
TIDIED = "tidied"
REVIEWED = "reviewed"
DRILL_BEGAN = "drill-began"
DRILL_ANSWERED = "drill-answered"
DRILL_TAKEN_BACK = "drill-taken-back"
DRILL_ENDED = "drill-ended"

ASKED, HEDGE_DECIDES = "asked", "hedge-decides"
"""Why a line was taken back or corrected."""

BESIDE = frozenset({MARK, NOTE, EVENT})
"""What is said beside the steps: it moves no run, and can be taken back by itself."""

DRILL = frozenset({DRILL_BEGAN, DRILL_ANSWERED, DRILL_TAKEN_BACK, DRILL_ENDED})
"""Practice: these lines belong to no run, and no review of work counts them."""

AFTERWARDS = frozenset({TIDIED, REVIEWED})
"""What is written to a record when its work is over; a closed shift stays closed."""

ALL = DRILL | frozenset(
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
        CLOSED,
        CORRECTED,
        MARK,
        MARK_NOT_HEARD,
        NOTE,
        EVENT,
        TIDIED,
        REVIEWED,
    }
)
