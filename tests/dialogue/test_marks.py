from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from support.seam import GOOD_STRIP, procedure
from support.talk import Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.state import Phase, Settings, Trust
from assistant.dialogue.today import Today
from assistant.procedure.model import AskValue
from assistant.record import kinds
from assistant.words.attention import ATTENTION
from assistant.words.marks import DEFECTS, HAPPENED

MOMENTS: dict[str, tuple[str, tuple[str, ...]]] = {
    "caution": ("gun", ()),
    "count": ("seam", ()),
    "read-back of a count": ("seam", ("fourteen",)),
    "instruction": ("dial", ()),
    "yes or no": ("clean", ()),
    "mend": ("clean", ("no",)),
    "second way": ("clean", ("nothing of ours", "nothing of ours")),
    "wait": ("cool", ()),
    "choice": ("failure", ()),
    "width": ("width", ()),
    "a try that failed": ("width", ("nothing of ours",)),
    "read-back of a width": ("width", ("inch and a half",)),
    "read-back after silence": ("width", ("inch and a half", "...")),
}
"""The step, and what is said there to come to the moment."""
MARK = "mark a void at twelve and a half feet"
every_moment = pytest.mark.parametrize("moment", MOMENTS)


def at(moment: str, **how: object) -> Talk:
    """Return a talk that has come to a moment."""
    step, then = MOMENTS[moment]
    talk = walk(Talk(procedure(), **how), GOOD_STRIP, to=step)  # type: ignore[arg-type]
    for said in then:
        if said == "...":
            talk.quiet()
        else:
            talk.hear(said)
    assert talk.at == step
    return talk


def under(talk: Talk) -> object:
    """Return all of a conversation that what is said beside the steps must leave alone."""
    counted = {"next_seq": 0, "let_pass": 0, "only_talk": 0}
    return replace(talk.state, today=Today(), last_heard="", woken=False, **counted)


# ---- at any time


@every_moment
@pytest.mark.parametrize("said", [MARK, "mark stitch marks", *HAPPENED, "make a note"])
def test_what_is_said_beside_leaves_the_step_alone(moment, said):
    """Place, phase, read-back, attempts and reminder are as before, once it is confirmed."""
    talk = at(moment)
    before, count = under(talk), len(talk.lines)
    talk.hear(said)
    while talk.state.asides:
        talk.hear({"mark stitch marks": "nine feet"}.get(said, "yes"))
        said = ""

    assert under(talk) == before
    assert [line.kind for line in talk.lines[count:]] in [["mark"], ["event"], ["note"]]
    assert talk.listening


@every_moment
def test_an_open_question_is_asked_again(moment):
    """Where an answer is waited for, it is said what for; busy hands are left in peace."""
    talk = at(moment)
    waited_for = talk.state.to_repeat
    asked = talk.phase in (Phase.ANSWER, Phase.SECOND_WAY, Phase.CONFIRM)
    talk.hear(MARK, "yes")

    assert talk.says == (f"{lines.MARKED} {waited_for}" if asked else lines.MARKED)


@every_moment
def test_the_conversation_goes_on_as_if_nothing_had_been(moment):
    """The same answers lead to the same end, with a mark on the way and without."""
    plain, marked = at(moment), at(moment)
    marked.hear(MARK, "yes")
    for talk in (plain, marked):
        walk(talk, GOOD_STRIP)

    assert marked.answers() == plain.answers()
    kept = [line.kind for line in marked.lines if line.kind != "mark"]
    assert kept == [line.kind for line in plain.lines]


def test_a_mark_from_sleep_in_one_breath():
    """Asleep, the attention phrase comes first; afterwards the hands are still busy."""
    talk = at("instruction").hear("go to sleep")
    assert talk.state.asleep
    talk.hear("mark a void at five feet")
    assert not talk.state.asides
    talk.hear(f"{ATTENTION[0]} mark a void at five feet", "yes")

    assert talk.of("mark")[0].fields["position_ft"] == "5"
    assert talk.phase is Phase.BUSY


# ---- a mark counts after a yes


