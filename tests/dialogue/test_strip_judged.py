from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from support.seam import (
    FAILURE,
    GOOD_STRIP,
    MARKS,
    SOLID,
    VERDICT,
    WHOLE,
    WIDTH,
    procedure,
)
from support.talk import Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.events import Finish
from assistant.dialogue.state import Phase
from assistant.procedure.model import AskChoice, Choice
from assistant.weld.advice import FIRST, Again, Cause
from assistant.weld.reasons import (
    MODE_UNKNOWN,
    SOLID_JUDGED,
    SOLID_NARROW,
    SOLID_UNKNOWN,
    WIDTH_UNKNOWN,
)

STRIP = procedure(
    FAILURE,
    WIDTH,
    WHOLE,
    SOLID,
    MARKS,
    type(VERDICT)("verdict", 13, "", width="width", mode="failure", solid="solid", heat="marks"),
)
"""Only the questions about one strip, and no way back after a fail."""
NOT_HEARD = [*["[unk]"] * 4, "carry on", *["[unk]"] * 4]
"""Nothing that is understood: first it is left waiting, and after coming back given up."""


def judged(**answers):
    """Return a talk that answered about one strip; steps not named are good."""
    talk = walk(Talk(STRIP), {**GOOD_STRIP, **answers})
    assert talk.finished == Finish(ended=True)
    return talk


def verdict(talk):
    """Return the fields of the last verdict."""
    return talk.of("judged")[-1].fields


# Widths against 1 in to 1 1/2 in: common practice, no source; the checklist gives the limits.
@pytest.mark.parametrize(
    ("width", "outcome", "headline", "tone"),
    [
        ("inch and a quarter", "pass", lines.PASSED, "passed"),
        ("inch", "pass at limit", lines.AT_LIMIT, "passed"),
        ("inch and a half", "pass at limit", lines.AT_LIMIT, "passed"),
        ("fifteen sixteenths", "fail", lines.FAILED, "failed"),
        ("a quarter", "fail", lines.FAILED, "failed"),
        ("two inches", "out", lines.TOO_WIDE, "failed"),
        ("thirty two millimeters", "pass", lines.PASSED, "passed"),
        ("twenty five millimeters", "fail", lines.FAILED, "failed"),
    ],
)
def test_the_width_is_judged_and_told(width, outcome, headline, tone):
    """The verdict is written, sounded and said with the value that it rests on."""
    talk = judged(width=width)
    say = next(text for text in talk.said if text.startswith(headline))

    assert verdict(talk)["outcome"] == outcome
    assert tone in talk.tones
    # A plain pass needs no reason: nothing but film tearing passes.
    assert ("Film tearing." in say) is (outcome != "pass")


def test_the_verdict_names_what_it_rests_on():
    """The line holds limits, rule, answers as said, and the numbers of their lines."""
    talk = judged(width="inch and a quarter", whole="no", solid="one and an eighth")
    fields = verdict(talk)
    rests_on = [line for line in talk.lines if line.seq in fields["from"]]

    assert [line.fields["step"] for line in rests_on] == ["failure", "width", "solid", "marks"]
    assert fields["width"] == "5/4"
    assert fields["said"] == "inch and a quarter"
    assert fields["mode"] == "film-tearing"
    assert fields["solid"] == "9/8"
    assert fields["heat"] == "none"
    limits = {"least_in": "1", "most_in": "3/2", "rule_step_in": "1/16", "edges": 1}
    assert fields["limits"] == limits
    assert fields["finding"] == "pass"
    assert fields["rule"]


@pytest.mark.parametrize(
    ("answers", "outcome"),
    [
        ({"failure": "clean peel"}, "fail"),
        ({"failure": "let go", "width": "inch and a half"}, "fail"),
        ({"failure": "partly"}, "fail"),
        ({"marks": "burn"}, "fail"),
        ({"marks": "bleed out"}, "fail"),
        ({"failure": NOT_HEARD}, "no verdict"),
        ({"width": NOT_HEARD}, "no verdict"),
        ({"marks": NOT_HEARD}, "no verdict"),
        ({"whole": NOT_HEARD}, "no verdict"),
        ({"whole": "no", "solid": NOT_HEARD}, "no verdict"),
        ({"failure": NOT_HEARD, "width": NOT_HEARD}, "no verdict"),
        ({"whole": "no", "solid": "seven eighths"}, "fail"),
        ({"whole": "no", "solid": "inch and an eighth"}, "pass"),
        ({"whole": "no", "solid": "inch and a half"}, "no verdict"),  # wider than the bond
    ],
)
def test_nothing_passes_that_was_not_stated(answers, outcome):
    """A flaw fails; what was not heard gives no verdict; only a whole good answer passes."""
    talk = judged(**answers)

    assert verdict(talk)["outcome"] == outcome
    assert "passed" not in talk.tones or outcome == "pass"


