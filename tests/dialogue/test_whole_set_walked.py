"""Every shipped checklist walked in every way: it ends or is held, and its cautions come first."""

from __future__ import annotations

from functools import cache

import pytest
from support import crew
from support.checklists import SHIPPED
from support.crew import worked
from support.talk import Talk

from assistant.dialogue import lines
from assistant.procedure.loader import load_procedures
from assistant.procedure.model import AskChoice, AskYesNo, Judge, Warn
from assistant.record import kinds

PROCEDURES = load_procedures(SHIPPED)
CREWS = {
    "all well": crew.all_well,
    "nothing well": crew.nothing_well,
    "mended once": crew.mended_once,
    "mended where asked again": crew.mended_where_asked_again,
    "never heard": crew.never_heard,
}


@cache
def walked(name: str, who: str) -> Talk:
    """Walk a checklist with a crew, once for all that looks at the run."""
    return worked(PROCEDURES[name], CREWS[who])


by_name = pytest.mark.parametrize("name", PROCEDURES)
by_crew = pytest.mark.parametrize("who", CREWS)


@by_name
def test_where_all_goes_well_it_comes_to_its_end(name):
    """Answered as hoped, a checklist ends, and nothing is missing from its record."""
    talk = walked(name, "all well")

    assert talk.finished
    assert talk.finished.ended
    assert talk.of(kinds.NOT_HEARD) == []


@by_name
def test_what_is_mended_lets_the_work_go_on(name):
    """Each question answered badly once and then well, all in one run: it still ends."""
    talk = walked(name, "mended once")

    assert talk.finished
    assert talk.finished.ended


@by_name
@pytest.mark.parametrize("who", ["nothing well", "mended where asked again"])
def test_where_nothing_goes_well_it_stops_or_holds(name, who):
    """A bad answer is never walked past: the run ends where the checklist says, or stays there."""
    talk = walked(name, who)
    unhoped = [line for line in talk.of(kinds.ANSWERED) if line.fields.get("hoped") is False]
    said = " ".join(talk.said)
    told = {
        step.id: step.otherwise.say
        for step in talk.procedure.steps
        if hasattr(step, "hoped") and step.otherwise
    }

    assert talk.finished or crew.held(talk)
    assert [line for line in unhoped if told[str(line.fields["step"])] not in said] == []
    assert not [line for line in talk.of(kinds.JUDGED) if line.fields["outcome"] == "pass"]


@by_name
def test_what_is_not_heard_is_never_taken_for_an_answer(name):
    """With every answer unheard it ends or stops, answers nothing and lets no strip pass."""
    talk = walked(name, "never heard")

    assert talk.finished
    assert talk.of(kinds.ANSWERED) == []
    assert not [line for line in talk.of(kinds.JUDGED) if line.fields["outcome"] != "no verdict"]
    assert bool(talk.of(kinds.NOT_HEARD)) == bool(crew.asked_of(PROCEDURES[name]))


@by_name
@by_crew
def test_no_hand_comes_to_a_danger_before_its_caution(name, who):
    """Whatever is answered, each step marked hot, sharp, edge or electric lies behind a caution.

    Source for which dangers there are: burns ISO 13732-1, edges 29 CFR 1926.501, current 29 CFR
    1926.404; blades: common practice, no source.
    """
    talk = walked(name, who)

    assert crew.uncautioned(talk) == []


@by_name
@by_crew
def test_a_caution_is_spoken_in_full_and_acknowledged(name, who):
    """Every caution that a run passes was said word for word and answered before the next step."""
    talk = walked(name, who)
    said = " ".join(talk.said)
    words: dict[str, list[object]] = {}
    for line in talk.of(kinds.DONE):
        words.setdefault(str(line.fields["step"]), []).append(line.fields["said"])
    warned = [step for step in PROCEDURES[name].steps if isinstance(step, Warn)]

    for step in warned:
        if step.id in words:
            # Behind the first time, a caution of once a shift may be passed over.
            assert step.say in said
            assert words[step.id][0] in ("ready", "done")
            assert step.once or None not in words[step.id]
        else:
            assert step.only_if or not (talk.finished and talk.finished.ended)


@by_name
def test_every_answer_of_a_choice_leads_somewhere(name):
    """Whichever answer of a choice is given, the run comes to its end, its cautions first."""
    for step in PROCEDURES[name].steps:
        for choice in step.choices if isinstance(step, AskChoice) else ():
            fixed = {step.id: choice.said[-1]}
            judged = any(isinstance(one, Judge) for one in PROCEDURES[name].steps)
            talk = worked(PROCEDURES[name], crew.all_well, fixed)

            assert talk.finished
            assert talk.finished.ended or judged
            assert crew.uncautioned(talk) == []


@by_name
def test_every_step_is_asked_in_some_run(name):
    """No step of a shipped checklist is dead: some crew or some answer comes to it."""
    procedure = PROCEDURES[name]
    runs = [walked(name, who) for who in CREWS]
    for step in procedure.steps:
        if isinstance(step, AskChoice):
            runs += [
                worked(procedure, answer, {step.id: choice.said[0]})
                for choice in step.choices
                for answer in (crew.all_well, crew.mended_once)
            ]
    reached = {line.fields.get("step") for talk in runs for line in talk.lines}

    assert [step.id for step in procedure.steps if step.id not in reached] == []


def test_the_set_covers_the_shift():
    """From start to hand-over each part of the work has its checklist."""
    wanted = {
        "start-of-shift", "conditions", "test-weld", "pre-weld", "finish-weld", "peel-test",
        "probe", "defects", "re-weld", "patch", "aged-sheet", "inside-corner", "outside-corner",
        "pipe", "curb", "drain", "t-joint", "tie-in", "cold-weather", "start-again", "shut-down",
        "fire-watch", "hand-over", "next-seam", "seam-cut", "scupper",
    }  # fmt: skip

    assert wanted <= set(PROCEDURES)


def test_dangers_are_marked_where_hands_are():
    """The steps at which a weld is made or a cut is done are marked as such."""
    marked = {
        (name, step.id): set(step.danger) for name in PROCEDURES for step in PROCEDURES[name].steps
    }

    for (_, step), dangers in marked.items():
        if step in ("piece", "weld", "weld-on", "gun-off"):
            assert "hot" in dangers
        if step in ("cut", "cut-patch"):
            assert "sharp" in dangers


def test_every_bad_answer_of_yes_and_no_is_followed_by_words():
    """Who answers otherwise than hoped is told what to do about it."""
    for procedure in PROCEDURES.values():
        for step in procedure.steps:
            if isinstance(step, AskYesNo):
                assert step.otherwise.say


def test_a_stop_at_the_third_failed_strip_says_whom_to_call():
    """Three strips that fail in a row end the run with what to do, and no seam is welded."""
    talk = walked("finish-weld", "mended where asked again")

    assert len(talk.of(kinds.JUDGED)) == 3
    assert talk.finished
    assert not talk.finished.ended
    assert "call the foreman" in " ".join(talk.said)
    assert lines.CUE_READY in " ".join(talk.said)
    assert "weld" not in {line.fields.get("step") for line in talk.of(kinds.DONE)}
