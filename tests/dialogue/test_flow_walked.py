"""Each construct of a flow: what happens, what is said, and what the record holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timezone
from fractions import Fraction

import pytest
from support.seam import CLEAN, DIAL, FAILURE, GOOD_STRIP, GUN, LAST, MARKS, SEAM, VERDICT, WIDTH
from support.seam import procedure as made
from support.talk import Line, Talk, walk

from assistant import places
from assistant.dialogue import progress
from assistant.dialogue.clock_time import seconds_until
from assistant.dialogue.events import ReminderDue, StartClock, StartReminders, StopClock
from assistant.dialogue.prompts import sentences
from assistant.dialogue.state import Phase, Settings
from assistant.dialogue.today import Today
from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Cap,
    Choice,
    Judge,
    Look,
    Otherwise,
    Remind,
    Tell,
    Wait,
)
from assistant.procedure.testing_rules import load_rules

AT_NOON = datetime(2026, 11, 25, 12, 0, tzinfo=timezone.utc)
FOREMAN = Tell("foreman", 20, "Call the foreman.", until_done=True)
BAD = {**GOOD_STRIP, "failure": "clean peel"}


def judged(then: str, times: int = 2) -> Judge:
    """Return a judge step that gives up after so many fails."""
    return replace(VERDICT, solid="", cap=Cap(times, then, "Two strips failed."))


def failing(then: str) -> Talk:
    """Return a walk in which every strip fails."""
    steps = (DIAL, FAILURE, WIDTH, MARKS, judged(then), LAST, FOREMAN)
    return walk(Talk(made(*steps)), BAD, to="last" if then == "go-on" else "foreman")


@pytest.mark.parametrize(
    ("then", "stands", "ended"),
    [("go-on", "last", None), ("foreman", "foreman", None), ("end", None, True),
     ("stop", "dial", False)],
)  # fmt: skip
def test_a_loop_has_its_way_out(then, stands, ended):
    """At the second fail the way out is taken, with its own words; the verdict stays a fail."""
    talk = failing(then)
    assert [line.fields["outcome"] for line in talk.of("judged")] == ["fail", "fail"]
    assert talk.said.count(VERDICT.on_fail_say) == 1
    assert talk.said.count("Two strips failed.") == 1
    assert (talk.finished and talk.finished.ended) == ended

    assert talk.at == stands


def test_a_stop_of_a_cap_is_in_the_record():
    """Nobody said stop: the line says that it was tried often enough."""
    last = failing("stop").lines[-1]

    assert (last.kind, last.fields["said"], last.fields["because"]) == ("stopped", None, "at-most")


def test_a_loop_that_stopped_begins_anew():
    """Once the foreman has decided, the run is resumed with the whole count before it."""
    talk = failing("stop")
    again = walk(Talk(talk.procedure, lines=talk.lines), BAD)

    assert len(again.of("judged")) == 4
    assert again.lines[-1].fields["because"] == "at-most"


def test_a_pass_needs_no_way_out():
    """A strip that passes at the second try goes on as if nothing had been."""
    steps = (DIAL, FAILURE, WIDTH, MARKS, judged("stop", times=3), LAST)
    answers = {**GOOD_STRIP, "failure": ["clean peel", "film tearing"]}
    talk = walk(Talk(made(*steps)), answers, to="last")

    assert [line.fields["outcome"] for line in talk.of("judged")] == ["fail", "pass"]


def test_taking_back_takes_the_count_back():
    """A turn of a loop that was taken back is none, and those before it still are."""
    instead = Otherwise("Clean it.", "dial", Cap(3, "end", "Enough."))
    talk = Talk(made(DIAL, replace(CLEAN, otherwise=instead)))
    talk.hear("ready", "no", "ready", "no").hear("scratch that")
    assert talk.at == "clean"
    talk.hear("no")
    assert talk.at == "dial"

    assert talk.hear("ready", "no").finished.ended


def test_two_loops_do_not_keep_each_other_alive():
    """A loop that overlaps another ends as well: going back resets only what lies between."""
    first = Tell("first", 1, "First.", until_done=True)
    second = Tell("second", 2, "Second.", until_done=True)
    inner = AskYesNo(
        "inner", 3, "Is it in?", otherwise=Otherwise("No.", "first", Cap(2, "end", "A."))
    )
    outer = AskYesNo(
        "outer", 4, "Is it out?", otherwise=Otherwise("No.", "second", Cap(3, "end", "B."))
    )
    run = made(first, second, inner, outer)
    at, seq = progress.begin(run), 0
    answers = {"inner": iter(["yes", "no"] * 30), "outer": iter(["no"] * 30)}
    for _ in range(40):
        if at.at == len(run.steps):
            break
        step, seq = run.steps[at.at], seq + 1
        if isinstance(step, Tell):
            at = progress.after(run, at, "done", {"step": step.id, "act": "tell"}, seq)
        else:
            said = next(answers[step.id])
            at = progress.after(run, at, "answered", {"step": step.id, "answer": said}, seq)

    assert at.at == len(run.steps)


WOOD = AskChoice(
    "wood", 5, "Which wood?",
    choices=(Choice("oak", ("oak",)), Choice("birch", ("birch",)), Choice("cherry", ("cherry",))),
    hoped=("oak",), otherwise=Otherwise("Fetch oak.", "again"),
)  # fmt: skip
VOLTS = AskValue(
    "volts", 6, "How many volts?", unit="V", quantity="volts", called="voltage",
    plausible_from=Fraction(80), plausible_to=Fraction(280), hoped_from=Fraction(108),
    otherwise=Otherwise("Use a thicker cord.", "go-on"),
)  # fmt: skip


def test_a_choice_may_be_hoped_for():
    """Another answer says what to do, and asks again once that is done."""
    talk = Talk(made(WOOD, LAST)).hear("birch")
    assert talk.phase is Phase.MEND
    assert "Fetch oak." in talk.says

    assert talk.hear("ready", "oak").at == "last"


@pytest.mark.parametrize(
    ("said", "low"), [("one hundred five volts", True), ("one hundred eight volts", False)]
)
def test_a_value_may_be_hoped_for(said, low):
    """Outside the window it says what to do; a later step may ask for that; the end is inside."""
    more = replace(CLEAN, only_if=("volts", "outside"))
    talk = Talk(made(VOLTS, more, LAST)).hear(said, "yes")
    assert ("Use a thicker cord." in talk.says) == low

    assert talk.at == ("clean" if low else "last")


def test_any_of_some_answers_leads_to_a_step():
    """A condition may name several answers."""
    for said, at in [("oak", "last"), ("birch", "clean"), ("cherry", "clean")]:
        free = replace(WOOD, hoped=(), otherwise=None)
        run = made(free, replace(CLEAN, only_if=("wood", "birch", "cherry")), LAST)

        assert Talk(run).hear(said).at == at


def test_a_step_may_depend_on_a_verdict():
    """Behind a way out, what is only for a pass is left out."""
    only = replace(LAST, only_if=("verdict", "pass"))
    sorry = replace(FOREMAN, only_if=("verdict", "fail"))
    run = made(DIAL, FAILURE, WIDTH, MARKS, judged("go-on"), only, sorry)

    assert walk(Talk(run), BAD, to="foreman").at == "foreman"
    assert walk(Talk(run), GOOD_STRIP, to="last").at == "last"


@pytest.mark.parametrize(
    ("of", "found"), [("tests", "yes"), ("suspects", "no"), ("conditions", "no")]
)
def test_a_step_may_depend_on_a_look(of, found):
    """A look writes whether it found something, and the steps behind it go by that."""
    look = Look("look", 1, "", of=of)
    rules = load_rules(places.rules_file())
    run = made(look, replace(CLEAN, only_if=("look", "yes")), LAST)
    today = replace(Today().knowing(run), now=AT_NOON)
    talk = Talk(run, Settings(rules=rules), today=today)
    assert talk.of("done")[0].fields["answer"] == found
    assert talk.at == ("clean" if found == "yes" else "last")

    assert Talk(run, lines=talk.lines).at == talk.at


# ---- once a shift


def shift_of(*talks: Talk) -> Today:
    """Return the shift that these runs make."""
    today = Today()
    for talk in talks:
        today = today.knowing(talk.procedure)
        for line in talk.lines:
            today = today.after(line.kind, line.fields, line.seq)
    return today


ONCE = tuple(replace(step, once=True) for step in (GUN, CLEAN, SEAM))


def first_run(*said: str) -> Talk:
    """Return a run in which some of the steps were done."""
    return Talk(made(*ONCE, LAST)).hear("ready", *said)


def second_run(first: Talk, *steps) -> Talk:
    """Return another checklist of the same shift, begun."""
    other = replace(made(*(steps or ONCE), LAST), id="other", digest="2" * 64)
    return Talk(other, first_seq=len(first.lines), today=shift_of(first))


def test_what_was_done_this_shift_is_passed_over():
    """In another checklist too; the line names the earlier one, and its answer counts here."""
    talk = second_run(first_run("yes", "fourteen", "yes"))
    assert talk.at == "last"
    assert talk.answers() == {"clean": "yes", "seam": "14"}
    assert [line.fields["entry"] for line in talk.of("done")] == [1, 2, 3]

    assert Talk(talk.procedure, lines=talk.lines).answers() == talk.answers()


@pytest.mark.parametrize(
    ("said", "at"),
    [([], "clean"), (["no"], "clean"), (["no", "ready", "yes"], "seam"),
     (["yes", "scratch that"], "clean"), (["yes", "fourteen", "yes", "scratch that"], "seam")],
)  # fmt: skip
def test_only_what_counts_is_passed_over(said, at):
    """Neither what was not answered, nor what led to a mend, nor what was taken back."""
    assert second_run(first_run(*said)).at == at


def test_other_words_are_another_question():
    """The same id with other words is asked."""
    talk = second_run(first_run("yes"), replace(ONCE[1], say="Is the nozzle clean?"))

    assert talk.at == "clean"


def test_the_lines_alone_tell_what_was_done():
    """Also where the earlier checklist is not at hand, or was changed since."""
    first = first_run("yes", "fourteen", "yes")
    today = replace(shift_of(first), checklists=())
    other = replace(made(*ONCE, LAST), digest="3" * 64)

    assert Talk(other, first_seq=len(first.lines), today=today).at == "last"


def test_what_is_not_marked_is_asked_each_time():
    """Only a step that says so is passed over."""
    assert second_run(first_run("yes"), CLEAN).at == "clean"


# ---- the clock, and reminders


@pytest.mark.parametrize(
    ("clock", "left"),
    [
        ("12:00", 0),
        ("12:01", 60),
        ("13:30", 5400),
        ("11:59", 0),
        ("23:59", 43_140),
        ("00:30", 0),
    ],
)
def test_the_time_to_a_clock_time(clock, left):
    """The nearest such time counts: a little ago has passed, in the afternoon is to come."""
    assert seconds_until(clock, AT_NOON) == left


def test_over_midnight():
    """Before midnight, half past twelve is to come."""
    assert seconds_until("00:30", AT_NOON.replace(hour=23, minute=50, second=30)) == 2370


def at_noon(*steps) -> Talk:
    """Return a run that begins at noon."""
    run = made(*steps)
    return Talk(run, today=replace(Today().knowing(run), now=AT_NOON))


def test_it_waits_until_a_clock_time():
    """The clock runs to that time; when it has passed already, nobody waits."""
    until = Wait("until", 1, "Wait for the sun.", until="12:10")
    talk = at_noon(until, LAST)
    assert StartClock(600, ()) in talk.turn
    assert talk.time_up().at == "last"

    late = at_noon(replace(until, until="11:50"), LAST)
    assert late.at == "last"
    assert late.of("done")[0].fields["early"] is False


REMINDED = replace(LAST, remind=Remind(600, "Is it dry? Say done."))


def test_a_step_reminds_while_it_waits():
    """Reminders begin with the step, are spoken and write nothing, and end with it."""
    talk = Talk(made(REMINDED, CLEAN))
    assert StartReminders(600) in talk.turn
    talk.send(ReminderDue())
    assert (talk.says, talk.wrote, talk.phase) == ("Is it dry? Say done.", [], Phase.BUSY)
    talk.hear("ready")
    assert StopClock() in talk.turn

    assert talk.send(ReminderDue()).says == ""


@pytest.mark.parametrize("said", ["hold", "mark a void"])
def test_no_reminder_into_something_else(said):
    """On hold, and while something else is asked, a reminder passes in silence."""
    talk = Talk(made(SEAM, REMINDED)).hear("four", "yes", said).send(ReminderDue())

    assert talk.turn == ()


def test_a_reminder_wakes_nobody():
    """Asleep it is spoken, and Lapcall sleeps on."""
    talk = Talk(made(REMINDED)).quiet().send(ReminderDue())

    assert talk.says == "Is it dry? Say done."
    assert talk.state.asleep


def test_going_back_ends_the_reminders():
    """A step that is left by going back reminds no more."""
    talk = Talk(made(CLEAN, REMINDED)).hear("yes").hear("go back")

    assert StopClock() in talk.turn
    assert talk.reminds_s is None


def test_all_of_it_is_rendered_ahead():
    """Nobody waits for the voice at a way out or a reminder."""
    said = set(sentences(made(REMINDED, WOOD, judged("end"))))

    assert {"Is it dry? Say done.", "Fetch oak.", "Two strips failed."} <= said


def test_an_older_line_of_a_look_still_folds():
    """A record from before looks had an answer leads to the same place."""
    run = made(Look("look", 1, ""), replace(CLEAN, only_if=("look", "yes")), LAST)
    lines = [Line("began", {}, 0), Line("done", {"step": "look", "act": "look"}, 1)]

    assert Talk(run, lines=lines).at == "last"
