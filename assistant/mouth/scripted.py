"""Mouths without a loudspeaker: for tests, for rehearsals at a keyboard, and for silence."""

from __future__ import annotations

from collections.abc import Callable
from typing import TextIO

from assistant.mouth.ports import Tone
from assistant.mouth.wording import speakable

Uttered = tuple[str, str | Tone]


def spoken_line(text: str) -> str:
    """Return the line that stands for a spoken text."""
    return f"Lapcall: {text}\n"


def tone_line(tone: Tone) -> str:
    """Return the line that stands for a tone."""
    return f"[{tone.value}]\n"


class ScriptedMouth:
    """Remembers in ``uttered`` what it was told, in order; for tests.

    Entries are ``("say", text)`` and ``("tone", tone)``. ``cut_off`` holds texts that count as
    cut off when they are said.
    """

    def __init__(self, cut_off: tuple[str, ...] = ()) -> None:
        self.uttered: list[Uttered] = []
        self.prepared: list[str] = []
        self.cuts = 0
        self.closed = False
        self._cut_off = cut_off

    def prepare(self, sentences: list[str]) -> None:
        """Remember the sentences in ``prepared``."""
        self.prepared.extend(sentences)

    def say(self, text: str, between: Callable[[], None] | None = None) -> bool:
        """Remember ``text``, as one breath; raises ``ValueError`` when no voice could say it."""
        del between
        speakable(text)
        self.uttered.append(("say", text))
        return text not in self._cut_off

    def tone(self, tone: Tone) -> None:
        """Remember ``tone``."""
        self.uttered.append(("tone", tone))

    def cut(self) -> None:
        """Count the cut in ``cuts``."""
        self.cuts += 1

    def close(self) -> None:
        """Remember in ``closed`` that it was closed."""
        self.closed = True

    @property
    def said(self) -> list[str]:
        """The texts alone, in order."""
        return [what for how, what in self.uttered if how == "say" and isinstance(what, str)]


class PrintedMouth:
    """Writes a line for each text and tone to ``out``; writes nothing when ``silent``."""

    def __init__(self, out: TextIO, *, silent: bool = False) -> None:
        self._out = out
        self._silent = silent

    def prepare(self, sentences: list[str]) -> None:
        """Do nothing: printing needs no preparation."""

    def say(self, text: str, between: Callable[[], None] | None = None) -> bool:
        """Write ``text``; raises ``ValueError`` when no voice could say it."""
        del between
        speakable(text)
        self._write(spoken_line(text))
        return True

    def tone(self, tone: Tone) -> None:
        """Write the tone's name."""
        self._write(tone_line(tone))

    def cut(self) -> None:
        """Do nothing: what is written cannot be taken back."""

    def close(self) -> None:
        """Do nothing: ``out`` belongs to whoever gave it."""

    def _write(self, line: str) -> None:
        if not self._silent:
            self._out.write(line)
            self._out.flush()
