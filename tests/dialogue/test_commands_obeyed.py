from __future__ import annotations

from dataclasses import replace

import pytest
from support.seam import ALL_STEPS, FAILURE, GOOD_STRIP, procedure
from support.talk import Talk, walk

from assistant.dialogue import events, lines
from assistant.dialogue.state import Phase
from assistant.procedure.model import Step
from assistant.words.commands import COMMANDS, phrases_of
from assistant.words.meaning import Chosen, Command, Done, YesNo
from assistant.words.understand import understand

MOMENTS: dict[str, tuple[str, tuple[str, ...]]] = {
    "caution": ("gun", ()),
    "count": ("seam", ()),
    "read-back of a count": ("seam", ("fourteen",)),
    "instruction": ("dial", ()),
    "yes or no": ("clean", ()),
    "mend": ("clean", ("no",)),
    "yes or no, second way": ("clean", ("[unk]", "[unk]")),
    "wait": ("cool", ()),
    "wait on hold": ("cool", ("hold",)),
    "choice": ("failure", ()),
    "choice, second way": ("failure", ("[unk]", "[unk]")),
    "width": ("width", ()),
    "width, second way": ("width", ("[unk]", "[unk]")),
    "read-back of a width": ("width", ("inch and a half",)),
    "read-back on hold": ("width", ("inch and a half", "hold")),
    "hold": ("failure", ("hold",)),
}
"""Each moment of a run: the step, and what is said there to come to it."""
ON_HOLD = [name for name in MOMENTS if "hold" in name]
UNHELD = [name for name in MOMENTS if "hold" not in name]
every_moment = pytest.mark.parametrize("moment", MOMENTS)
every_unheld = pytest.mark.parametrize("moment", UNHELD)


def at(moment):
    """Return a talk that has come to a moment."""
    step, then = MOMENTS[moment]
    talk = walk(Talk(procedure()), GOOD_STRIP, to=step).hear(*then)
    assert talk.at == step
    return talk


def test_every_phase_has_its_moment():
    """The moments below cover all that a conversation can wait for."""
    assert {at(moment).phase for moment in MOMENTS} == set(Phase) - {Phase.OVER}


@every_moment
@pytest.mark.parametrize("said", COMMANDS)
def test_a_command_always_leads_somewhere(moment, said):
    """Every command in every moment ends with an open ear or with the end."""
    talk = at(moment).hear(said)

    assert (talk.finished is not None) == (COMMANDS[said] is Command.STOP)
    assert talk.finished or talk.listening


@every_moment
@pytest.mark.parametrize("said", phrases_of(Command.STOP))
@pytest.mark.parametrize(
    "how", [{}, {"confidence": 0.0}, {"damaged": True}, {"confidence": 0.0, "damaged": True}]
)
def test_stop_always_works(moment, said, how):
    """Any word of trouble ends the script at once, however badly it was heard."""
    talk = at(moment).hear(said, **how)

    assert talk.wrote == ["stopped"]
    assert talk.lines[-1].fields["said"] == said
    assert talk.says == lines.STOPPED
    assert talk.finished == events.Finish(ended=False)
    assert talk.hear("yes").turn == ()


@every_unheld
@pytest.mark.parametrize(
    "said", ["say again", "why", "what did you hear", "where are we", "what can i say"]
)
def test_questions_to_lapcall_change_nothing(moment, said):
    """What is only asked is answered in words; place, phase, read-back and record stay."""
    talk = at(moment)
    before, lines_before = talk.state, len(talk.lines)
    talk.hear(said)

    assert talk.says
    assert replace(talk.state, helped=before.helped) == before
    assert len(talk.lines) == lines_before


@every_unheld
def test_say_again_repeats_what_is_waited_for(moment):
    """The last question, instruction or read-back is said word for word."""
    talk = at(moment)
    last = talk.says
    talk.hear("say again")

    assert talk.says
    assert last.endswith(talk.says)


@every_unheld
def test_why_tells_the_reason(moment):
    """The reason of the checklist is told where there is one, and else that there is none."""
    talk = at(moment)
    why = talk.state.step.why

    assert talk.hear("why").says == (why or lines.NO_WHY)


def test_what_did_you_hear_tells_the_last_answer():
    """The last understood answer is said in words; before any, that there was none."""
    talk = Talk(procedure())
    assert talk.hear("what did you hear").says == lines.HEARD_NOTHING
    talk.hear("ready", "fourteen", "what did you hear")
    assert talk.says == "I heard: fourteen."
    talk = at("read-back of a width").hear("what did you hear")
    assert talk.says == "I heard: one and one half inches."


def test_where_are_we_tells_the_place():
    """The place among the steps that are spoken, and what is to be done there."""
    talk = at("width").hear("where are we")

    assert talk.says == "Seam. Step nine of thirteen. How wide?"


