"""One turn of a drill: gathers what to do while the state changes. Imports ``drill``."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from assistant.dialogue.events import Action, Listen, Log, Say, Sound
from assistant.drill import hearing
from assistant.drill.model import Question
from assistant.drill.state import Phase, State
from assistant.record import kinds
from assistant.words.phrase import Grammar


def grammar_for(state: State) -> Grammar:
    """Return what may be heard now."""
    if state.phase is Phase.HOLD or state.question is None:
        return hearing.on_hold()
    if state.phase is Phase.SECOND_WAY:
        return hearing.numbered(len(state.question.choices))
    return hearing.answers(state.question.choices)


class Turn:
    """A state on its way to the next one, and the actions so far."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.actions: list[Action] = []

    @property
    def result(self) -> tuple[State, tuple[Action, ...]]:
        """What has become of the state, and what to do, in order."""
        return self.state, tuple(self.actions)

    @property
    def question(self) -> Question:
        """What is asked; raises ``ValueError`` where nothing is."""
        if self.state.question is None:
            raise ValueError("nothing is asked")
        return self.state.question

    def change(self, **fields: Any) -> None:  # noqa: ANN401 - the fields of State
        """Set fields of the state."""
        self.state = replace(self.state, **fields)

    def say(self, *sentences: str) -> None:
        """Speak sentences, leaving out empty ones."""
        self.actions += [Say(text) for text in sentences if text]

    def sound(self, tone: str) -> None:
        """Play a tone."""
        self.actions.append(Sound(tone))

    def log(self, kind: str, **fields: object) -> None:
        """Write a record line that names the drill."""
        seq = self.state.next_seq
        if kind != kinds.DRILL_BEGAN:
            fields["drill"] = self.state.began
        self.actions.append(Log(kind, fields, seq))
        self.change(next_seq=seq + 1)

    def ask(self, text: str, *before: str) -> None:
        """Say sentences and then what "say again" repeats, and listen for the answer."""
        self.say(*before)
        self.change(last_said=text)
        self.ask_once_more()

    def ask_once_more(self) -> None:
        """Say what was asked last, and listen."""
        listen = self._listening()
        may_cut = self.state.phase is not Phase.HOLD
        sure_from = self.state.manner.sure_from
        self.actions.append(Say(self.state.last_said, listen if may_cut else None, sure_from))
        self.sound("listening")
        self.actions.append(listen)

    def listen(self) -> None:
        """Open the ear for what the phase waits for."""
        self.actions.append(self._listening())

    def _listening(self) -> Listen:
        held = self.state.phase is Phase.HOLD
        quiet_s = None if held else self.state.manner.quiet_s
        return Listen(grammar_for(self.state), hearing.PATIENCE_MS, quiet_s)
