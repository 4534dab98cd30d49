from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone

import pytest
from support.seam import ALL_STEPS, GOOD_STRIP, VERDICT, procedure
from support.talk import Talk, walk

from assistant.dialogue import lines, telling
from assistant.dialogue.state import Phase, Settings, Trust
from assistant.dialogue.today import Today
from assistant.procedure.model import Judge

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=timezone(timedelta(hours=-5)))
WITH_HEAT = procedure(
    *(replace(step, heat="marks") if isinstance(step, Judge) else step for step in ALL_STEPS)
)
NARROW = {**GOOD_STRIP, "width": "seven eighths"}
HEDGED = {**GOOD_STRIP, "width": "inch and a quarter strong"}
CHANGE = "change the last test"


def after_a_test(strip=GOOD_STRIP, to="last", **how) -> Talk:
    """Return a talk in which a strip was judged; it waits at the step behind it."""
    talk = Talk(WITH_HEAT, **how)
    talk.now = NOON
    return walk(talk, strip, to=to)


def failed() -> Talk:
    """Return a talk in which a strip failed; it waits at the step that it went back to."""
    talk = after_a_test(NARROW, to="marks")
    talk.hear("none")
    assert talk.at == "dial"
    return talk


# ---- telling


def test_before_any_test():
    """Each question is answered in words, and nothing begins."""
    talk = Talk(procedure())

    assert talk.hear("how many today").says == lines.NO_TEST_YET
    assert talk.hear("read the last test").says == lines.NO_TEST_YET
    assert talk.hear(CHANGE).says == lines.NO_TEST_YET
    assert talk.state.asides == ()


def test_the_last_test_is_read():
    """Its seam, when it was, the width as it was said, how it failed, and the verdict."""
    talk = after_a_test(HEDGED)
    talk.now = NOON + timedelta(minutes=9, seconds=50)

    assert talk.hear("read the last test").says == (
        "Test of seam fourteen, nine minutes ago. Inch and a quarter strong. Film tearing. Pass."
    )


@pytest.mark.parametrize(
    ("later", "told"),
    [
        (timedelta(seconds=59), "just now"),
        (timedelta(minutes=1), "one minute ago"),
        (timedelta(hours=1), "one hour ago"),
        (timedelta(hours=2, minutes=31), "two hours and thirty one minutes ago"),
    ],
)
def test_how_long_ago(later, told):
    """Time is told in hours and minutes, in words."""
    talk = after_a_test()
    talk.now = NOON + later

    assert f", {told}." in talk.hear("read the last test").says


def test_a_clock_set_back_says_no_time():
    """What would be in the future is not told as past."""
    talk = after_a_test()
    talk.now = NOON - timedelta(minutes=5)

    assert talk.hear("read the last test").says.startswith("Test of seam fourteen. ")


def test_tests_are_counted():
    """Passed and failed, over all runs of the day; another day's are left out."""
    first = failed()
    assert first.hear("how many today").says == "One test today. One failed."
    walk(first, GOOD_STRIP)
    assert telling.how_many(first.state.today, NOON) == "Two tests today. One passed, one failed."
    second = after_a_test(first_seq=len(first.lines), today=first.state.today)

    assert second.hear("how many today").says == "Three tests today. Two passed, one failed."
    assert telling.how_many(second.state.today, NOON + timedelta(days=1)) == lines.NO_TEST_YET


def test_a_test_without_a_verdict_is_counted_as_that():
    """It passed nothing and failed nothing."""
    talk = walk(Talk(WITH_HEAT), GOOD_STRIP, to="width")
    talk.hear("no", *["mumble"] * 3)
    for _ in range(20):
        if talk.at == "whole":
            break
        talk.hear("carry on" if talk.phase is Phase.HOLD else "mumble")
    talk.hear("yes", "none", "how many today")

    assert talk.says == "One test today. One without a verdict."


def test_a_verdict_that_was_taken_back_is_no_test():
    """Going back past it takes it from the count."""
    talk = after_a_test().hear("go back", "how many today")

    assert talk.says == lines.NO_TEST_YET


# ---- changing


