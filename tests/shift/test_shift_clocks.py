from __future__ import annotations

from assistant.dialogue.events import MomentCame, QuietPassed, TimeUp
from assistant.shift_clocks import Clocks


def test_a_wait_tells_its_moments_and_its_end_in_order() -> None:
    """What is due comes in the order of time, each thing once."""
    clocks = Clocks()
    clocks.start(100.0, 600, (300, 540), at_once=False)
    due = []
    while clocks.due() is not None:
        due.append((clocks.due(), clocks.passed()))

    assert due == [(400.0, MomentCame(300)), (640.0, MomentCame(540)), (700.0, TimeUp())]


def test_in_a_rehearsal_all_of_it_passes_at_once() -> None:
    """The moments still come, and before the end."""
    clocks = Clocks()
    clocks.start(100.0, 600, (300,), at_once=True)

    assert clocks.due() == 100.0
    assert [clocks.passed(), clocks.passed()] == [MomentCame(300), TimeUp()]


def test_what_is_left_is_rounded_up() -> None:
    """Whole seconds, nothing without a wait, and never below nought."""
    clocks = Clocks()
    assert clocks.left_s(5.0) is None
    clocks.start(5.0, 60, (), at_once=False)

    assert [clocks.left_s(5.0), clocks.left_s(5.4), clocks.left_s(64.9)] == [60, 60, 1]
    assert clocks.left_s(70.0) == 0


def test_silence_and_a_wait_run_side_by_side() -> None:
    """Whichever is due first comes first, and the other stays."""
    clocks = Clocks()
    clocks.start(0.0, 10, (), at_once=False)
    clocks.quiet_at = 4.0
    assert clocks.passed() == QuietPassed()

    assert (clocks.due(), clocks.passed(), clocks.waiting) == (10.0, TimeUp(), False)


def test_silence_and_moments_may_be_put_off_but_the_end_may_not() -> None:
    """Nobody is spoken into, and no wait gets longer for it."""
    clocks = Clocks()
    clocks.start(0.0, 10, (5,), at_once=False)
    clocks.quiet_at = 4.0
    assert clocks.put_off(0.5)
    assert clocks.due() == 4.5
    clocks.passed()
    assert clocks.put_off(1.0)
    assert clocks.due() == 6.0
    clocks.passed()

    assert not clocks.put_off(1.0)
    assert clocks.due() == 10.0


def test_stopped_there_is_nothing_left() -> None:
    """A wait that is left behind tells nothing more."""
    clocks = Clocks()
    clocks.start(0.0, 10, (5,), at_once=False)
    clocks.stop()

    assert clocks.due() is None
    assert clocks.left_s(1.0) is None
