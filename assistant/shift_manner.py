"""How the shell behaves, chosen at the start. Used by ``shift``; imports nothing of ours."""

from __future__ import annotations

from dataclasses import dataclass

ECHO_TAIL_S = 0.5
"""Ears stay shut so long after a sentence: the room still speaks it back (measured 0.42 s)."""

LET_SPEAK_S = 0.5
"""How often it is looked whether somebody still speaks, once silence would have been too long."""

STOP_HEARD_EVERY_S = 5.0
"""After so long with shut ears "stop" is listened for at the end of a sentence."""
STOP_HEARD_FOR_S = 0.5
"""For so long, unless somebody speaks: a pause between sentences, and no more."""
STOP_AT_MOST_S = 3.0
"""However long somebody speaks meanwhile."""

STOP_PATIENCE_MS = 300
"""Silence that ends a word said into Lapcall's own speech."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How the shell behaves."""

    headset: bool = False
    """The microphone does not hear the loudspeaker: "stop" is heard while Lapcall speaks."""
    pretend_time: bool = False
    """A rehearsal: waits pass at once, and a scripted silence is as good as a real one."""
    echo_tail_s: float = ECHO_TAIL_S
    cut_short: bool = False
    """With a headset, an answer that is said into its question cuts it short."""

    @property
    def tail_s(self) -> float:
        """How long the room speaks a sentence back into the microphone."""
        return 0.0 if self.headset else self.echo_tail_s
