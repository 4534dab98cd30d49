from __future__ import annotations

import pytest
from support.seam import GOOD_STRIP, procedure
from support.talk import Line, Talk, walk

from assistant.dialogue import lines
from assistant.dialogue.events import MicrophoneBack, MicrophoneLost
from assistant.dialogue.state import Detail, Phase, Settings

SEAM = procedure()


class Live:
    """A run that remembers where it stood after each event."""

    def __init__(self) -> None:
        """Begin a run at line 40 of a record, as a second seam does."""
        self.talk = Talk(SEAM, first_seq=40)
        self.stood = [(len(self.talk.lines), self.talk.at, self.talk.state.progress)]
        """After each event: lines written, step, progress."""

    def note(self, talk: Talk) -> None:
        """Remember where it stands now."""
        self.stood.append((len(talk.lines), talk.at, talk.state.progress))

    def hear(self, *texts: str) -> None:
        """Say each text in turn."""
        for text in texts:
            self.note(self.talk.hear(text))

    def walk(self, to: str | None = None, **answers: str) -> None:
        """Answer until ``to``."""
        walk(self.talk, {**GOOD_STRIP, **answers}, to=to, watch=self.note)


@pytest.fixture(scope="module")
def live():
    """A long day: mends, holds, corrections, a lost microphone, a hedge, a fail, a pass."""
    run = Live()
    run.walk(to="clean")
    run.hear("no", "hold", "carry on", "ready", "yes", "yes")  # loose: back to the dial
    run.walk(to="cool")
    run.hear("go back", "no", "hold", "carry on", "carry on")
    run.walk(to="width")
    run.hear("[unk]", "one two five", "what can i say", "one decimal two five", "scratch that")
    run.note(run.talk.send(MicrophoneLost("unplugged")))
    run.note(run.talk.send(MicrophoneBack()))
    run.hear("inch shy", "yes", "go back", "inch shy", "no inch shy", "yes")
    run.walk(to="marks")
    run.hear("none", "seven eighths", "yes")
    run.walk(to="marks", whole="no", solid="three quarters")
    run.hear("none", "scratch that", "burn")  # fails twice, the first taken back
    run.walk(to="width")
    # Not heard, and not by somebody who was away: no verdict.
    run.hear(*["[unk]"] * 4, "carry on", *["[unk]"] * 4)
    run.walk(to="last")
    run.hear("go back")
    run.walk()
    return run


def test_the_day_was_long(live):
    """The run to cut at every line holds every kind of line but those of a stop and a resume."""
    kinds = {line.kind for line in live.talk.lines}

    assert kinds == {
        "began",
        "done",
        "answered",
        "not-heard",
        "taken-back",
        "judged",
        "held",
        "carried-on",
        "ear-lost",
        "ear-back",
        "ended",
    }
    assert [line.fields["outcome"] for line in live.talk.of("judged")][-1] == "pass"
    assert [line.seq for line in live.talk.lines] == list(range(40, 40 + len(live.talk.lines)))


def test_a_crash_after_any_event_loses_nothing(live):
    """Cut after any event, the run resumes at the same step with the same answers."""
    for count, at, progress in live.stood[:-1]:
        resumed = Talk(SEAM, lines=live.talk.lines[:count])

        assert resumed.at == at
        assert resumed.state.progress == progress
        assert resumed.lines[count].kind == "resumed"
        assert resumed.lines[count].fields["step"] == at
        assert resumed.says.startswith(lines.GOING_ON)


def test_a_crash_between_the_lines_of_one_event(live):
    """Cut in the middle of what one event wrote, it comes to where the event led or had begun."""
    order = [step.id for step in SEAM.steps]
    boundaries = {count for count, _, _ in live.stood}
    cuts = [count for count in range(1, len(live.talk.lines)) if count not in boundaries]
    assert cuts
    for cut in cuts:
        before = [row for row in live.stood if row[0] < cut][-1]
        after = next(row for row in live.stood if row[0] > cut)
        resumed = Talk(SEAM, lines=live.talk.lines[:cut])
        taking_back = "taken-back" in {line.kind for line in live.talk.lines[before[0] : after[0]]}

        if taking_back:
            low, high = sorted(order.index(row[1]) for row in (before, after))
            assert low <= order.index(resumed.at) <= high
        else:
            assert resumed.at == after[1]