@every_unheld
def test_what_can_i_say_tells_the_truth(moment):
    """Every command and answer that it offers is heard at that moment."""
    talk = at(moment)
    said = talk.hear("what can i say").says.lower()
    assert talk.listening
    grammar = talk.listening.grammar
    offered = [command.value for command in Command if f" {command.value}" in said]
    offered += [word for word in ("done", "yes", "no") if f" {word}," in said]

    choices = [choice.said[0] for choice in FAILURE.choices] if moment == "choice" else []
    offered += [phrase for phrase in choices if phrase in said]

    assert offered or "digit by digit" in said or "number one" in said
    assert len(offered) >= len(choices)
    for phrase in offered:
        assert isinstance(understand(phrase, grammar), Command | YesNo | Done | Chosen), phrase


@every_unheld
def test_hold_waits_for_carry_on_and_nothing_else(moment):
    """On hold only carry on and stop are heard; then all is as it was, read-back included."""
    talk = at(moment)
    before, waited_for = talk.state, talk.listening
    talk.hear("hold on")
    assert talk.wrote == ["held"]
    assert talk.lines[-1].fields["because"] == "asked"
    count = len(talk.lines)
    for said in (
        "yes",
        "no",
        "done",
        "inch",
        "go back",
        "scratch that",
        "why",
        "hold",
        "[unk]",
        "",
    ):
        talk.hear(said)
        assert talk.says == ""
    talk.quiet()
    assert talk.phase is Phase.HOLD
    assert len(talk.lines) == count
    talk.hear("carry on")

    assert talk.wrote == ["carried-on"]
    assert talk.says == (before.pending.read_back if before.pending else before.last_said)
    assert (talk.phase, talk.at) == (before.phase, before.step.id)
    assert talk.state.pending == before.pending
    assert talk.listening == waited_for


@pytest.mark.parametrize("moment", ON_HOLD)
def test_a_doubtful_carry_on_ends_no_hold(moment):
    """A damaged carry on is none."""
    assert at(moment).hear("carry on", damaged=True).phase is Phase.HOLD


@every_unheld
def test_carry_on_without_a_hold(moment):
    """It frees busy hands and ends a wait early; where an answer is due it says so."""
    talk = at(moment)
    step, phase = talk.at, talk.phase
    talk.hear("carry on")

    if phase in (Phase.BUSY, Phase.WAIT):
        assert talk.lines[-1].kind == "done"
        assert talk.lines[-1].fields["step"] == step
        assert talk.at != step
    elif phase is Phase.MEND:
        assert talk.phase is Phase.ANSWER
        assert talk.wrote == []
    else:
        assert talk.says.startswith(lines.NEED_ANSWER)
        assert (talk.at, talk.phase) == (step, phase)


# ---- waits


def test_a_wait_ends_by_its_clock():
    """The clock ends the wait; the record says that it was waited out."""
    talk = at("wait")
    assert talk.clock_s == 600
    talk.time_up()

    assert talk.says.startswith(lines.TIME_UP)
    done = talk.of("done")[-1].fields
    assert (done["act"], done["early"], done["said"]) == ("wait", False, None)
    assert talk.at == "failure"


def test_a_wait_ended_early_says_so_in_the_record():
    """Carry on ends a wait before its time, which is logged and told."""
    talk = at("wait").hear("carry on")

    assert events.StopClock() in talk.turn
    assert talk.clock_s is None
    assert lines.NO_CLOCK_ENDED in talk.says
    done = talk.of("done")[-1].fields
    assert (done["early"], done["said"]) == (True, "carry on")


def test_the_time_may_run_out_on_hold():
    """The end of a wait on hold is kept until carry on; the wait was not ended early."""
    talk = at("wait on hold").time_up()
    assert talk.says == ""
    assert talk.at == "cool"
    talk.hear("carry on")

    assert talk.says.startswith(lines.TIME_UP)
    assert talk.of("done")[-1].fields["early"] is False
    assert talk.at == "failure"


def test_a_wait_that_comes_again_is_waited_again():
    """That the time once ran out on hold is forgotten when the wait begins anew."""
    talk = at("wait on hold").time_up().hear("carry on", "go back", "hold", "carry on")

    assert (talk.at, talk.phase, talk.clock_s) == ("cool", Phase.WAIT, 600)


def test_a_hold_does_not_stop_the_clock():
    """After a hold that was shorter than the wait, the same clock still runs."""
    talk = at("wait on hold").hear("carry on")
    assert talk.phase is Phase.WAIT
    assert talk.clock_s == 600

    assert talk.time_up().at == "failure"


# ---- going back


@pytest.mark.parametrize(
    ("moment", "back_at", "kinds_taken_back"),
    [
        ("count", "gun", ["done"]),
        ("instruction", "seam", ["answered"]),
        ("yes or no", "dial", ["done"]),
        ("yes or no, second way", "dial", ["done"]),
        ("mend", "clean", ["answered"]),
        # The note and the look before it needed no word.
        ("wait", "loose", ["done", "done", "answered"]),
        ("choice", "cool", ["done"]),
        ("width", "failure", ["answered"]),
    ],
)
def test_go_back(moment, back_at, kinds_taken_back):
    """Going back returns to the last step that needed a word; its line is named as taken back."""
    talk = at(moment)
    by_seq = {line.seq: line.kind for line in talk.lines}
    talk.hear("go back")

    assert talk.at == back_at
    taken = [line.fields["entry"] for line in talk.of("taken-back")]
    assert [by_seq[seq] for seq in taken] == kinds_taken_back
    assert taken == sorted(taken, reverse=True)
    assert talk.says.startswith(lines.TAKEN_BACK)
    assert talk.state.step.say in talk.says


