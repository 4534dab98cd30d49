"""Branches, loops, shared steps and job values, as they are written and as they are refused."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from support.checklists import GOOD, broken, line_of

from assistant.errors import ProcedureProblem
from assistant.procedure.loader import load_procedure, load_procedures, read_job
from assistant.procedure.model import Cap, Procedure, Remind

HEAD = """\
procedure: flow
title: Flow
version: "1"
steps:
  - id: dial
    tell: Set the dial.
    until: done
"""
CLEAN = """\
  - id: clean
    ask: Is it clean?
    answer: yes-no
    hoped: "yes"
    otherwise: {say: Clean it., then: go-on}
"""
MARKS = """\
  - id: marks
    ask: Which marks?
    answer: choice
    choices:
      none: [none]
      bleed-out: [bleed out]
      burn: [burn]
    hoped: [none]
    otherwise:
      say: Turn the dial down.
      then: dial
      at-most: {times: 3, then: stop, say: Call the foreman.}
"""
VOLTS = """\
  - id: volts
    ask: How many volts?
    answer: value
    of: volts
    unit: V
    hoped: {from: 108 V}
    otherwise: {say: Use a thicker cord., then: go-on}
"""
LAST = """\
  - id: last
    tell: Weld.
    until: done
    once: shift
    remind: {every: 10 min, say: Still welding.}