@pytest.mark.parametrize("what", DEFECTS)
def test_every_defect_is_marked(what):
    """The line names seam, place, what was said and what was confirmed."""
    talk = at("width").hear(
        f"mark a {what} at two hundred and five feet", confidence=0.98, clip="a"
    )
    assert talk.of("mark") == []
    talk.hear("yes", clip="b")

    fields = talk.of("mark")[0].fields
    assert fields == {
        "step": "width",
        "seam": "14",
        "what": DEFECTS[what],
        "position_ft": "205",
        "said": f"mark a {what} at two hundred and five feet",
        "said_at": f"mark a {what} at two hundred and five feet",
        "read_back": f"{what.capitalize()} at two hundred five feet. Two zero five. "
        "Seam fourteen. Is that right?",
        "confirmed_by": "yes",
        "confirmed_clip": "b",
        "confidence": 0.98,
        "clip": "a",
        "clips": [],
    }


WAYS = [
    (["mark a burn", "twelve feet", "yes"], ("burn", "12")),
    (["mark a burn", "at twelve", "yes"], ("burn", "12")),
    (["mark burn at half a foot", "yes"], ("burn", "1/2")),
    (["mark a burn at zero feet", "yes"], ("burn", "0")),
    (["mark a burn at fifteen feet", "no", "fifty feet", "yes"], ("burn", "50")),
    (["mark a burn at fifteen feet", "no fifty feet", "yes"], ("burn", "50")),
    (["mark a burn at fifteen feet", "mark a void at nine feet", "yes"], ("void", "9")),
    (["mark a burn", "mark a void at nine feet", "yes"], ("void", "9")),
    (["mark a burn at fifteen feet", "what", "yes"], ("burn", "15")),
    (["mark a burn at fifteen feet", "what", "what", "fifteen feet", "yes"], ("burn", "15")),
    (["mark a burn at nine hundred feet", "nine feet", "yes"], ("burn", "9")),
    (["mark a burn at fifteen feet", "say again", "why", "yes"], ("burn", "15")),
    (["mark a burn at fifteen feet", "hold", "carry on", "yes"], ("burn", "15")),
    (["mark a burn at fifteen feet", "carry on", "yes"], ("burn", "15")),
    (["mark a burn at fifteen feet", "it is raining", "yes"], ("burn", "15")),
    (["mark a burn at fifteen feet", "make a note", "a note", "yes"], ("burn", "15")),
    (["mark a burn at fifteen feet", "how many today", "yes"], ("burn", "15")),
    (["mark a burn at fifteen feet", "scratch that"], None),
    (["mark a burn at fifteen feet", "go back"], None),
    (["mark a burn", "scratch that"], None),
    (["mark a burn at fifteen feet", "no", "scratch that"], None),
]


@pytest.mark.parametrize(("said", "marked"), WAYS, ids=[" | ".join(said) for said, _ in WAYS])
@pytest.mark.parametrize("moment", ["read-back of a width", "instruction", "wait"])
def test_ways_to_a_mark(said, marked, moment):
    """However it is said or mended, the mark that counts is the one that got its yes."""
    talk = at(moment)
    before = talk.phase
    talk.hear(*said)

    found = [(line.fields["what"], line.fields["position_ft"]) for line in talk.of("mark")]
    assert found == ([marked] if marked else [])
    assert talk.state.asides == ()
    assert talk.phase is before


def test_what_was_said_apart_is_kept_apart():
    """The clip of the position is the number's; the other one is kept beside it."""
    talk = at("width").hear("mark a wrinkle", clip="a", confidence=0.9)
    talk.hear("nine feet", clip="b", confidence=0.99).hear("yes")

    fields = talk.of("mark")[0].fields
    assert (fields["said"], fields["said_at"]) == ("mark a wrinkle", "nine feet")
    assert (fields["clip"], fields["clips"], fields["confidence"]) == ("b", ["a"], 0.99)


# ---- where it may be


@pytest.mark.parametrize(
    ("said", "taken"),
    [("four hundred feet", True), ("four hundred and a half feet", False), ("zero feet", True)],
)
def test_a_mark_lies_on_a_roof(said, taken):
    """Beyond the longest seam that is plausible, Lapcall asks again."""
    talk = at("width").hear(f"mark a void at {said}")

    assert (lines.OFF_THE_SEAM in talk.says) != taken
    assert (lines.IS_THAT_RIGHT in talk.says) == taken


