from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.checklists import SHIPPED
from support.sayings import phrases
from support.seam import GOOD_STRIP, MILD_START, SEAM, WIDTH, procedure
from support.talk import Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.prompts import grammar_for
from assistant.dialogue.state import Detail, Phase, Settings, Trust
from assistant.procedure.loader import load_procedures
from assistant.record import kinds
from assistant.words.meaning import YesNo
from assistant.words.understand import understand

APPRENTICE, STANDARD, BRIEF = Detail.APPRENTICE, Detail.STANDARD, Detail.BRIEF
FREE, JUDGED = procedure(WIDTH), procedure()
by_detail = pytest.mark.parametrize("detail", Detail)


def asked(detail, run=FREE, to="width"):
    """Return a talk that has just asked for a value."""
    return walk(Talk(run, Settings(detail=detail)), GOOD_STRIP, to=to)


@pytest.mark.parametrize(
    ("run", "detail", "said", "read_back"),
    [
        # The verdict hangs on it (limits 1 in to 1 1/2 in): a lost "one and", or near a limit.
        (JUDGED, STANDARD, "inch and a quarter", "One and one quarter inches. One point two five."),
        (JUDGED, BRIEF, "inch and a quarter", "One and one quarter inches. One point two five."),
        (JUDGED, BRIEF, "an inch", "One inch. One point zero."),
        (
            JUDGED,
            BRIEF,
            "half an inch",
            "One half of an inch. Zero point five. Less than one inch.",
        ),
        # Far outside, and nothing that sounds like it lies inside.
        (JUDGED, STANDARD, "two inches", "Two inches."),
        (JUDGED, APPRENTICE, "two inches", "Two inches. Two point zero."),
        # No verdict rests on it: one form, the one that nothing sounds like.
        (FREE, STANDARD, "inch and a quarter", "One and one quarter inches."),
        (FREE, BRIEF, "thirteen sixteenths", "One three over one six."),
        (FREE, APPRENTICE, "inch and a quarter", "One and one quarter inches. One point two five."),
    ],
)
def test_the_form_follows_what_hangs_on_the_value(run, detail, said, read_back):
    """Two forms where the verdict hangs on a value or an apprentice listens, else one."""
    talk = asked(detail, run).hear(said)

    assert talk.says.startswith(read_back)
    assert talk.says.removeprefix(read_back) in (
        f" {lines.IS_THAT_RIGHT}",
        f" {lines.RIGHT}",
    )


@pytest.mark.parametrize(
    ("detail", "question"),
    [(APPRENTICE, lines.IS_THAT_RIGHT), (STANDARD, lines.IS_THAT_RIGHT), (BRIEF, lines.RIGHT)],
)
def test_each_setting_asks(detail, question):
    """Brief asks in one word, but asks."""
    talk = asked(detail).hear("inch and a quarter")

    assert talk.says.endswith(question)
    assert talk.phase is Phase.CONFIRM


@by_detail
def test_the_same_value_again_is_no_yes(detail):
    """An ear that errs may err alike twice: it is read back again, and told what would count."""
    talk = asked(detail).hear("inch and a quarter", "inch and a quarter", "inch and one fourth")

    assert talk.of(kinds.ANSWERED) == []
    assert talk.says.endswith(lines.YES_OR_NO)
    assert talk.hear("yes").answers() == {"width": "5/4"}


@by_detail
def test_another_value_replaces_the_one_that_waits(detail):
    """The yes then is for the other one."""
    talk = asked(detail).hear("inch and a quarter", "inch and a half")
    assert talk.of(kinds.ANSWERED) == []

    assert talk.hear("yes").answers() == {"width": "3/2"}


@by_detail
@pytest.mark.parametrize("run", [procedure(WIDTH), procedure(SEAM)], ids=["width", "seam"])
def test_no_setting_takes_silence_for_a_yes(detail, run):
    """However long nobody speaks, in no setting does a value count."""
    talk = Talk(run, Settings(detail=detail)).hear("an inch" if run.steps[0] is WIDTH else "nine")
    for _ in range(5):
        talk.quiet()

    assert talk.of(kinds.ANSWERED) == []


RUNS = [FREE, procedure(SEAM), JUDGED, *load_procedures(SHIPPED).values()]