@pytest.mark.parametrize("said", ["go back", "scratch that"])
@pytest.mark.parametrize("moment", ["read-back of a count", "read-back of a width"])
def test_a_read_back_is_dropped_first(moment, said):
    """A value that does not count yet is only dropped: nothing was written to take back."""
    talk = at(moment)
    step, count = talk.at, len(talk.lines)
    talk.hear(said)

    assert (talk.at, talk.phase) == (step, Phase.ANSWER)
    assert talk.state.pending is None
    assert len(talk.lines) == count
    assert step not in talk.hear("yes").answers()


def test_go_back_at_the_first_step():
    """There is nothing before the first step, and that is said."""
    talk = Talk(procedure()).hear("go back")

    assert talk.says.startswith(lines.NOTHING_BACK)
    assert talk.at == "gun"


def test_scratch_that_without_an_answer():
    """Instructions and cautions are no answers to take back."""
    talk = Talk(procedure()).hear("ready", "scratch that")

    assert talk.says == lines.NOTHING_TAKEN
    assert talk.at == "seam"


@pytest.mark.parametrize(
    ("moment", "back_at"),
    [
        ("instruction", "seam"),
        ("yes or no", "seam"),
        ("mend", "clean"),
        ("wait", "loose"),
        ("choice", "loose"),
        ("width", "failure"),
    ],
)
def test_scratch_that_takes_the_last_answer_back(moment, back_at):
    """The last answer no longer counts, nor anything that was done after it."""
    talk = at(moment).hear("scratch that")

    assert talk.at == back_at
    assert back_at not in talk.answers()
    assert talk.says.startswith(lines.TAKEN_BACK)


@pytest.mark.parametrize("said", ["go back", "scratch that"])
def test_a_verdict_can_be_taken_back(said):
    """Taking the last answer back takes the verdict that rests on it back as well."""
    talk = walk(Talk(procedure()), GOOD_STRIP, to="last")
    judged = talk.of("judged")[0].seq
    talk.hear(said)

    assert talk.at == "marks"
    assert judged in [line.fields["entry"] for line in talk.of("taken-back")]
    talk.hear("burn")
    assert [line.fields["outcome"] for line in talk.of("judged")] == ["pass", "fail"]
    assert talk.at == "dial"


def test_a_failed_verdict_can_be_taken_back():
    """After a fail went back to the first step of the weld, the answers before it return."""
    talk = walk(Talk(procedure()), {**GOOD_STRIP, "marks": "burn"}, to="marks").hear("burn")
    assert talk.at == "dial"
    assert set(talk.answers()) == {"seam"}
    talk.hear("scratch that")
    assert talk.at == "marks"
    assert talk.answers()["width"] == "5/4"
    talk.hear("none")

    assert talk.of("judged")[-1].fields["outcome"] == "pass"
    assert talk.at == "last"


def test_going_back_from_a_wait_stops_its_clock():
    """The clock belongs to the step that is left, and starts anew when it comes again."""
    talk = at("wait").hear("scratch that")
    assert talk.clock_s is None

    assert talk.hear("no").clock_s == 600


def test_all_the_way_back_and_forth():
    """From the last step back to the first, then on again: the second run judges the same."""
    talk = walk(Talk(procedure()), GOOD_STRIP, to="last")
    for _ in range(20):
        talk.hear("go back")
    assert talk.at == "gun"
    assert talk.answers() == {}
    assert talk.state.progress.trail == ()
    walk(talk, GOOD_STRIP)

    assert talk.finished == events.Finish(ended=True)
    assert [line.fields["outcome"] for line in talk.of("judged")] == ["pass", "pass"]


# ---- the ear


@every_moment
def test_a_lost_microphone_is_told_and_waited_for(moment):
    """Losing the ear writes a line and says so; with the ear back the same is waited for."""
    talk = at(moment)
    before = talk.state
    talk.send(events.MicrophoneLost("unplugged"))
    assert talk.wrote == ["ear-lost"]
    assert talk.says == lines.MICROPHONE_LOST
    talk.send(events.MicrophoneBack())

    assert talk.wrote == ["ear-back"]
    assert (talk.phase, talk.at, talk.state.pending) == (
        before.phase,
        before.step.id,
        before.pending,
    )
    assert talk.listening


@every_moment
def test_the_end_of_a_script_is_no_answer(moment):
    """When nothing more can be heard the run ends as it stands."""
    talk = at(moment)
    answers = talk.answers()
    talk.send(events.NothingMoreToHear())

    assert talk.finished == events.Finish(ended=False)
    assert talk.wrote == ["stopped"]
    assert talk.answers() == answers


def test_every_kind_of_step_is_in_these_tests():
    """The small procedure has a step of every kind that a checklist can hold."""
    kinds = {kind.__name__ for kind in Step.__subclasses__()}

    assert {type(step).__name__ for step in ALL_STEPS} == kinds
