"""An open microphone beside talk and noise, through gate, recogniser and dialogue.

Used by tests/bench/attention.py. What Lapcall says takes its time: meanwhile its ears are shut.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from bench.ear import cutting
from support.seam import CLEAN, DIAL, procedure
from support.talk import Talk

from assistant.dialogue.state import Settings, Trust
from assistant.ear.gate import FRAME_BYTES, Gate, SpeechProbability
from assistant.ear.listening import Hears, Listening
from assistant.ear.ports import Heard
from assistant.ear.sound import RATE_HZ
from assistant.ear.trust import ANSWER_TRUST, VALUE_TRUST
from assistant.record import kinds

ASLEEP, JUST_TOLD = "asleep", "just told, still awake"
MOMENTS = (ASLEEP, JUST_TOLD)
_FRAME_S = FRAME_BYTES / (2 * RATE_HZ)
_WORDS_A_S = 2.5
_TONE_S = 0.4
_TAIL_S = 0.5


@dataclass(frozen=True)
class Night:
    """What one stretch of sound did to a sleeping Lapcall."""

    moment: str
    utterances: int = 0
    wakes: int = 0
    """Times that it woke and said where we are, or asked for "stop" once more."""
    moved: int = 0
    """Steps that were advanced."""
    stops: int = 0
    entries: int = 0
    """Record lines of any kind."""
    awake_s: float = 0.0
    heard: tuple[str, ...] = ()
    """What was taken for words of ours, with its confidence."""

    def __add__(self, other: Night) -> Night:
        return Night(
            self.moment,
            self.utterances + other.utterances,
            self.wakes + other.wakes,
            self.moved + other.moved,
            self.stops + other.stops,
            self.entries + other.entries,
            self.awake_s + other.awake_s,
            self.heard + other.heard,
        )


def night(pcm: bytes, moment: str, recogniser: Hears, network: SpeechProbability) -> Night:
    """Return what ``pcm`` does while hands are busy; after a stop Lapcall is started again."""
    found, listening = Night(moment), Listening(recogniser, Gate(network))
    talk = _begun(moment)
    deaf_s, quiet_s = 0.0, 0.0
    _listen(talk, listening)
    for frame in cutting.frames(pcm):
        found = replace(found, awake_s=found.awake_s + (0 if talk.state.asleep else _FRAME_S))
        if deaf_s > 0:
            deaf_s -= _FRAME_S
            continue
        heard = listening.push(frame)
        quiet_s = 0.0 if listening.speaking else quiet_s + _FRAME_S
        limit_s = talk.listening.quiet_s if talk.listening else None
        if heard is None and (limit_s is None or quiet_s < limit_s):
            continue
        if heard is None:
            talk.quiet()
        else:
            found = _with(found, talk, heard)
        if talk.finished or talk.at != DIAL.id:
            talk = _begun(moment)
        else:
            deaf_s = len(talk.says.split()) / _WORDS_A_S + _TONE_S * len(talk.tones)
            deaf_s += _TAIL_S if talk.says else 0.0
        quiet_s = 0.0
        _listen(talk, listening)
    return found


def _begun(moment: str) -> Talk:
    talk = Talk(procedure(DIAL, CLEAN), Settings(trust=Trust(ANSWER_TRUST, VALUE_TRUST)))
    return talk.quiet() if moment == ASLEEP else talk


def _listen(talk: Talk, listening: Listening) -> None:
    if talk.listening is None:
        raise RuntimeError("nobody listens")
    listening.begin(talk.listening.grammar, talk.listening.patience_ms)


def _with(found: Night, talk: Talk, heard: Heard) -> Night:
    slept, lines = talk.state.asleep, len(talk.lines)
    talk.hear(heard.text, confidence=heard.confidence)
    new = talk.lines[lines:]
    ours = bool(heard.text) and "[unk]" not in heard.text
    return replace(
        found,
        utterances=found.utterances + 1,
        wakes=found.wakes + (slept and not talk.state.asleep),
        moved=found.moved + (talk.at != DIAL.id),
        stops=found.stops + sum(1 for line in new if line.kind == kinds.STOPPED),
        entries=found.entries + len(new),
        heard=(*found.heard, f"{heard.text} ({heard.confidence:.2f})") if ours else found.heard,
    )


def nights_table(nights: list[Night], minutes: dict[str, int]) -> list[str]:
    """Return the rows of all moments; ``minutes`` of each sound were heard."""
    rows = [
        "| at first | minutes | utterances | wakes | steps advanced | stops | record lines | "
        "awake | taken for words |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for moment in MOMENTS:
        whole = sum((one for one in nights if one.moment == moment), Night(moment))
        told = "; ".join(whole.heard) or "nothing"
        total = sum(minutes.values())
        rows.append(
            f"| {moment} | {total} | {whole.utterances} | {whole.wakes} | {whole.moved} | "
            f"{whole.stops} | {whole.entries} | {whole.awake_s:.0f} s | {told} |"
        )
    return rows