"""


def load(tmp_path: Path, text: str) -> Procedure:
    """Return a checklist that was written to a file of its own."""
    path = tmp_path / "flow.yaml"
    path.write_text(text, encoding="utf-8")
    return load_procedure(path)


def fault(tmp_path: Path, text: str) -> str:
    """Return what is said of a checklist that is refused."""
    with pytest.raises(ProcedureProblem) as caught:
        load(tmp_path, text)
    return str(caught.value)


def test_every_construct_is_read(tmp_path):
    """What a writer wrote is what the steps hold."""
    late = "  - id: late\n    wait: until 13:30\n    say: Wait for the sun.\n"
    both = LAST + "    only-if: {step: marks, answer: [bleed-out, burn]}\n"
    _, clean, marks, volts, wait, last = load(
        tmp_path, HEAD + CLEAN + MARKS + VOLTS + late + both.replace("burn]", "none]")
    ).steps

    assert clean.otherwise.cap is None
    assert marks.hoped == ("none",)
    assert marks.otherwise.cap == Cap(3, "stop", "Call the foreman.")
    assert (volts.hoped_from, volts.hoped_to) == (Fraction(108), None)
    assert (wait.until, wait.seconds) == ("13:30", 0)
    assert (last.once, last.remind) == (True, Remind(600, "Still welding."))
    assert last.only_if == ("marks", "bleed-out", "none")


ONLY = "  - id: more\n    tell: More.\n    only-if: {step: STEP, answer: ANSWER}\n"


def only(step: str, answer: str) -> str:
    """Return a step that is only told after an answer."""
    return ONLY.replace("STEP", step).replace("ANSWER", answer)


@pytest.mark.parametrize(
    ("text", "at", "wrong"),
    [
        (MARKS.replace("then: stop", "then: dial"), "at-most", "'dial' does not come later"),
        (MARKS.replace("then: stop", "then: lost"), "at-most", "there is no step 'lost'"),
        (MARKS.replace("times: 3", "times: 0"), "at-most", "not above nought"),
        (MARKS.replace("times: 3", "times: 21"), "at-most", "more than 20 times"),
        (MARKS.replace("times: 3, ", ""), "at-most", "lacks this key"),
        (MARKS.replace(", say: Call the foreman.", ""), "at-most", "lacks this key"),
        (MARKS.replace("then: dial", "then: go-on"), "at-most", "turns back never"),
        (MARKS.replace("[none]\n    o", "[ash]\n    o"), "hoped: ", "not one of none, bleed-out"),
        (MARKS.replace("    hoped: [none]\n", ""), "- id: marks", "one stands without the other"),
        (
            MARKS.replace("hoped: [none]", "hoped: [none, burn, bleed-out]"),
            "hoped: ",
            "every answer goes on",
        ),
        (VOLTS.replace("{from: 108 V}", "{}"), "hoped: ", "neither 'from' nor 'to'"),
        (VOLTS.replace("108 V", "108 F"), "hoped: ", "not the unit"),
        (VOLTS.replace("{from: 108 V}", "{from: 9 V, to: 8 V}"), "hoped: ", "more than 'to'"),
        (
            VOLTS.replace("of: volts\n    unit: V", "called: width\n    unit: in\n    plausible: "
                          "{from: 1 in, to: 2 in}").replace("108 V", "1 in"),
            "hoped: ",
            "judged by a judge step",
        ),
        (LAST.replace("10 min", "10 s"), "remind", "only disturbs"),
        (LAST.replace("    until: done\n", ""), "remind", "does not wait for a hand"),
        (LAST.replace("once: shift", "once: day"), "once", "not one of shift"),
        ("  - id: w\n    wait: 1 min\n    say: Wait.\n    once: shift\n", "once", "a wait"),
        ("  - id: w\n    wait: until 25:00\n    say: Wait.\n", "wait", "not a number with a unit"),
        ("  - id: end\n    tell: Go.\n", "id: end", "already means something"),
        (CLEAN + only("clean", "maybe"), "only-if", "'maybe' is never the answer"),
        (CLEAN + only("clean", "[]"), "only-if", "the list is empty"),
        (CLEAN + only("clean", '["no", maybe]'), "only-if", "'maybe' is never"),
        (VOLTS + only("volts", "low"), "only-if", "'low' is never"),
        (only("dial", "inside"), "only-if", "not a question"),
    ],
)  # fmt: skip
def test_a_bad_construct_is_refused(tmp_path, text, at, wrong):
    """With the file, the line and what is wrong."""
    whole = HEAD + text
    said = fault(tmp_path, whole)
    assert wrong in said

    assert f"flow.yaml, line {HEAD.count(chr(10)) + line_of(text, at)}" in said


@pytest.mark.parametrize(
    "text",
    [
        CLEAN.replace("go-on", "again") + only("clean", '"no"'),
        MARKS + only("marks", "burn"),
        CLEAN + only("clean", '"no"') .replace("more", "one")
        + "  - id: q\n    ask: Why?\n    answer: yes-no\n    hoped: \"yes\"\n    otherwise: "
        '{say: So., then: go-on}\n    only-if: {step: clean, answer: "yes"}\n'
        + VOLTS.replace("    hoped", "    only-if: {step: clean, answer: \"no\"}\n    hoped")
        + only("volts", "outside").replace("more", "two"),
    ],
)  # fmt: skip
def test_only_what_can_be_reached_is_let_through(tmp_path, text):
    """A step behind an answer that never leads on is refused; one that is reached is not."""
    if "id: two" in text:
        assert len(load(tmp_path, HEAD + text).steps) == 6
        return
    said = fault(tmp_path, HEAD + text)
    assert "step 'more' is never reached" in said

    capped = text.replace("then: stop", "then: go-on").replace(
        "then: again", "then: again, at-most: {times: 2, then: go-on, say: Enough.}"
    )
    assert load(tmp_path, HEAD + capped).steps[-1].id == "more"


# ---- job values

JOB = """\
sheet: White, sixty mil
values:
  least-width: 1 in
  most-width: 1 1/2 in
  cool-time: 10 min
  dial-start: 7