@pytest.mark.parametrize(
    ("said", "step", "answer", "outcome"),
    [
        (["how wide it was", "inch and three eighths", "yes"], "width", "11/8", "pass"),
        (["how wide it was", "inch and a half", "yes"], "width", "3/2", "pass at limit"),
        (["number one", "thirty two millimeters", "yes"], "width", "32", "pass"),
        (["how wide it was", "inch", "no", "inch and an eighth", "yes"], "width", "9/8", "pass"),
        (["how wide it was", "inch", "no inch and an eighth", "yes"], "width", "9/8", "pass"),
        (
            ["how wide it was", "mumble", "mumble", "one decimal one", "yes"],
            "width",
            "11/10",
            "pass",
        ),
        (["how wide it was", "inch and a half", "what", "yes"], "width", "3/2", "pass at limit"),
        (
            ["how wide it was", "six inches", "inch and a half", "yes"],
            "width",
            "3/2",
            "pass at limit",
        ),
        (
            ["how wide it was", "inch shy", "inch and a half", "yes"],
            "width",
            "3/2",
            "pass at limit",
        ),
        (["how it failed", "tore the sheet", "yes"], "failure", "film-tearing", "pass"),
        (["heat marks", "none", "yes"], "marks", "none", "pass"),
    ],
    ids=lambda what: " | ".join(what) if isinstance(what, list) else None,
)
def test_a_value_is_changed_after_a_yes(said, step, answer, outcome):
    """A correction that names the old answer, a verdict that names the old one, and no step."""
    talk = after_a_test()
    old = {line.fields["step"]: line.seq for line in talk.of("answered")}
    before, count = talk.state, len(talk.lines)
    talk.hear(CHANGE, *said)

    corrected, judged = talk.lines[count:]
    assert (corrected.kind, judged.kind) == ("corrected", "judged")
    assert corrected.fields["judged"] == talk.of("judged")[0].seq
    assert corrected.fields["entry"] == old[step]
    assert (corrected.fields["step"], corrected.fields["answer"]) == (step, answer)
    assert corrected.fields["confirmed_by"] == "yes"
    assert judged.fields["corrects"] == judged.fields["first"] == talk.of("judged")[0].seq
    assert (judged.fields["was"], judged.fields["outcome"]) == ("pass", outcome)
    assert corrected.seq in judged.fields["from"]
    assert old[step] not in judged.fields["from"]
    assert talk.says.startswith(lines.CHANGED)
    assert talk.state.progress.at == before.progress.at
    assert talk.phase is before.phase
    assert len(talk.state.today.tests()) == 1
    assert talk.state.today.tests()[0].outcome == outcome


@pytest.mark.parametrize(
    "said",
    [
        ["scratch that"],
        ["go back"],
        ["how wide it was", "scratch that"],
        ["how wide it was", "inch", "scratch that"],
        ["how wide it was", "inch", "mumble", "mumble", "mumble", "mumble", "mumble", "mumble"],
        ["how wide it was", "mumble", "mumble", "mumble", "mumble"],
        ["mumble", "mumble", "mumble", "mumble"],
        ["how wide it was", "inch", "...", "..."],
        ["...", "..."],
    ],
    ids=" | ".join,
)
def test_without_a_yes_nothing_is_changed(said):
    """Silence, mumbling and second thoughts leave record and run as they were."""
    talk = after_a_test()
    before, count = talk.state, len(talk.lines)
    talk.hear(CHANGE)
    for each in said:
        if each == "...":
            talk.quiet()
        elif talk.state.asides:
            talk.hear(each)

    assert len(talk.lines) == count
    assert talk.state.asides == ()
    assert replace(talk.state, last_heard=before.last_heard, helped=before.helped) == before


def test_a_value_that_is_not_sure_is_asked_for_again():
    """A new value needs the trust that the old one needed."""
    talk = after_a_test(settings=Settings(trust=Trust(0.7, 0.97)))
    talk.hear(CHANGE, "how wide it was").hear("inch and a half", confidence=0.8)
    assert lines.NOT_SURE in talk.says
    talk.hear("inch and a half", "yes")

    assert talk.of("corrected")[0].fields["said"] == "inch and a half"


@pytest.mark.parametrize(
    "change", [["how wide it was", "seven eighths"], ["how it failed", "let go"]]
)
def test_a_pass_that_is_none_any_more_needs_a_new_test(change):
    """The run under way goes back as after any fail, and does not weld on."""
    talk = after_a_test().hear(CHANGE, *change, "yes")

    assert talk.of("judged")[-1].fields["outcome"] == "fail"
    assert talk.at == "dial"
    assert VERDICT.on_fail_say in talk.says
    assert "width" not in talk.answers()
    again = Talk(WITH_HEAT, lines=talk.lines)
    assert again.state.progress == talk.state.progress
    walk(talk, GOOD_STRIP)

    assert [test.outcome for test in talk.state.today.tests()] == ["fail", "pass"]


def test_going_back_from_there_does_not_skip_the_new_test():
    """Back is before the verdict: the strip is judged again from its corrected width."""
    talk = after_a_test().hear(CHANGE, "how wide it was", "seven eighths", "yes", "go back")
    assert talk.at == "marks"
    talk.hear("none")

    assert talk.of("judged")[-1].fields["width"] == "7/8"
    assert talk.of("judged")[-1].fields["outcome"] == "fail"