@pytest.mark.parametrize("fraction", range(10))
def test_from_any_cut_it_comes_to_the_same_end(live, fraction):
    """Whatever line was the last, good answers from there on lead to a pass and the end."""
    count = len(live.talk.lines) - 1
    for cut in range(1 + fraction, count, 10):
        resumed = walk(Talk(SEAM, lines=live.talk.lines[:cut]), GOOD_STRIP)

        assert resumed.of("judged")[-1].fields["outcome"] == "pass"
        assert resumed.lines[-1].kind == "ended"


def test_a_read_back_without_a_yes_is_gone_after_a_crash():
    """A value that waited for its yes is asked for again: a yes alone brings nothing back."""
    talk = walk(Talk(SEAM), GOOD_STRIP, to="width").hear("inch and a quarter")
    assert talk.phase is Phase.CONFIRM
    resumed = Talk(SEAM, lines=talk.lines)
    assert (resumed.at, resumed.phase) == ("width", Phase.ANSWER)
    resumed.hear("yes")

    assert "width" not in resumed.answers()


def test_a_wait_begins_anew_after_a_crash():
    """How long the strip has cooled is not known, so the whole time is waited."""
    talk = walk(Talk(SEAM), GOOD_STRIP, to="cool")

    assert Talk(SEAM, lines=talk.lines).clock_s == 600


def test_a_stopped_run_goes_on():
    """Stop keeps what was confirmed; the next start goes on at the same step."""
    talk = walk(Talk(SEAM), GOOD_STRIP, to="width").hear("stop")
    resumed = Talk(SEAM, lines=talk.lines)
    assert resumed.at == "width"
    assert resumed.says == f"{lines.GOING_ON} The last answer was film tearing. How wide?"
    again = Talk(SEAM, lines=resumed.hear("stop").lines)
    walk(again, GOOD_STRIP)

    assert [line.kind for line in again.lines].count("resumed") == 2
    assert again.of("judged")[0].fields["outcome"] == "pass"


def test_the_last_value_is_told_as_it_was_said():
    """Whoever comes back hears which value was kept last, in the words that were said."""
    talk = walk(Talk(SEAM), GOOD_STRIP, to="whole")
    resumed = Talk(SEAM, lines=talk.lines)

    assert f"{lines.LAST_ANSWER} width: {GOOD_STRIP['width']}." in resumed.says


def test_an_answer_taken_back_is_not_told():
    """What no longer counts is not told as the last answer."""
    talk = walk(Talk(SEAM), GOOD_STRIP, to="whole").hear("scratch that")
    resumed = Talk(SEAM, lines=talk.lines)

    assert f"{lines.LAST_ANSWER} width" not in resumed.says


def test_a_taken_back_line_stays_taken_back():
    """After a resume an answer that was scratched does not come back."""
    talk = walk(Talk(SEAM), GOOD_STRIP, to="width").hear("scratch that")
    resumed = Talk(SEAM, lines=talk.lines)

    assert resumed.at == "failure"
    assert "failure" not in resumed.answers()


def test_a_broken_order_is_refused():
    """A record that takes back a line which did not move the run last is not guessed at."""
    talk = walk(Talk(SEAM), GOOD_STRIP, to="width")
    wrong = Line(
        "taken-back", {"step": "gun", "entry": 1, "said": "go back"}, talk.lines[-1].seq + 1
    )

    with pytest.raises(ValueError, match="not the last"):
        Talk(SEAM, lines=[*talk.lines, wrong])


def test_an_apprentice_hears_the_reason_at_once():
    """The detail changes what is told, and nothing of what counts."""
    said = {}
    for detail in Detail:
        talk = walk(Talk(SEAM, Settings(detail=detail)), GOOD_STRIP)
        said[detail] = " ".join(talk.said)
        assert talk.of("began")[0].fields["detail"] == detail.value
        assert len(talk.of("answered")) == 7

    assert "Water finds the narrowest place." in said[Detail.APPRENTICE]
    assert "Water finds the narrowest place." not in said[Detail.STANDARD]