weather: {cold-air: 8 C}
"""


def with_job(tmp_path: Path, job: str = JOB) -> None:
    """Write the job beside the checklists."""
    (tmp_path / "job.yaml").write_text(job, encoding="utf-8")


def test_job_values_stand_for_what_the_job_says(tmp_path):
    """In any place, and inside what is spoken, in words."""
    with_job(tmp_path)
    text = broken("least: 1 in", "least: {job: least-width}")
    text = text.replace("wait: 10 min", "wait: {job: cool-time}").replace(
        "Let it cool.", "'Let the {sheet} sheet cool {cool-time}, at dial {dial-start}.'"
    )
    found = load(tmp_path, text)

    assert found.steps[-1].limits.least_in == 1
    assert found.steps[-2].seconds == 600
    assert found.steps[-2].say == "Let the White, sixty mil sheet cool ten minutes, at dial seven."


def test_the_record_tells_by_which_values_it_was_done(tmp_path):
    """The digest changes with a value that is used, and with no other."""
    with_job(tmp_path)
    text = broken("wait: 10 min", "wait: {job: cool-time}")
    first = load(tmp_path, text).digest
    with_job(tmp_path, JOB.replace("least-width: 1 in", "least-width: 2 in"))
    assert load(tmp_path, text).digest == first
    with_job(tmp_path, JOB.replace("10 min", "15 min"))

    assert load(tmp_path, text).digest != first


def test_another_job_goes_over_the_one_beside(tmp_path):
    """Value by value, so that it need hold only what differs."""
    with_job(tmp_path)
    other = tmp_path / "other.yaml"
    other.write_text("values: {cool-time: 20 min}\n", encoding="utf-8")
    path = tmp_path / "flow.yaml"
    text = broken("wait: 10 min", "wait: {job: cool-time}")
    path.write_text(text.replace("least: 1 in", "least: {job: least-width}"), encoding="utf-8")

    assert load_procedure(path, job=read_job(other)).steps[-2].seconds == 1200


def test_the_limits_of_the_job_hold_for_every_look(tmp_path):
    """A look step that sets nothing takes weather and supply as the job has them."""
    with_job(tmp_path)
    found = load(tmp_path, HEAD + "  - id: look\n    look: conditions\n")

    assert found.steps[-1].weather.cold_air_c == 8


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    [
        ("wait: 10 min", "wait: {job: cool-tme}", "the job has no value 'cool-tme' (job.yaml)"),
        ("wait: 10 min", "wait: {job: cool-tme}", "Write cool-time."),
        ("wait: 10 min", "wait: {job: dial-start}", "(the value comes from job.yaml, line 6)"),
        ("wait: 10 min", "wait: {job: sheet}", "(the value comes from job.yaml, line 1)"),
        ("wait: 10 min", "wait: {job: least-width}", "not a unit of time"),
        ("Let it cool.", "'Let it cool {cooltime}.'", "the job has no value 'cooltime'"),
    ],
)
def test_a_job_value_that_does_not_fit_is_refused(tmp_path, old, new, wrong):
    """In the line that names it, and with where the value comes from."""
    with_job(tmp_path)
    text = broken(old, new)
    said = fault(tmp_path, text)
    assert wrong in said

    assert (
        f"flow.yaml, line {line_of(text, new)}, key '{new.split(':')[0] if ':' in new else 'say'}'"
        in said
    )


def test_without_a_job_its_values_are_lacking(tmp_path):
    """Said with where Lapcall looked for them."""
    said = fault(tmp_path, broken("wait: 10 min", "wait: {job: cool-time}"))

    assert "no job.yaml beside this file" in said


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ("  Cool: 1 min", "not lower-case words"),
        ("  sheet: black", "stands outside 'values' as well"),
        ("  cool: [1, 2]", "a list stands where"),
        ("  cool: true", "the switch true stands where"),
        ("  cool: 1.5", "can be misread"),
    ],
)
def test_a_bad_value_of_a_job_is_refused(tmp_path, line, wrong):
    """Where it is written, before any checklist is read."""
    with_job(tmp_path, JOB.replace("values:", f"values:\n{line}"))
    with pytest.raises(ProcedureProblem, match=wrong):
        load(tmp_path, GOOD)


# ---- shared steps

SHARED = """\
shared: cautions
steps:
  - id: burns
    warn: The nozzle burns.
  - id: gloves
    ask: Are the gloves on?
    answer: yes-no
    hoped: "yes"
    otherwise: {say: Put them on., then: burns}
  - id: thanks
    tell: Good.
    only-if: {step: gloves, answer: "yes"}
