from __future__ import annotations

import pytest

from assistant.dialogue.events import MomentCame, QuietPassed, ReminderDue, TimeUp
from assistant.shift_clocks import Clocks


def passed(clocks: Clocks, count: int) -> list[tuple[float | None, object]]:
    """Return what comes next, with its time, so many times."""
    return [(clocks.due(), clocks.passed()) for _ in range(count)]


def test_a_reminder_comes_again_and_again():
    """From the start of the step, at even times, whenever it was taken."""
    clocks = Clocks()
    clocks.remind(100, 600)

    assert passed(clocks, 3) == [(700, ReminderDue()), (1300, ReminderDue()), (1900, ReminderDue())]


def test_reminders_stop_with_the_clock():
    """A step that is left reminds no more."""
    clocks = Clocks()
    clocks.remind(0, 600)
    clocks.stop()

    assert clocks.due() is None


def test_a_wait_may_remind_on_its_way():
    """Moments, reminders, silence and the end come in the order of time."""
    clocks = Clocks()
    clocks.start(0, 1000, (700,), at_once=False)
    clocks.remind(0, 400)
    clocks.quiet_at = 500
    found = [what for _, what in passed(clocks, 5)]

    assert found == [ReminderDue(), QuietPassed(), MomentCame(700), ReminderDue(), TimeUp()]


@pytest.mark.parametrize("seconds", [1.0, 5.0])
def test_a_reminder_does_not_speak_into_an_answer(seconds):
    """While somebody speaks it is put off."""
    clocks = Clocks()
    clocks.remind(0, 600)
    assert clocks.put_off(seconds)

    assert clocks.due() == 600 + seconds
