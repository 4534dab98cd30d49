"""What a checklist may ask about a peel test besides width and mode."""

from __future__ import annotations

from fractions import Fraction

import pytest
from support.checklists import GOOD, broken

from assistant.errors import ProcedureProblem
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Judge, Procedure
from assistant.procedure.references import MODES, MORE_MODES, PULLS
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import FailureMode, HeatMarks, Pull

RULE = "rule: 1/16 in"
PULL = """
  - id: pull
    ask: "Did you pull it steadily, or with a jerk?"
    answer: choice
    choices: {steady: [steady], jerked: [jerked]}
"""


def loaded(tmp_path, text: str) -> Procedure:
    """Return a checklist from its text."""
    path = tmp_path / "changed.yaml"
    path.write_text(text, encoding="utf-8")
    return load_procedure(path)


def judge_of(procedure: Procedure) -> Judge:
    """Return its judge step."""
    return next(step for step in procedure.steps if isinstance(step, Judge))


def test_limits_may_say_how_a_width_is_read(tmp_path):
    """Edges and the least width of the strip are data of the checklist."""
    changed = broken(RULE, f"{RULE}, edges: 2, strip: 1 in")
    limits = judge_of(loaded(tmp_path, changed)).limits

    assert (limits.edges, limits.strip_least_in) == (2, Fraction(1))


def test_limits_that_say_nothing_of_it_read_one_edge(tmp_path):
    """Without these keys one edge is read, and any strip will do."""
    limits = judge_of(loaded(tmp_path, GOOD)).limits

    assert (limits.edges, limits.strip_least_in) == (WidthLimits().edges, None) == (1, None)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ("edges: 3", "a width has one edge or two"),
        ("edges: 0", "not above nought"),
        ("strip: 1", "'strip'"),
    ],
)
def test_wrong_limits_are_refused(tmp_path, more, told):
    """Each key is read as strictly as the limits themselves."""
    with pytest.raises(ProcedureProblem, match=told):
        loaded(tmp_path, broken(RULE, f"{RULE}, {more}"))


def test_known_answers_are_those_of_the_trade():
    """The names that a checklist may use are the names that the verdict knows."""
    assert {*MODES, *MORE_MODES} == {mode.value for mode in FailureMode}
    assert set(PULLS) == {pull.value for pull in Pull}
    assert len(HeatMarks) == 3


def test_more_ways_to_fail_may_be_asked_for(tmp_path):
    """At the scrim and at the grip may stand beside the three that are needed."""
    changed = broken("[partly]", "[partly]\n      at-grip: [at the grip]")

    assert loaded(tmp_path, changed)


def test_the_pull_may_be_asked_for(tmp_path):
    """A judge step that names a question about the pull rests on it."""
    changed = broken("judge: {", "judge: {pull: pull, ").replace(
        "\n  - id: failure", f"{PULL}\n  - id: failure"
    )

    assert judge_of(loaded(tmp_path, changed)).pull == "pull"


def test_a_pull_with_other_answers_is_refused(tmp_path):
    """A question about the pull has exactly the answers that can be judged."""
    changed = broken("judge: {", "judge: {pull: pull, ").replace(
        "\n  - id: failure", f"{PULL.replace('jerked: [', 'yanked: [')}\n  - id: failure"
    )
    with pytest.raises(ProcedureProblem, match="'yanked' is not an answer"):
        loaded(tmp_path, changed)