def test_a_mark_lies_on_the_seam():
    """Where the run was told how long the seam is, no mark lies behind its end."""
    length = AskValue(
        "length",
        1,
        "How long is it?",
        unit="ft",
        plausible_from=Fraction(1),
        plausible_to=Fraction(400),
        called="seam length",
    )
    asked = procedure(length, *procedure().steps)
    talk = Talk(asked).hear("sixty feet", "yes", "mark a void at sixty feet")
    assert lines.IS_THAT_RIGHT in talk.says
    talk.hear("no", "sixty and a half feet")

    assert lines.OFF_THE_SEAM in talk.says


def test_the_seam_is_read_back():
    """A mark before this run's seam was said goes to the seam before, and says so; or to none."""
    talk = Talk(procedure()).hear(MARK)
    assert lines.NO_SEAM_YET in talk.says
    talk.hear("yes")
    assert talk.of("mark")[0].fields["seam"] is None

    done = walk(Talk(procedure()), GOOD_STRIP)
    later = Talk(procedure(), first_seq=len(done.lines), today=done.state.today).hear(MARK)
    assert "Seam fourteen." in later.says
    later.hear("yes")

    assert later.of("mark")[0].fields["seam"] == "14"


# ---- what is not heard


@pytest.mark.parametrize("how", [{"confidence": 0.6}, {"damaged": True}])
@every_moment
def test_a_mark_that_is_not_sure_costs_nothing(moment, how):
    """No attempt at the step is counted for it, and no read-back is lost."""
    talk = at(moment, settings=Settings(trust=Trust(0.7, 0.97)))
    before = under(talk)
    talk.hear("mark a void", **how).hear("it is raining", **how)

    assert under(talk) == before
    assert talk.lines[-1].kind not in kinds.BESIDE


def test_a_position_needs_the_trust_of_a_value():
    """Sure enough for a command is not sure enough for a number: it is asked for again."""
    talk = at("width", settings=Settings(trust=Trust(0.7, 0.97)))
    talk.hear("mark a void at nine feet", confidence=0.8)
    assert talk.says == f"{lines.NOT_SURE} Void. {lines.WHERE_IS_IT}"
    talk.hear("nine feet", confidence=0.98).hear("yes", confidence=0.6)
    assert talk.of("mark") == []
    talk.hear("yes", confidence=0.7)

    assert len(talk.of("mark")) == 1


def test_a_mark_that_is_never_understood_is_logged_as_not_heard():
    """After two failures digit by digit, after four it is given up, with all that was tried."""
    talk = at("read-back of a width").hear("mark a void at nine feet", "no")
    talk.hear("mumble", clip="c")
    assert lines.WHERE_BY_DIGITS in talk.says
    talk.hear("mumble", "mumble")

    assert lines.NOT_MARKED in talk.says
    fields = talk.of("mark-not-heard")[0].fields
    assert fields["said"] == ["mark a void at nine feet", "mumble", "mumble", "mumble"]
    assert fields["clips"] == ["c"]
    assert (fields["what"], fields["because"], fields["seam"]) == ("void", "tries", "14")
    assert talk.phase is Phase.CONFIRM


@pytest.mark.parametrize("said", ["mark a void", "mark a void at nine feet"])
def test_silence_is_no_yes(said):
    """Silence is reminded once; then the mark is given up, and the step is where it was."""
    talk = at("read-back of a width")
    before = under(talk)
    talk.hear(said).quiet()
    assert talk.says.startswith(lines.STILL_HERE)
    talk.quiet()

    assert talk.of("mark-not-heard")[0].fields["because"] == "quiet"
    assert under(talk) == before


# ---- clocks


@pytest.mark.parametrize("said", [["mark a void at nine feet", "yes"], ["make a note", "a note"]])
def test_a_clock_that_ends_meanwhile_is_told_afterwards(said):
    """The ear stays open for the mark; then it is said that the time is up, and the run goes on."""
    talk = at("wait").hear(said[0]).time_up()
    assert talk.turn == ()
    assert talk.at == "cool"
    talk.hear(said[1])

    assert lines.TIME_UP in talk.says
    assert talk.at == "failure"


