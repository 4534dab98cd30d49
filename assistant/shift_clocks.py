"""What is due when: a silence that is too long, the moments of a wait, its end. Used by ``shift``.

Times are seconds of the monotonic clock, passed in.
"""

from __future__ import annotations

from assistant.dialogue.events import MomentCame, QuietPassed, ReminderDue, TimeUp


class Clocks:
    """The clocks of one conversation; all stand at first."""

    def __init__(self) -> None:
        self.quiet_at: float | None = None
        """When silence has lasted too long."""
        self._ends_at: float | None = None
        self._moments: list[tuple[float, int]] = []
        self._remind_at: float | None = None
        self._remind_every_s = 0

    def start(self, now: float, seconds: int, moments: tuple[int, ...], *, at_once: bool) -> None:
        """Start the clock of a wait; with ``at_once`` all of it passes now, as in a rehearsal."""
        self._ends_at = now if at_once else now + seconds
        self._moments = [(now if at_once else now + after_s, after_s) for after_s in moments]

    def remind(self, now: float, every_s: int) -> None:
        """Say again and again that it is time for a reminder, until ``stop``."""
        self._remind_at, self._remind_every_s = now + every_s, every_s

    def stop(self) -> None:
        """Forget the wait, and the reminders."""
        self._ends_at, self._moments = None, []
        self._remind_at = None

    @property
    def waiting(self) -> bool:
        """Whether a wait runs."""
        return self._ends_at is not None

    def left_s(self, now: float) -> int | None:
        """Return what is left of the wait in whole seconds, rounded up; None without one."""
        return None if self._ends_at is None else max(0, -int((now - self._ends_at) // 1))

    def due(self) -> float | None:
        """Return when the next thing is due, or None."""
        times = [at for at in (self.quiet_at, self._ends_at, self._remind_at) if at is not None]
        return min(times + [at for at, _ in self._moments[:1]], default=None)

    def put_off(self, seconds: float) -> bool:
        """Put off what is due next; False where it is the end of a wait, which nothing delays."""
        due = self.due()
        if due is None or due == self._ends_at:
            return False
        if self._moments and due == self._moments[0][0]:
            self._moments[0] = (due + seconds, self._moments[0][1])
        elif due == self._remind_at:
            self._remind_at = due + seconds
        else:
            self.quiet_at = due + seconds
        return True

    def passed(self) -> QuietPassed | MomentCame | ReminderDue | TimeUp:
        """Take what is due next, and return what it is."""
        due = self.due()
        if self._moments and due == self._moments[0][0]:
            return MomentCame(self._moments.pop(0)[1])
        if self._ends_at is not None and due == self._ends_at:
            self.stop()
            return TimeUp()
        if self._remind_at is not None and due == self._remind_at:
            self._remind_at = due + self._remind_every_s
            return ReminderDue()
        self.quiet_at = None
        return QuietPassed()