"""


def share(tmp_path: Path, text: str = SHARED) -> None:
    """Write a shared file."""
    (tmp_path / "shared").mkdir(exist_ok=True)
    (tmp_path / "shared" / "cautions.yaml").write_text(text, encoding="utf-8")


INCLUDE = "  - include: shared/cautions.yaml\n"


def test_shared_steps_stand_where_they_are_included(tmp_path):
    """In their order; each knows the file and the line it is written in."""
    share(tmp_path)
    found = load(tmp_path, HEAD + INCLUDE + CLEAN)
    assert [step.id for step in found.steps] == ["dial", "burns", "gloves", "thanks", "clean"]

    assert (found.steps[2].file, found.steps[2].line) == ("shared/cautions.yaml", 5)


def test_shared_steps_may_be_named_anew(tmp_path):
    """Twice in one checklist, each time under another word; they still name each other."""
    share(tmp_path)
    found = load(tmp_path, HEAD + INCLUDE + INCLUDE + "    as: again-here\n")
    assert [step.id for step in found.steps[4:]] == [
        "again-here-burns", "again-here-gloves", "again-here-thanks",
    ]  # fmt: skip
    assert found.steps[5].otherwise.then == "again-here-burns"

    assert found.steps[6].only_if == ("again-here-gloves", "yes")


def test_the_digest_covers_what_is_shared(tmp_path):
    """The record shows by which text the work was done, wherever it is written."""
    share(tmp_path)
    first = load(tmp_path, HEAD + INCLUDE).digest
    share(tmp_path, SHARED.replace("Good.", "Well done."))

    assert load(tmp_path, HEAD + INCLUDE).digest != first


@pytest.mark.parametrize(
    ("text", "file", "line", "wrong"),
    [
        (INCLUDE + INCLUDE, "shared/cautions.yaml", 3, "already the id of the step in line 3"),
        ("  - include: ../cautions.yaml\n", "flow.yaml", 8, "not lie in a folder below"),
        ("  - include: cautions.yaml\n", "flow.yaml", 8, "not lie in a folder below"),
        ("  - include: /etc/passwd\n", "flow.yaml", 8, "not lie in a folder below"),
        ("  - include: shared/lost.yaml\n", "flow.yaml", 8, "cannot be read"),
        (INCLUDE + "    id: mine\n", "flow.yaml", 9, "no such key"),
        (INCLUDE + "    as: Again\n", "flow.yaml", 9, "lower-case words"),
    ],
)
def test_a_bad_include_is_refused(tmp_path, text, file, line, wrong):
    """With the file and the line where it can be mended."""
    share(tmp_path)
    said = fault(tmp_path, HEAD + text)

    assert any(one.startswith(f"{file}, line {line}") and wrong in one for one in said.split("\n"))


@pytest.mark.parametrize(
    ("old", "new", "line", "wrong"),
    [
        ("burns.", "burns 3.", 4, "a figure"),
        ("then: burns", "then: burn", 9, "there is no step 'burn'"),
        ("shared: cautions", "procedure: cautions", 1, "no such key"),
        (
            "  - id: burns\n    warn: The nozzle burns.",
            "  - include: shared/more.yaml",
            3,
            "another",
        ),
        ("shared: cautions", "shared: [", 3, "bracket"),
    ],
)
def test_a_fault_in_a_shared_file_names_that_file(tmp_path, old, new, line, wrong):
    """Once, however many checklists include it."""
    share(tmp_path, SHARED.replace(old, new))
    for name in ("one", "two"):
        text = (HEAD + INCLUDE).replace("procedure: flow", f"procedure: {name}")
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(ProcedureProblem) as caught:
        load_procedures(tmp_path)
    told = [one for one in str(caught.value).split("\n") if wrong in one]

    assert len(told) == 1
    assert told[0].startswith(f"shared/cautions.yaml, line {line}")