@pytest.mark.parametrize(
    ("answers", "reason"),
    [
        ({"failure": NOT_HEARD}, MODE_UNKNOWN),
        ({"width": NOT_HEARD}, WIDTH_UNKNOWN),
        ({"whole": NOT_HEARD}, SOLID_UNKNOWN),
        ({"whole": "no", "solid": NOT_HEARD}, SOLID_UNKNOWN),
        ({"whole": "no", "solid": "seven eighths"}, SOLID_NARROW),
        ({"whole": "no", "solid": "inch and an eighth"}, SOLID_JUDGED),
    ],
)
def test_the_reason_is_told(answers, reason):
    """What decided is in the record and is said."""
    talk = judged(**answers)

    assert reason in verdict(talk)["reasons"]
    assert any(reason in text for text in talk.said)


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({"failure": "clean peel"}, FIRST[Cause.FAST]),
        ({"width": "two inches"}, FIRST[Cause.SLOW]),
        ({"failure": "partly"}, FIRST[Cause.ROLLER]),
        ({"width": NOT_HEARD}, FIRST[Again.READ]),
    ],
)
def test_the_first_thing_to_check_is_said(answers, said):
    """After a strip that did not pass, one short sentence names what to look at first."""
    talk = judged(**answers)

    assert [text.count(said) for text in talk.said if "Check first" in text or said in text] == [1]


def test_nothing_is_to_be_checked_after_a_pass():
    """A pass ends with what is allowed, as before."""
    assert not any(sentence in text for sentence in FIRST.values() for text in judged().said)


@pytest.mark.parametrize(
    ("pull", "outcome"), [("steady", "pass"), ("jerked", "invalid"), (NOT_HEARD, "no verdict")]
)
def test_the_pull_counts_where_it_is_asked_for(pull, outcome):
    """A jerk takes the proof from a strip, and a pull that was not heard gives no verdict."""
    choices = (Choice("steady", ("steady",)), Choice("jerked", ("jerked",)))
    asked = AskChoice("pull", 7, "Did you pull it steadily, or with a jerk?", choices=choices)
    steps = [replace(step, pull="pull") if step.id == "verdict" else step for step in STRIP.steps]
    talk = walk(Talk(procedure(asked, *steps)), {**GOOD_STRIP, "pull": pull})

    assert verdict(talk)["outcome"] == outcome
    assert verdict(talk)["pull"] == (pull if isinstance(pull, str) else None)


# ---- only if


def test_a_step_is_skipped_unless_its_condition_was_answered_so():
    """The solid width is asked for only where there is a void."""
    asked = {
        whole: [line.fields["step"] for line in judged(whole=whole, solid="inch").of("answered")]
        for whole in ("yes", "no")
    }

    assert "solid" not in asked["yes"]
    assert "solid" in asked["no"]


def test_a_void_that_was_taken_back_is_asked_about_no_more():
    """With the answer about the void taken back, the solid width falls away with it."""
    talk = walk(Talk(STRIP), {**GOOD_STRIP, "whole": "no"}, to="solid")
    talk.hear("inch", "yes", "go back", "go back")
    assert talk.at == "whole"
    walk(talk, GOOD_STRIP)

    assert verdict(talk)["solid"] is None
    assert verdict(talk)["outcome"] == "pass"


# ---- hedges at a limit


@pytest.mark.parametrize(
    "hedged",
    [
        "inch shy",
        "a strong inch and a half",
        "fifteen sixteenths strong",
        "inch and nine sixteenths light",
    ],
)
def test_a_hedge_at_a_limit_asks_for_the_nearest_sixteenth(hedged):
    """Where strong or light would decide, the width is taken back and asked for without it."""
    talk = walk(Talk(STRIP), {**GOOD_STRIP, "width": hedged}, to="marks").hear("none")
    assert talk.at == "width"
    assert lines.HEDGE_DECIDES in talk.says
    assert talk.of("judged") == []
    assert talk.answers()["failure"] == "film-tearing"
    assert "width" not in talk.answers()
    talk.hear(hedged)
    assert lines.NO_HEDGE in talk.says
    assert talk.phase is Phase.ANSWER
    walk(talk, {**GOOD_STRIP, "width": "one and one sixteenth"})

    assert verdict(talk)["outcome"] == "pass"
    assert Fraction(verdict(talk)["width"]) == Fraction(17, 16)
    assert verdict(talk)["hedge"] is None