@settings(max_examples=150, deadline=None)
@given(data=st.data(), run=st.sampled_from(RUNS), detail=st.sampled_from(Detail))
def test_no_setting_logs_a_value_without_a_yes(data, run, detail):
    """In every setting a value line follows a yes, sure enough, to the read-back of that value."""
    trust = Trust(answer=0.5, value=0.7)
    values = [step.id for step in run.steps if getattr(step, "unit", None)]
    begin = Talk(run, Settings(detail=detail, trust=trust))
    good = {**GOOD_STRIP, **MILD_START, "heat-marks": "none", "solid": "an inch"}
    to = data.draw(st.sampled_from(values)) if values else None
    skipped = to == "solid"
    talk = walk(begin, {**good, "whole": "no"} if skipped else good, to=to) if to else begin
    for _ in range(data.draw(st.integers(1, 12))):
        if talk.finished:
            break
        before, count = talk.state, len(talk.lines)
        text = data.draw(st.one_of(phrases(grammar_for(before)), st.sampled_from(["", "[unk]"])))
        sure = data.draw(st.sampled_from([1.0, 0.8, 0.6, 0.2]))
        if data.draw(st.integers(0, 4)) == 0:
            text = ""
            talk.quiet()
        else:
            talk.hear(text, confidence=sure)
        for line in talk.lines[count:]:
            if line.kind == kinds.ANSWERED and line.fields["act"] == "value":
                assert understand(text, grammar_for(before)) == YesNo(yes=True)
                assert sure >= trust.answer
                assert before.pending is not None
                assert before.pending.confidence >= trust.value
                assert before.pending.read_back in talk.said
                assert line.fields["answer"] == str(before.pending.reading.measure.value)


def test_limits_of_another_job_move_the_two_forms():
    """Where a job's limits lie elsewhere, other values are near them."""
    judge = JUDGED.steps[-2]
    moved = replace(
        judge.limits, least_in=judge.limits.least_in * 2, most_in=judge.limits.most_in * 2
    )
    steps = [replace(s, limits=moved) if s is judge else s for s in JUDGED.steps]
    talk = asked(STANDARD, procedure(*steps)).hear("two inches")

    assert talk.says.startswith("Two inches. Two point zero.")


SURE_YES = Settings(trust=Trust(answer=0.5, value=0.7, yes=0.9))
QUARTER, HALF = "One and one quarter inches.", "One and one half inches."
READ = f"{QUARTER} {lines.IS_THAT_RIGHT}"


@pytest.mark.parametrize(
    ("text", "confidence", "says", "tone", "counts"),
    [
        ("yes", 0.9, None, "heard", "5/4"),
        # A yes that is not sure enough: read back once more, nothing counts.
        ("yes", 0.89, READ, "not understood", None),
        ("that is right", 0.6, READ, "not understood", None),
        # A no need not be so sure: to drop a value can never log a wrong one.
        ("no", 0.5, lines.SAY_AGAIN, "heard", None),
        ("wrong", 0.89, lines.SAY_AGAIN, "heard", None),
        ("no", 0.49, READ, "not understood", None),
        # The value again, and another one.
        ("inch and a quarter", 0.7, f"{QUARTER} {lines.YES_OR_NO}", "heard", None),
        ("no inch and a quarter", 0.7, f"{QUARTER} {lines.YES_OR_NO}", "heard", None),
        ("inch and a quarter", 0.69, READ, "not understood", None),
        ("inch and a half", 0.7, f"{HALF} {lines.IS_THAT_RIGHT}", "heard", None),
        ("no inch and a half", 0.95, f"{HALF} {lines.IS_THAT_RIGHT}", "heard", None),
        ("[unk]", 1.0, READ, "not understood", None),
        ("", 1.0, READ, "not understood", None),
    ],
)
def test_what_becomes_of_a_read_back(text, confidence, says, tone, counts):
    """One table: what is heard behind a read-back, how surely, and what it leads to."""
    talk = Talk(FREE, SURE_YES).hear("inch and a quarter", confidence=0.9)
    talk.hear(text, confidence=confidence)

    assert talk.tones[0] == tone
    assert says is None or talk.says == says
    assert talk.answers() == ({"width": counts} if counts else {})


def test_the_same_again_after_a_doubtful_yes_still_needs_a_yes():
    """A doubtful yes, the value again and a doubtful yes add up to nothing."""
    talk = Talk(FREE, SURE_YES).hear("inch and a quarter", confidence=0.9)
    talk.hear("yes", confidence=0.8).hear("inch and a quarter", confidence=0.9)
    talk.hear("yes", confidence=0.8)

    assert talk.of(kinds.ANSWERED) == []


def test_a_yes_that_stays_in_doubt_does_not_cost_the_value_at_once():
    """It is read back three times, with words heard better, before it is asked for anew."""
    talk = Talk(FREE, SURE_YES).hear("inch and a quarter", confidence=0.9)
    says = [talk.hear("yes", confidence=0.8).says for _ in range(4)]
    better = f"{READ} {lines.SECOND_YES_NO}"

    assert says == [READ, better, better, lines.NOT_SURE]
    assert talk.phase is Phase.ANSWER
    assert talk.hear("an inch", confidence=0.9).hear("yes", confidence=0.9).answers() == {
        "width": "1"
    }


def test_chatter_between_doubtful_yeses_still_ends_the_read_back():
    """Only a yes is worth waiting for: what is no word of ours, twice, gives the value up."""
    talk = Talk(FREE, SURE_YES).hear("inch and a quarter", confidence=0.9)
    talk.hear("yes", confidence=0.8).hear("[unk]")

    assert talk.phase is Phase.ANSWER
    assert talk.state.pending is None