def test_a_fail_that_was_none_moves_nothing_on():
    """The record tells that it passed; the run stays where it is, and tests again."""
    talk = failed().hear(CHANGE, "how wide it was", "inch and a quarter", "yes")

    assert talk.of("judged")[-1].fields["outcome"] == "pass"
    assert talk.at == "dial"
    assert talk.phase is Phase.BUSY


def test_a_width_that_was_changed_is_judged_no_more():
    """Going back behind the correction, the old width does not come back to life."""
    talk = after_a_test().hear(
        CHANGE, "how wide it was", "inch and three eighths", "yes", "go back", "none"
    )

    assert talk.of("judged")[-1].fields["width"] == "11/8"


def test_a_test_is_changed_twice():
    """The second correction names the first one, and one test is left."""
    talk = after_a_test().hear(CHANGE, "how wide it was", "inch and three eighths", "yes")
    talk.hear(CHANGE, "how wide it was", "inch and a half", "yes")

    first, second = talk.of("corrected")
    assert second.fields["entry"] == first.seq
    assert talk.of("judged")[-1].fields["first"] == talk.of("judged")[0].seq
    assert [test.outcome for test in talk.state.today.tests()] == ["pass at limit"]
    assert "It was corrected." in talk.hear("read the last test").says


def test_a_test_that_is_taken_back_takes_its_corrections_along():
    """Where the verdict itself no longer counts, neither does what was made of it."""
    talk = after_a_test().hear(
        CHANGE, "how wide it was", "inch and three eighths", "yes", "go back"
    )

    assert talk.state.today.tests() == ()


def test_the_test_of_an_earlier_run_is_changed():
    """Its checklist is at hand; the run under way is not moved, even by a fail."""
    first = walk(after_a_test(), GOOD_STRIP)
    other = replace(procedure(), id="other", digest="1" * 64, title="Other")
    today = first.state.today.knowing(WITH_HEAT)
    talk = walk(Talk(other, first_seq=len(first.lines), today=today), GOOD_STRIP, to="dial")
    talk.hear(CHANGE, "how wide it was", "seven eighths", "yes")

    assert lines.NO_LONGER_PASSES in talk.says
    assert talk.at == "dial"
    assert talk.of("judged")[-1].fields["outcome"] == "fail"
    again = Talk(other, lines=talk.lines)
    assert again.state.progress == talk.state.progress


def test_without_its_checklist_a_test_is_not_changed():
    """Nothing is asked that could not be judged."""
    first = walk(after_a_test(), GOOD_STRIP)
    known = replace(first.state.today, checklists=())
    other = replace(procedure(), id="other", digest="1" * 64)
    talk = Talk(other, first_seq=len(first.lines), today=known).hear(CHANGE)

    assert talk.says == lines.NO_CHANGE_HERE
    assert talk.state.asides == ()


def test_a_mark_in_a_change():
    """A mark lies on top of the change, which then goes on."""
    talk = after_a_test().hear(CHANGE, "how wide it was", "mark a void at nine feet", "yes")
    assert talk.says.endswith("How wide?")
    talk.hear("inch and three eighths", "mark a void at ten feet", "yes")
    assert "One and three eighths inches." in talk.says
    talk.hear("yes")

    assert len(talk.of("mark")) == 2
    assert talk.of("corrected")[0].fields["answer"] == "11/8"
    assert talk.state.asides == ()


def test_a_change_in_the_middle_of_an_answer():
    """A value that waits for its yes still waits for it after the change."""
    talk = after_a_test()
    walked = walk(
        Talk(WITH_HEAT, first_seq=len(talk.lines), today=talk.state.today), GOOD_STRIP, to="width"
    ).hear("inch and a half")
    pending = walked.state.pending
    walked.hear(CHANGE, "how wide it was", "inch and three eighths", "yes")

    assert walked.state.pending == pending
    assert walked.phase is Phase.CONFIRM
    assert walked.says.endswith(pending.read_back)


def test_the_shift_is_the_same_after_a_crash():
    """Whoever folds the lines again knows the same tests and the same seam."""
    talk = failed().hear(CHANGE, "how wide it was", "inch and a quarter", "yes", "it is raining")
    again = Today().knowing(WITH_HEAT)
    for line in talk.lines:
        again = again.after(line.kind, line.fields, line.seq)

    def told(today: Today) -> list[object]:
        return [(test.judged.seq, test.outcome, test.seam, test.answers) for test in today.tests()]

    assert told(again) == told(talk.state.today)
    assert again.seam() == talk.state.today.seam()