def test_only_the_width_that_decides_must_be_plain():
    """Once the plain width is confirmed, a hedge at another question is taken as said."""
    talk = walk(Talk(STRIP), {**GOOD_STRIP, "width": "inch shy"}, to="marks").hear("none")
    walk(talk, {"width": "inch and a quarter", "whole": "no"}, to="solid")
    talk.hear("inch and an eighth strong", "yes")

    assert talk.of("answered")[-1].fields["hedge"] == "strong"


def test_a_hedge_that_stays_gives_no_verdict():
    """Four times strong is four misses: not heard, and no verdict."""
    talk = walk(Talk(STRIP), {**GOOD_STRIP, "width": "inch shy"}, to="marks").hear("none")
    walk(talk, {**GOOD_STRIP, "width": "inch shy"})

    assert verdict(talk)["outcome"] == "no verdict"
    assert [line.fields["step"] for line in talk.of("not-heard")] == ["width"]


@pytest.mark.parametrize(
    ("hedged", "outcome"),
    [
        ("inch strong", "pass at limit"),
        ("inch and a half light", "pass at limit"),
        ("inch and a quarter heavy", "pass"),
        ("half inch light", "fail"),
    ],
)
def test_a_hedge_that_decides_nothing_is_kept(hedged, outcome):
    """Away from a limit, or leaning away from it, the hedge stays a word in the record."""
    talk = judged(width=hedged)

    assert verdict(talk)["outcome"] == outcome
    assert verdict(talk)["hedge"] in hedged


def test_a_shy_solid_part_is_not_as_wide_as_it_was_called():
    """An inch shy beside a void is less than an inch: it never passes as the inch."""
    assert verdict(judged(whole="no", solid="inch shy"))["outcome"] == "fail"
    assert verdict(judged(whole="no", solid="inch"))["outcome"] == "pass at limit"


# ---- another round


def test_a_fail_goes_back_and_the_second_round_passes():
    """After a fail the weld is made anew; the old answers do not count, the seam's number does."""
    talk = Talk(procedure())
    walk(talk, {**GOOD_STRIP, "width": "seven eighths"}, to="marks").hear("none")
    assert talk.at == "dial"
    assert lines.FAILED in talk.says
    assert VERDICT.on_fail_say in talk.says
    assert talk.says.index(lines.FAILED) < talk.says.index(VERDICT.on_fail_say)
    assert talk.answers() == {"seam": "14"}
    walk(talk, GOOD_STRIP)

    assert [line.fields["outcome"] for line in talk.of("judged")] == ["fail", "pass"]
    first, second = (set(line.fields["from"]) for line in talk.of("judged"))
    assert max(first) < min(second)
    assert talk.finished == Finish(ended=True)
    assert talk.lines[-1].kind == "ended"


def test_no_verdict_goes_back_as_a_fail_does():
    """A strip that could not be judged is no strip that passed."""
    talk = walk(Talk(procedure()), {**GOOD_STRIP, "width": NOT_HEARD}, to="marks").hear("none")

    assert verdict(talk)["outcome"] == "no verdict"
    assert talk.at == "dial"


def test_an_answer_not_hoped_for_is_mended_and_asked_again():
    """The remedy is said, ready asks the question again, and both answers are in the record."""
    talk = walk(Talk(procedure()), GOOD_STRIP, to="clean").hear("no")
    assert "Clean it." in talk.says
    assert lines.READY_AGAIN in talk.says
    assert talk.phase is Phase.MEND
    talk.hear("ready")
    assert talk.says == "Is the roller clean?"
    talk.hear("yes")

    answered = [line for line in talk.of("answered") if line.fields["step"] == "clean"]
    assert [(line.fields["answer"], line.fields["hoped"]) for line in answered] == [
        ("no", False),
        ("yes", True),
    ]
    assert talk.at == "loose"


def test_an_answer_can_lead_back_to_an_earlier_step():
    """What was answered from there on is asked anew."""
    talk = walk(Talk(procedure()), GOOD_STRIP, to="loose").hear("yes")

    assert "Set it anew." in talk.says
    assert talk.at == "dial"
    assert set(talk.answers()) == {"seam"}


def test_an_answer_can_be_taken_note_of_and_left():
    """With go-on the remedy is said and the run goes on."""
    talk = walk(Talk(STRIP), GOOD_STRIP, to="whole").hear("no")

    assert "Then only the solid part counts." in talk.says
    assert talk.at == "solid"
