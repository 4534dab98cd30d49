from __future__ import annotations

from dataclasses import dataclass

from hypothesis import given, note, settings
from hypothesis import strategies as st
from support.checklists import SHIPPED
from support.crew import wished
from support.sayings import phrases
from support.seam import WIDTH, procedure
from support.talk import Line, Talk

from assistant.dialogue.events import (
    MicrophoneBack,
    MicrophoneLost,
    MomentCame,
    NothingMoreToHear,
)
from assistant.dialogue.prompts import grammar_for
from assistant.dialogue.state import Phase, Settings, State, Trust
from assistant.procedure.loader import load_procedures
from assistant.weld.strip import FailureMode
from assistant.words.attention import ATTENTION
from assistant.words.commands import COMMANDS, YES_NO
from assistant.words.meaning import Command, Done, YesNo
from assistant.words.understand import NO_WORDS, NOT_OURS, Ask, tidy, understand

NAME = ATTENTION[0]
TRUST = Trust(answer=0.5, value=0.7)
PROCEDURES = [procedure(), *load_procedures(SHIPPED).values()]
SAID = [
    *COMMANDS,
    "yes",
    "no",
    "done",
    "ready",
    f"{NAME} done",
    f"{NAME} carry on",
    "fourteen",
    "one four",
    "film tearing",
    "clean peel",
    "none",
    "number one",
    "inch and a quarter",
    "inch shy",
    "no inch and a half",
    "one point two five",
    "one two five",
    "six inches",
    "about an inch",
    "[unk]",
    "yes [unk]",
    "",
    "mumble",
]
QUIET, TIME_UP, LOST, BACK, NO_MORE = "quiet", "time up", "lost", "back", "nothing more"
MOMENT = "a moment of a wait"
GOOD = "a good answer"
ANY = "whatever can be heard here"
SAY = "something"
MOVES = [GOOD] * 12 + [ANY] * 5 + [SAY] * 3 + [QUIET, QUIET, TIME_UP, MOMENT, LOST]


@dataclass(frozen=True)
class Said:
    """What was said, and how well it was heard."""

    text: str
    confidence: float = 1.0
    damaged: bool = False

    @property
    def trusted(self) -> bool:
        """It was heard whole and well enough to be taken as any answer."""
        return not self.damaged and self.confidence >= TRUST.answer


def good_answer(talk: Talk) -> str:
    """Return what goes on from here."""
    if talk.state.asleep:
        return f"{NAME} {'carry on' if talk.phase is Phase.WAIT else 'ready'}"
    if talk.phase in (Phase.HOLD, Phase.WAIT):
        return "carry on"
    if talk.phase in (Phase.BUSY, Phase.MEND):
        return "ready"
    if talk.phase is Phase.CONFIRM:
        return "affirm"
    return wished(talk.state.step)


def begun(data: st.DataObject, which: int) -> Talk:
    """Return a run that has come to a random step without trouble."""
    talk = Talk(PROCEDURES[which], Settings(trust=TRUST))
    for _ in range(data.draw(st.integers(0, 45))):
        if not talk.finished:
            talk.hear(good_answer(talk))
    return Talk(PROCEDURES[which], Settings(trust=TRUST)) if talk.finished else talk


def moved(talk: Talk, data: st.DataObject) -> Said | str:
    """Make one random move that a shell could pass on; return it."""
    move = data.draw(st.sampled_from(MOVES))
    if talk.listening is None:
        move = BACK  # a deaf ear passes nothing on but that it hears again
    if move == TIME_UP and talk.clock_s is None:
        move = QUIET
    if move == QUIET:
        talk.quiet()
    elif move == MOMENT:
        talk.send(MomentCame(data.draw(st.sampled_from([300, 540]))))
    elif move == TIME_UP:
        talk.time_up()
    elif move == LOST:
        talk.send(MicrophoneLost("unplugged"))
    elif move == BACK:
        talk.send(MicrophoneBack())
    else:
        text = {
            GOOD: lambda: good_answer(talk),
            ANY: lambda: data.draw(phrases(grammar_for(talk.state))),
        }
        make = text.get(move, lambda: data.draw(st.sampled_from(SAID)))
        said = Said(
            make(),
            data.draw(st.sampled_from([1.0, 1.0, 1.0, 0.6, 0.3, 0.0])),
            data.draw(st.sampled_from([False, False, False, False, True])),
        )
        talk.hear(said.text, confidence=said.confidence, damaged=said.damaged)
        return said
    return move


