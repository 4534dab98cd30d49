"""One turn of the conversation: gathers what to do while the state changes.

Imports the modules of ``dialogue``. A ``Turn`` lives only inside ``loop.begin`` and ``loop.step``;
seen from outside they are pure functions.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from assistant.dialogue import once, progress
from assistant.dialogue.events import Action, Finish, Listen, Log, Say, Sound
from assistant.dialogue.prompts import grammar_for, patience_for, quiet_s_for
from assistant.dialogue.state import Phase, State
from assistant.procedure.model import AskYesNo, Warn
from assistant.words.marks import kept_always

DECIDING = (Phase.ANSWER, Phase.SECOND_WAY, Phase.CONFIRM)
"""Phases in which silence is answered with a reminder, then a hold."""


MAY_BE_CUT_SHORT = (Phase.ANSWER, Phase.SECOND_WAY, Phase.BUSY)
"""Phases in which the question or the instruction may be known before its end."""


class Turn:
    """A state on its way to the next one, and the actions so far."""

    def __init__(self, state: State, now: datetime | None = None) -> None:
        """``now`` is the local time of what happens in this turn, where it is known."""
        self.state = state
        self.now = now
        self.left_s: int | None = None
        """What is left of a wait, where the event told."""
        self.actions: list[Action] = []

    def change(self, **fields: Any) -> None:  # noqa: ANN401 - the fields of State
        """Set fields of the state."""
        self.state = replace(self.state, **fields)

    def say(self, *sentences: str) -> None:
        """Speak sentences, leaving out empty ones."""
        for sentence in sentences:
            if sentence:
                self.actions.append(Say(sentence))

    def ask(self, *sentences: str) -> None:
        """Speak sentences that "say again" repeats."""
        said = " ".join(sentence for sentence in sentences if sentence)
        if said:
            self.change(last_said=said)
            self.say(said)

    def sound(self, tone: str) -> None:
        """Play a tone."""
        self.actions.append(Sound(tone))

    def log(self, kind: str, **fields: object) -> None:
        """Write a record line, and move on as far as it says."""
        seq, state = self.state.next_seq, self.state
        whole = fields if state.finished else once.marked(state.step, kind, fields)
        self.actions.append(Log(kind, whole, seq))
        moved = progress.after(state.procedure, state.progress, kind, whole, seq)
        told = state.today.after(kind, whole, seq, self.now)
        self.change(next_seq=seq + 1, progress=moved, today=told)

    def listen(self) -> None:
        """Open the ear for what the phase waits for."""
        state = self.state
        deciding = state.phase in DECIDING or state.aside is not None
        plain = state.aside is None and isinstance(state.step, AskYesNo)
        heard_now = Listen(
            grammar_for(state),
            patience_for(state),
            quiet_s_for(state, deciding=deciding),
            keep_clip=deciding and not plain,
            keep_said=kept_always(),
        )
        self._let_be_cut_short(heard_now)
        self.actions.append(heard_now)

    def _let_be_cut_short(self, by: Listen) -> None:
        """Let an answer cut the question short that was asked last in this turn.

        Never a caution or a read-back: nobody has answered what was not heard to its end.
        """
        state = self.state
        if state.phase not in MAY_BE_CUT_SHORT or state.aside is not None:
            return
        if isinstance(state.step, Warn) or state.asleep:
            return
        spoken = [at for at, action in enumerate(self.actions) if not isinstance(action, Sound)]
        last = self.actions[spoken[-1]] if spoken else None
        if isinstance(last, Say) and last.text == state.last_said:
            sure_from = state.settings.trust.answer
            self.actions[spoken[-1]] = replace(last, answer=by, sure_from=sure_from)

    def listen_for_an_answer(self) -> None:
        """Open the ear, and sound the tone that says so."""
        self.sound("listening")
        self.listen()

    def finish(self, *, ended: bool) -> None:
        """Say that the conversation is over."""
        self.change(phase=Phase.OVER)
        self.actions.append(Finish(ended))
