from __future__ import annotations

from dataclasses import replace

from hypothesis import given, note, settings
from hypothesis import strategies as st
from support.sayings import phrases
from support.seam import GOOD_STRIP, procedure
from support.talk import Talk

from assistant.dialogue.events import MicrophoneBack, MicrophoneLost
from assistant.dialogue.prompts import grammar_for
from assistant.dialogue.state import Phase, Settings, State, Trust
from assistant.dialogue.today import Today
from assistant.record import kinds
from assistant.words.attention import ATTENTION
from assistant.words.marks import DEFECTS, HAPPENED
from assistant.words.meaning import Command, YesNo
from assistant.words.understand import understand

TRUST = Trust(answer=0.5, value=0.7)
ON_THE_WAY = ["a good answer"] * 8 + ["[unk]", "", "...", "hold", "say again", "no", "go back"]
BEGIN = [
    *(f"mark a {what} at nine feet" for what in DEFECTS),
    *(f"mark {what}" for what in DEFECTS),
    *HAPPENED,
    "make a note",
    "read the last test",
    "how many today",
    "what can i say",
]
INSIDE = [
    "yes",
    "yes",
    "no",
    "nine feet",
    "no fifty feet",
    "at nine hundred feet",
    "mark a burn at five feet",
    "end of note",
    "inch and a half",
    "[unk]",
    "",
    "...",
    "lost",
    "scratch that",
    "say again",
    "why",
    "carry on",
    "what did you hear",
    *BEGIN,
]
MOVES_THE_RUN = {"answered", "done", "judged", "not-heard", "ended", "stopped", "corrected", "held"}


def good_answer(talk: Talk) -> str:
    """Return what goes on from here."""
    if talk.phase in (Phase.HOLD, Phase.WAIT):
        return f"{ATTENTION[0]} carry on"
    if talk.phase in (Phase.BUSY, Phase.MEND):
        return f"{ATTENTION[0]} ready"
    if talk.phase is Phase.CONFIRM:
        return "yes"
    return GOOD_STRIP.get(talk.state.step.id, "yes")


def under(state: State) -> State:
    """Return all of a conversation that what is said beside the steps must leave alone."""
    beside = {"asides": (), "today": Today(), "helped": ("", 0), "last_heard": "", "next_seq": 0}
    awake = {"asleep": False, "woken": False, "let_pass": 0, "only_talk": 0, "slept": False}
    return replace(state, **beside, **awake)


def say(talk: Talk, text: str, confidence: float) -> None:
    """Pass one move on, as a shell could."""
    if text == "...":
        talk.quiet()
    elif text == "lost":
        talk.send(MicrophoneLost("unplugged")).send(MicrophoneBack())
    else:
        talk.hear(text, confidence=confidence)


def to_a_moment(data: st.DataObject) -> Talk:
    """Return a talk that stands somewhere, well or badly understood so far."""
    talk = Talk(procedure(), Settings(trust=TRUST))
    for _ in range(data.draw(st.integers(0, 35))):
        said = data.draw(st.sampled_from(ON_THE_WAY))
        say(talk, good_answer(talk) if said == "a good answer" else said, 1.0)
        if talk.finished:
            return to_a_moment(data)
    if talk.phase is Phase.HOLD:
        talk.hear("carry on")
    return talk


def check_line(line: object, before: State, said: str, confidence: float) -> None:
    """Check that a mark was read back, and that a yes was heard for just this one."""
    if line.kind in MOVES_THE_RUN:
        raise AssertionError(f"{line} was written beside the steps")
    if line.kind == "mark":
        place = before.asides[-1].place
        assert understand(said, grammar_for(before)) == YesNo(True)
        assert confidence >= TRUST.answer
        assert place.confidence >= TRUST.value
        assert line.fields["position_ft"] == str(place.position_ft)
        assert line.fields["read_back"] == before.asides[-1].ask


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_marks_never_move_what_lies_under_them(data):
    """Whatever is said in a mark or a note: no read-back is lost, no step is left, no value made.

    And from any mark there is a way out by silence alone, to where the conversation was.
    """
    talk = to_a_moment(data)
    before = under(talk.state)
    for _ in range(data.draw(st.integers(1, 12))):
        inside = INSIDE if talk.state.asides else BEGIN
        said = data.draw(st.sampled_from(inside))
        if talk.state.asleep:
            said = f"{ATTENTION[0]} {said}"
        confidence = data.draw(st.sampled_from([1.0, 1.0, 1.0, 0.6, 0.3]))
        if said == "what can i say":
            confidence = 1.0  # a question about the step: badly heard, it is an attempt at it
        if said == "lost" and not talk.state.asides:
            continue
        note(f"{talk.phase.name} {[type(aside).__name__ for aside in talk.state.asides]}: {said}")
        now, count = talk.state, len(talk.lines)
        if not now.asides and understand(said, grammar_for(now)) in (YesNo(True), YesNo(False)):
            continue
        say(talk, said, confidence)
        for line in talk.lines[count:]:
            check_line(line, now, said, confidence)
        assert under(talk.state) == before
        assert talk.state.progress == now.progress
        assert talk.state.pending == now.pending
    for _ in range(10):
        if not talk.state.asides:
            break
        talk.quiet()

    assert not talk.state.asides
    assert under(talk.state) == before
    assert Talk(procedure(), lines=talk.lines).state.progress == talk.state.progress


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_stop_ends_any_mark(data):
    """Stop works in every aside, however badly it is heard."""
    talk = to_a_moment(data)
    talk.hear(f"{ATTENTION[0]} " * talk.state.asleep + data.draw(st.sampled_from(BEGIN)))
    for _ in range(data.draw(st.integers(0, 4))):
        said = data.draw(phrases(grammar_for(talk.state)))
        if understand(said, grammar_for(talk.state)) is Command.STOP:
            break
        talk.hear(said)
        if talk.finished:
            return
    # Asleep, an unsure one is asked for once more: a radio says stop too.
    talk.hear("stop", confidence=1.0 if talk.state.asleep else 0.0)

    assert talk.finished
    assert talk.lines[-1].kind == "stopped"


@settings(max_examples=50, deadline=None)
@given(data=st.data())
def test_what_is_beside_is_on_the_disk_before_its_tone(data):
    """Each mark, note and event is written before anything is heard of it."""
    talk = to_a_moment(data)
    for said in data.draw(st.lists(st.sampled_from(INSIDE), max_size=8)):
        if said in ("...", "lost", "carry on", "scratch that") or talk.finished:
            continue
        talk.hear(f"{ATTENTION[0]} " * talk.state.asleep + said)
        kinds_written = [kind for kind in talk.wrote if kind in kinds.BESIDE]
        if kinds_written:
            first = talk.turn[0]
            assert getattr(first, "kind", None) in kinds.BESIDE