def check_line(line: Line, before: State, move: Said | str, talk: Talk) -> None:
    """Check that what a line tells was really said by a person, just now."""
    heard = move if isinstance(move, Said) else None
    meant = understand(heard.text, grammar_for(before)) if heard else None
    act = line.fields.get("act")
    if before.asleep and heard and line.kind not in ("ear-lost", "ear-back"):
        assert heard.trusted
        assert heard.text.startswith(NAME) or meant is Command.STOP
    if line.kind == "answered" and act == "value":
        assert heard
        assert heard.trusted
        assert meant == YesNo(True)
        assert before.pending
        assert before.phase is Phase.CONFIRM
        assert line.fields["answer"] == str(before.pending.reading.measure.value)
        assert line.fields["said"] == before.pending.reading.said
        assert before.pending.confidence >= TRUST.value
        assert any(before.pending.read_back in text for text in talk.said)
    elif line.kind == "answered":
        assert heard
        assert heard.trusted
        assert line.fields["said"] == heard.text
    elif line.kind == "done" and act == "wait":
        assert move == TIME_UP or meant is Command.CARRY_ON
        assert line.fields["early"] == (before.phase is Phase.WAIT and meant is Command.CARRY_ON)
    elif line.kind == "done" and line.fields["said"] is not None:
        assert heard
        assert heard.trusted
        assert isinstance(meant, Done) or meant is Command.CARRY_ON
    elif line.kind == "taken-back" and line.fields["said"] is not None:
        assert meant in (Command.GO_BACK, Command.SCRATCH_THAT)
    elif line.kind == "stopped":
        assert meant is Command.STOP
    elif line.kind == "judged" and line.fields["outcome"].startswith("pass"):
        assert line.fields["mode"] == FailureMode.FILM_TEARING.value
        assert line.fields["heat"] == "none"
        assert line.fields["width"]


def check_stop(before: State, move: Said | str, talk: Talk) -> None:
    """Check that the run is over just when stop was said, or its end was reached."""
    said = isinstance(move, Said) and understand(move.text, grammar_for(before)) is Command.STOP
    if said and before.asleep and not move.trusted:
        assert not talk.finished
        assert not talk.state.asleep
    elif said:
        assert talk.finished
        assert not talk.finished.ended
    elif talk.finished:
        assert talk.finished.ended
        assert talk.lines[-1].kind == "ended"


def check_kept(talk: Talk, which: int) -> None:
    """Check that a crash now would come back to the same place with the same answers."""
    resumed = Talk(PROCEDURES[which], lines=talk.lines)

    assert resumed.state.progress == talk.state.progress


def somebody_spoke(move: Said | str, before: State) -> bool:
    """Tell whether there were words of ours in what was heard, so that a person is there."""
    if not isinstance(move, Said) or not move.trusted:
        return False
    meant = understand(move.text, grammar_for(before))
    return not (isinstance(meant, Ask) and meant.reason in (NO_WORDS, NOT_OURS))


@settings(max_examples=200, deadline=None)
@given(data=st.data(), which=st.integers(0, len(PROCEDURES) - 1))
def test_any_conversation_keeps_its_promises(data, which):
    """Whatever is said, lost or left unsaid, in any order.

    ``Talk`` checks after each event that the ear is open or the run over, that lines are numbered
    one by one, that no figure is spoken and that no tone comes before its line. Here: that every
    line tells what a person said just now, that stop stops, and that a crash would lose nothing.
    """
    talk = begun(data, which)
    person = False
    for _ in range(data.draw(st.integers(1, 40))):
        before, count = talk.state, len(talk.lines)
        move = moved(talk, data)
        note(f"{before.phase.name} at {before.step.id}: {move}")
        person = person or somebody_spoke(move, before)
        for line in talk.lines[count:]:
            check_line(line, before, move, talk)
            assert person or line.kind != "not-heard", "a radio talked a step away"
        person = person and talk.state.progress.at == before.progress.at
        check_stop(before, move, talk)
        if talk.finished:
            return
        check_kept(talk, which)
    if talk.listening is None:
        talk.send(NothingMoreToHear())
    else:
        talk.hear("stop")

    assert talk.finished


@settings(max_examples=100, deadline=None)
@given(data=st.data(), which=st.integers(0, len(PROCEDURES) - 1))
def test_talk_alone_moves_nothing(data, which):
    """However long a radio talks, and whatever it is half mistaken for: no step, no answer."""
    talk = begun(data, which)
    if data.draw(st.booleans()) and talk.phase in (Phase.BUSY, Phase.WAIT):
        talk.hear("go to sleep")
    stood, count = talk.state.progress, len(talk.lines)
    for _ in range(data.draw(st.integers(1, 40))):
        heard = data.draw(st.sampled_from(["[unk]", "", "mumble", QUIET, "half"]))
        if heard == QUIET:
            talk.quiet()
            continue
        text = heard if heard != "half" else data.draw(phrases(grammar_for(talk.state)))
        if understand(text, grammar_for(talk.state)) is not Command.STOP:
            talk.hear(text, confidence=data.draw(st.sampled_from([0.0, 0.2, 0.49])))

    assert talk.state.progress == stood
    assert {line.kind for line in talk.lines[count:]} <= {"held"}


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.text(max_size=30), max_size=12),
    st.lists(st.sampled_from(["inch", "and", "a", "quarter", "yes", "no", "[unk]", "7", "½"])),
)
def test_any_text_is_harmless(texts, words):
    """Whatever a keyboard or a recogniser writes, a width counts only for a text that is a yes."""
    talk = Talk(procedure(WIDTH))
    sure = 0
    for text in [*texts, "inch", " ".join(words), *texts]:
        if not talk.finished:
            sure += tidy(text) in YES_NO
            talk.hear(text)

    assert len(talk.of("answered")) <= sure
