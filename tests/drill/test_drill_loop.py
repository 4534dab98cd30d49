"""A drill as a conversation: (state, event) -> actions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.drills import BEAD, PEEL, after, answered, said, started

from assistant.dialogue import lines
from assistant.dialogue.events import (
    Event,
    Finish,
    Listen,
    Log,
    MicrophoneBack,
    MicrophoneLost,
    NothingMoreToHear,
    QuietPassed,
    Say,
    Sound,
    SpeechHeard,
)
from assistant.drill import telling
from assistant.drill.loop import Result
from assistant.drill.state import Phase
from assistant.record import kinds
from assistant.words.commands import phrases_of
from assistant.words.meaning import Command

UNSURE = SpeechHeard("too hot", confidence=0.2)


def kinds_of(result: Result) -> list[str]:
    """Return the kinds of what is to be done, in order."""
    return [type(action).__name__ for action in result[1]]


def logged(result: Result) -> list[tuple[str, object]]:
    """Return the kind of each record line, and whether it says right."""
    return [(one.kind, one.fields.get("right")) for one in result[1] if isinstance(one, Log)]


def test_it_begins_with_a_line_and_asks() -> None:
    """The line comes first, then how to answer, then the question with its answers."""
    result = started(BEAD)

    assert kinds_of(result) == ["Log", "Say", "Say", "Sound", "Listen"]
    assert said(result)[1].startswith(BEAD.ask)
    for choice in BEAD.choices:
        assert choice.said[0] in said(result)[1].lower()


@pytest.mark.parametrize(
    ("heard", "right", "tone", "tells"),
    [
        ("too hot", True, "heard", "Right. Heavy or dark means too hot."),
        (
            "too cold",
            False,
            "not understood",
            "Not too cold. It is: too hot. Heavy or dark means too hot.",
        ),
        (
            "i do not know",
            False,
            "not understood",
            "It is: too hot. Heavy or dark means too hot.",
        ),
    ],
)
def test_an_answer_is_written_judged_and_explained(
    heard: str, right: bool, tone: str, tells: str
) -> None:
    """The line is written before anything is said, and the next question follows in one turn."""
    state, _ = started(BEAD, PEEL)
    if state.question is None or state.question.id != "bead":
        state, _ = after(state, answered(state, right=True))
    result = after(state, heard)

    assert kinds_of(result) == ["Log", "Sound", "Say", "Say", "Sound", "Listen"]
    assert logged(result) == [(kinds.DRILL_ANSWERED, right)]
    assert result[1][1] == Sound(tone)
    assert said(result)[0] == tells


@pytest.mark.parametrize(
    ("events", "tells", "phase"),
    [
        (["blah"], [lines.SAY_AGAIN], Phase.ANSWER),
        ([UNSURE], [lines.NOT_SURE], Phase.ANSWER),
        ([SpeechHeard("too hot", damaged=True)], [lines.SOUND_LOST], Phase.ANSWER),
        (["hold"], [lines.HOLDING], Phase.HOLD),
        (["hold", "too hot"], [], Phase.HOLD),
        (["why"], [lines.DRILL_ANSWER_FIRST], Phase.ANSWER),
        (["what did you hear"], [lines.HEARD_NOTHING], Phase.ANSWER),
        (["where are we"], [lines.DRILL_NOTHING_ANSWERED], Phase.ANSWER),
        (["what can i say"], [lines.SAYABLE_DRILL], Phase.ANSWER),
        ([QuietPassed(), QuietPassed()], [lines.WILL_WAIT], Phase.HOLD),
        ([MicrophoneLost("gone")], [lines.MICROPHONE_LOST], Phase.ANSWER),
    ],
)
def test_what_is_no_answer_changes_no_score(
    events: list[Event | str], tells: list[str], phase: Phase
) -> None:
    """Commands, silence and words that were not heard surely write nothing."""
    result = after(started(BEAD)[0], *events)

    assert (said(result), result[0].phase) == (tells, phase)
    assert (result[0].told, logged(result)) == ((), [])


@pytest.mark.parametrize(
    "events", [["say again"], [QuietPassed()], ["hold", "carry on"], [MicrophoneBack()]]
)
def test_the_question_is_asked_once_more(events: list[Event | str]) -> None:
    """The whole question, with its answers, and the ear opens again."""
    state, _ = started(BEAD)
    result = after(state, *events)

    assert said(result)[-1] == state.last_said
    assert isinstance(result[1][-1], Listen)


def test_twice_misheard_it_takes_the_number_of_the_answer() -> None:
    """The second way in is a numbered list, and a number is an answer."""
    state, actions = after(started(BEAD)[0], "blah", "blah")
    question = state.question
    assert question is not None
    place = [choice.id for choice in question.choices].index("hot") + 1
    word = ("one", "two", "three")[place - 1]
    result = after(state, f"number {word}")

    assert said((state, actions)) == [telling.by_number(question)]
    assert logged(result) == [(kinds.DRILL_ANSWERED, True)]


def test_four_times_misheard_it_is_not_wrong() -> None:
    """It is logged as not heard, counts neither way, and is not asked again in this drill."""
    result = after(started(BEAD)[0], *["blah"] * 4)

    assert logged(result) == [(kinds.DRILL_ANSWERED, None), (kinds.DRILL_ENDED, 0)]
    assert lines.DRILL_NOT_HEARD in said(result)
    assert result[0].told == ()


def test_a_misheard_answer_can_be_taken_back() -> None:
    """The last answer is taken out of the score and asks its question again."""
    state, _ = started(BEAD, PEEL)
    first = state.question
    state, _ = after(state, answered(state, right=False))
    result = after(state, "scratch that")

    assert logged(result) == [(kinds.DRILL_TAKEN_BACK, None)]
    assert result[0].told == ()
    assert result[0].question is not None
    assert first is not None
    assert result[0].question.id == first.id


def test_why_tells_the_last_reason_once_more() -> None:
    """After an answer, "why" repeats the reason."""
    state, _ = started(BEAD, PEEL)
    state, _ = after(state, answered(state, right=False))

    assert said(after(state, "why")) == [state.because]


@pytest.mark.parametrize("word", phrases_of(Command.STOP))
@pytest.mark.parametrize("before", [[], ["hold"], ["blah", "blah"]])
def test_stop_always_works(word: str, before: list[Event | str]) -> None:
    """At any confidence and in every phase; the score is on the disk before a word is said."""
    state, _ = after(started(BEAD)[0], *before) if before else started(BEAD)
    result = after(state, SpeechHeard(word, confidence=0.0))

    assert kinds_of(result)[0] == "Log"
    assert said(result)[0] == lines.DRILL_STOPPED
    assert result[1][-1] == Finish(False)
    assert result[0].phase is Phase.OVER
    # Whoever calls for help hears no score.
    assert (len(said(result)) > 1) is ("stop" in word)


def test_it_says_how_many_were_right_and_what_to_look_at_again() -> None:
    """At its end it sums up; what was wrong and later right is not named."""
    state, _ = started(BEAD, PEEL, count=3)
    state, _ = after(state, answered(state, right=False))
    first = state.told[0].question
    state, _ = after(state, answered(state, right=False))
    result = after(state, answered(state, right=True))
    other = PEEL if first == "bead" else BEAD

    assert said(result)[-2:] == ["One of three right.", f"Look again at: {other.topic}."]
    assert result[1][-1] == Finish(True)


def test_a_script_that_ends_too_early_is_told() -> None:
    """Where nothing more will be heard, the score is kept and said."""
    result = after(started(BEAD)[0], NothingMoreToHear())

    assert said(result) == [lines.SCRIPT_ENDED, lines.DRILL_NOTHING_ANSWERED]
    assert result[1][-1] == Finish(False)


def test_a_question_may_be_cut_short_and_a_reason_not() -> None:
    """Only the question takes an answer while it is spoken."""
    state, _ = started(BEAD, PEEL)
    _, actions = after(state, answered(state, right=False))
    says = [action for action in actions if isinstance(action, Say)]

    assert [one.answer is not None for one in says] == [False, True]


@given(st.lists(st.sampled_from(["right", "wrong", "unheard", "scratch that"]), max_size=40))
def test_the_score_adds_up(walk: list[str]) -> None:
    """Whatever is answered, the record's lines alone give the score that is written at the end."""
    state, _ = started(BEAD, PEEL, count=9)
    counts: dict[int, object] = {}
    ended: list[Log] = []
    for way in [*walk, "stop"]:
        if state.phase is Phase.OVER:
            break
        if way in ("right", "wrong") and state.phase is Phase.ANSWER:
            words: Event | str = answered(state, right=way == "right")
        else:
            words = "blah" if way in ("right", "wrong", "unheard") else way
        state, actions = after(state, words)
        for line in (one for one in actions if isinstance(one, Log)):
            if line.kind == kinds.DRILL_ANSWERED and line.fields["right"] is not None:
                counts[line.seq] = line.fields["right"]
            elif line.kind == kinds.DRILL_TAKEN_BACK:
                del counts[int(str(line.fields["entry"]))]
            elif line.kind == kinds.DRILL_ENDED:
                ended.append(line)

    assert len(ended) == 1
    assert ended[0].fields["asked"] == len(counts)
    assert ended[0].fields["right"] == sum(1 for right in counts.values() if right)
