from __future__ import annotations

import pytest

from assistant.errors import LapcallError
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import Moment

TOP = "procedure: small\ntitle: Small\nversion: '1'\nsteps:\n"
WAIT = TOP + "  - id: cool\n    wait: 10 min\n    say: Let it cool.\n"


def loaded(tmp_path, text):
    """Return the first step of a checklist."""
    path = tmp_path / "small.yaml"
    path.write_text(text, encoding="utf-8")
    return load_procedure(path).steps[0]


def test_moments_stand_in_the_order_of_time(tmp_path):
    """Before the end and again and again; what falls together is said together."""
    step = loaded(
        tmp_path,
        WAIT + "    meanwhile:\n"
        "      - {left: 4 min, say: Four minutes.}\n"
        "      - {every: 3 min, say: Look.}\n",
    )

    assert step.moments == (
        Moment(180, "Look."),
        Moment(360, "Four minutes. Look."),
        Moment(540, "Look."),
    )


def test_a_wait_may_be_silent(tmp_path):
    """Without moments there are none."""
    step = loaded(tmp_path, WAIT)

    assert step.moments == ()
    assert step.hands_busy is False


@pytest.mark.parametrize(
    ("item", "told"),
    [
        ("{say: Look.}", "one of 'left' and 'every'"),
        ("{left: 1 min, every: 2 min, say: Look.}", "one of 'left' and 'every'"),
        ("{left: 10 min, say: Look.}", "not shorter than the wait"),
        ("{every: 20 min, say: Look.}", "not shorter than the wait"),
        ("{left: 0.5 s, say: Look.}", "not whole seconds"),
        ("{left: soon, say: Look.}", "left"),
        ("{left: 1 min}", "lacks this key"),
        ("{left: 1 min, say: Look at 3.}", "say"),
        ("{left: 1 min, say: Look., tone: loud}", "no such key"),
        ("Look.", "is no moment"),
        ("{every: 1 s, say: Look.}", "at most 200 times"),
    ],
)
def test_a_moment_with_a_fault_is_refused(tmp_path, item, told):
    """Each fault of a moment is told, with what to write instead."""
    with pytest.raises(LapcallError, match=told):
        loaded(tmp_path, f"{WAIT}    meanwhile:\n      - {item}\n")


def test_hands_are_busy_only_where_somebody_waits(tmp_path):
    """The mark belongs to a step that waits for done, or to a wait."""
    tell = TOP + "  - id: weld\n    tell: Weld.\n    hands: busy\n"
    assert loaded(tmp_path, tell + "    until: done\n").hands_busy
    assert loaded(tmp_path, WAIT + "    hands: busy\n").hands_busy

    with pytest.raises(LapcallError, match="over at once"):
        loaded(tmp_path, tell)


def test_a_question_says_how_long_it_may_take(tmp_path):
    """Whole seconds up to ten minutes, on questions alone."""
    ask = TOP + (
        "  - id: clean\n    ask: Clean?\n    answer: yes-no\n    hoped: 'yes'\n"
        "    otherwise: {say: Clean it., then: again}\n"
    )
    assert loaded(tmp_path, ask).quiet_s is None
    assert loaded(tmp_path, ask + "    quiet: 45 s\n").quiet_s == 45

    for wrong in ("quiet: 11 min", "quiet: 0.5 s"):
        with pytest.raises(LapcallError, match="quiet"):
            loaded(tmp_path, ask + f"    {wrong}\n")
    with pytest.raises(LapcallError, match="no such key"):
        loaded(tmp_path, WAIT + "    quiet: 45 s\n")