def test_a_clock_runs_on():
    """A mark during a wait leaves its clock alone."""
    talk = at("wait").hear("mark a void at nine feet", "yes").time_up()

    assert talk.at == "failure"
    assert talk.of("done")[-1].fields["early"] is False


def test_a_clock_that_ends_on_hold_in_a_mark():
    """On hold in a mark, too, nothing is lost: the mark first, then the end of the wait."""
    talk = at("wait").hear("mark a void at nine feet", "hold").time_up().hear("carry on")
    assert talk.at == "cool"
    talk.hear("yes")

    assert talk.wrote[0] == "mark"
    assert talk.at == "failure"


# ---- events


@pytest.mark.parametrize(
    ("said", "what", "part", "told"),
    [
        ("power was lost", "power-lost", None, lines.POWER_LOST),
        ("it is raining", "rain", None, lines.RAIN),
        ("changing gun", "changing", "gun", lines.GUN_CHANGES),
        ("taking a break", "break", None, lines.BREAK),
    ],
)
def test_an_event_is_written_and_said_back(said, what, part, told):
    """On the disk before the tone, then a sentence; no yes is needed for what holds no number."""
    talk = at("instruction").hear(said, confidence=0.9, clip="a")

    assert talk.wrote == ["event"]
    assert talk.tones == ["heard"]
    assert talk.says == told
    assert talk.of("event")[0].fields == {
        "step": "dial",
        "seam": "14",
        "what": what,
        "part": part,
        "said": said,
        "confidence": 0.9,
        "clip": "a",
    }


# ---- taking back


@pytest.mark.parametrize("said", [[MARK, "yes"], ["it is raining"], ["make a note", "a note"]])
@pytest.mark.parametrize("moment", ["instruction", "choice", "wait", "caution"])
def test_scratch_that_takes_back_what_was_said_last(said, moment):
    """A mark, an event or a note is taken back by itself; the step's answers stay."""
    talk = at(moment).hear(*said)
    before = under(talk)
    old = talk.lines[-1]
    talk.hear("scratch that")

    assert talk.lines[-1].kind == "taken-back"
    assert (talk.lines[-1].fields["entry"], talk.lines[-1].fields["of"]) == (old.seq, old.kind)
    assert under(talk) == before


def test_scratch_that_drops_the_read_back_first():
    """The read-back was said last of all, after the mark, so it is what is taken back."""
    talk = at("read-back of a width").hear(MARK, "yes", "scratch that")

    assert talk.state.pending is None
    assert talk.wrote == []


def test_scratch_that_twice_goes_on_to_the_answer():
    """Once the mark is taken back, the next one takes back the answer before it."""
    talk = at("choice").hear(MARK, "yes", "scratch that", "scratch that")

    assert talk.lines[-1].fields["step"] != "failure"
    assert talk.lines[-1].kind == "taken-back"
    assert "of" not in talk.lines[-1].fields


# ---- a crash


@every_moment
@pytest.mark.parametrize(
    "said", [["mark a void"], [MARK], [MARK, "yes"], ["make a note"], ["taking a break"]]
)
def test_a_crash_in_a_mark(moment, said):
    """What got no yes is not in the record; the run goes on at the same step all the same."""
    talk = at(moment).hear(*said)
    again = Talk(procedure(), lines=talk.lines)

    assert again.state.progress == talk.state.progress
    assert again.state.asides == ()
    assert len(again.of("mark")) == said.count("yes")
    assert again.state.today.seam() == talk.state.today.seam()


def test_a_doubtful_yes_marks_nothing():
    """A yes that makes a place count needs the trust that a yes to a value needs."""
    talk = at("width", settings=Settings(trust=Trust(answer=0.7, value=0.97, yes=0.9)))
    talk.hear(MARK).hear("yes", confidence=0.8)
    assert talk.of("mark") == []
    assert lines.IS_THAT_RIGHT in talk.says
    talk.hear("yes", confidence=0.95)

    assert len(talk.of("mark")) == 1
