from __future__ import annotations

import pytest
from support.checklists import SHIPPED
from support.crew import wished
from support.seam import GOOD_STRIP, MILD_START, procedure
from support.talk import Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.prompts import numbered_choices, sentences
from assistant.dialogue.state import Detail, Settings
from assistant.mouth.wording import speakable
from assistant.procedure.loader import load_procedures
from assistant.procedure.model import AskChoice, AskValue, AskYesNo, Judge, Look, Tell
from assistant.weld.reasons import REASONS

PROCEDURES = load_procedures(SHIPPED)
by_name = pytest.mark.parametrize("name", PROCEDURES)


def good(name):
    """Return what is said at each step of a shipped checklist when all is well."""
    asked = [step for step in PROCEDURES[name].steps if isinstance(step, AskYesNo | AskChoice)]
    return {**{step.id: wished(step) for step in asked}, **MILD_START, **GOOD_STRIP}


def leading_to(procedure, step):
    """Return what must be said before for a step to be asked at all."""
    if step.only_if is None:
        return {}
    before = procedure.steps[procedure.index(step.only_if[0])]
    answer = step.only_if[1]
    if isinstance(before, AskChoice):
        answer = next(choice.said[0] for choice in before.choices if choice.id == answer)
    return {before.id: answer, **leading_to(procedure, before)}


def waits_for_a_word(step):
    """Tell whether a step goes on only when somebody says something."""
    return not isinstance(step, Look) and (not isinstance(step, Tell) or step.until_done)


@by_name
@pytest.mark.parametrize("detail", Detail)
def test_a_shipped_checklist_is_walked_to_its_end(name, detail):
    """With good answers each shipped checklist ends, with each question answered once."""
    talk = walk(Talk(PROCEDURES[name], Settings(detail=detail)), good(name))
    asked = [
        step.id
        for step in PROCEDURES[name].steps
        if isinstance(step, AskYesNo | AskChoice | AskValue)
        and (step.only_if is None or good(name).get(step.only_if[0]) == step.only_if[1])
    ]

    assert talk.finished
    assert talk.finished.ended
    assert [line.fields["step"] for line in talk.of("answered")] == asked
    assert talk.of("not-heard") == []
    assert all(line.fields["outcome"] == "pass" for line in talk.of("judged"))


@by_name
def test_every_no_of_a_shipped_checklist_leads_somewhere(name):
    """Each question answered the other way first is mended, asked again, and the run still ends."""
    answers = good(name)
    for step in PROCEDURES[name].steps:
        if isinstance(step, AskYesNo):
            wrong = "no" if step.hoped else "yes"
            other = {**answers, step.id: [wrong, answers[step.id]], "solid": "inch and an eighth"}
            other.update(leading_to(PROCEDURES[name], step))
            talk = walk(Talk(PROCEDURES[name]), other)
            answered = [
                line.fields["answer"]
                for line in talk.of("answered")
                if line.fields["step"] == step.id
            ]

            assert talk.finished
            assert answered[0] == wrong
            assert step.otherwise.say in " ".join(talk.said)


@by_name
def test_silence_walks_no_checklist(name):
    """Hours of silence bring nothing past the first step that needs a word."""
    talk = Talk(PROCEDURES[name])
    at, answers = talk.at, talk.answers()
    for _ in range(50):
        if talk.finished:
            break
        talk.quiet()

    first = next(
        (step for step in PROCEDURES[name].steps if waits_for_a_word(step)),
        None,
    )
    assert at == (first.id if first else None)
    assert talk.at == at
    assert talk.answers() == answers


def test_a_failed_strip_of_the_finish_weld_is_made_again():
    """A narrow strip fails, says what to change, goes back to the dial, and the next one passes."""
    answers = {**good("finish-weld"), "width": ["three quarters", "inch and a quarter"]}
    talk = walk(Talk(PROCEDURES["finish-weld"]), answers)
    judge = next(step for step in PROCEDURES["finish-weld"].steps if isinstance(step, Judge))

    assert [line.fields["outcome"] for line in talk.of("judged")] == ["fail", "pass"]
    assert judge.on_fail_say in talk.said
    assert [line.fields["step"] for line in talk.of("answered")].count("seam") == 1


@by_name
def test_whatever_a_checklist_can_say_can_be_spoken(name):
    """Nothing with a figure or a sign is ever given to the voice."""
    ahead = sentences(PROCEDURES[name])

    assert len(set(ahead)) == len(ahead)
    for text in ahead:
        assert speakable(text)
    for step in PROCEDURES[name].steps:
        if isinstance(step, AskChoice):
            assert speakable(numbered_choices(step.choices))


def test_fixed_sentences_are_rendered_ahead():
    """All that is said as it stands is in the list for the voice, the reasons of a verdict too."""
    ahead = set(sentences(procedure()))

    assert {*lines.fixed(), *REASONS} <= ahead
    assert {"Clean it.", "Set it anew, and weld again.", "How wide?"} <= ahead


def test_the_word_that_goes_on_is_told_the_first_time():
    """Ready and done are cued once each in a run; after that they are known."""
    talk = walk(Talk(procedure()), GOOD_STRIP)
    said = " ".join(talk.said)

    assert said.count(lines.CUE_READY) == 1
    assert said.count(lines.CUE_DONE) == 1
    assert f"Set the dial. {lines.CUE_DONE}" in talk.said


def test_an_apprentice_hears_the_limits_of_a_pass_and_brief_hears_no_cue():
    """What is known already is left out, setting by setting; the width is in each verdict."""
    said = {}
    for detail in Detail:
        talk = walk(Talk(procedure(), Settings(detail=detail)), GOOD_STRIP)
        said[detail] = " ".join(talk.said)
        assert f"{lines.PASSED} " in said[detail]
        assert said[detail].count("One and one quarter inches") >= 2

    limits = "Allowed is one inch to one and one half inches."
    assert [limits in said[each] for each in Detail] == [True, False, False]
    assert [lines.CUE_DONE in said[each] for each in Detail] == [True, True, False]
    assert len(said[Detail.APPRENTICE]) > len(said[Detail.STANDARD]) > len(said[Detail.BRIEF])


def test_the_word_that_goes_on_is_known_after_the_first_run_of_a_shift():
    """In the next run of the same shift nobody is told again to say ready or done."""
    first = walk(Talk(procedure()), GOOD_STRIP)
    today = first.state.today
    cues = {}
    for detail in (Detail.STANDARD, Detail.APPRENTICE):
        talk = walk(Talk(procedure(), Settings(detail=detail), today=today), GOOD_STRIP)
        cues[detail] = lines.CUE_DONE in " ".join(talk.said)

    assert cues == {Detail.STANDARD: False, Detail.APPRENTICE: True}


def test_nothing_says_that_it_is_safe():
    """Lapcall reminds and records: no sentence of its own says that a roof or a person is safe."""
    said = [text for name in PROCEDURES for text in sentences(PROCEDURES[name])]

    assert not [text for text in said if "safe" in text.lower()]
