"""An hour of noise and an hour of talk, as an open microphone would hear them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from assistant.dialogue.prompts import COMMAND_PATIENCE_MS
from assistant.ear.sound import RATE_HZ
from assistant.words import grammars

from .engines import OURS, SPHINX
from .levels import Noises, chance, in_noise, stretch, synthetic
from .recordings_in import Recording, Sound
from .sets import Asked
from .work import Job

NOISE_HOUR, CHATTER_HOUR = "noise", "chatter"
SPHINX_MINUTES = 15
MINUTE = 60 * RATE_HZ
_LOUD_DBFS = (-50, -40, -30, -22, -14)
_TALK_DB = ("clean", "20", "10", "5", "0")
_GAP_S = (0.2, 2.0)


def questions(hour: str) -> tuple[Asked, ...]:
    """Return the three moments at which each utterance is tried."""
    # The shortest patience cuts talk into the most pieces, any of which might pass for a command.
    moments = (
        ("width asked", grammars.value("in")),
        ("yes or no asked", grammars.yes_no()),
        ("hands busy", grammars.done()),
    )
    return tuple(Asked(f"{hour}, {at}", told, "", COMMAND_PATIENCE_MS) for at, told in moments)


def noise_minutes(noises: Noises, minutes: int, engines: list[str]) -> list[Job]:
    """Return noise alone: every second minute recorded, the others made, at five loudnesses."""
    jobs = []
    for minute in range(minutes):
        loud = _LOUD_DBFS[minute // 2 % len(_LOUD_DBFS)]
        sound = partial(_noise, noises, minute, loud)
        jobs.append(_job(f"noise minute {minute}", f"{loud} dBFS", sound, NOISE_HOUR, engines))
    return jobs


def _noise(noises: Noises, minute: int, loud_dbfs: int) -> tuple[str, Sound]:
    rng = chance(f"noise minute {minute}")
    pieces, names = [], []
    for part in range(4):
        if minute % 2:
            name, piece = "made", synthetic(f"{minute}.{part}", MINUTE // 4)
        else:
            name, piece = noises.drawn(rng, MINUTE // 4)
        pieces.append(piece)
        names.append(name)
    sound: Sound = np.concatenate(pieces) * np.float32(10 ** (loud_dbfs / 20))
    return "+".join(names), sound


def chatter_minutes(
    talk: list[Recording], noises: Noises, minutes: int, engines: list[str]
) -> list[Job]:
    """Return talk that is not meant for Lapcall, joined with pauses, clean and in noise.

    Every clip is used once before any comes again.
    """
    if not talk:
        return []
    order = sorted(talk, key=lambda one: one.id)
    chance("chatter hour").shuffle(order)
    jobs, at = [], 0
    for minute in range(minutes):
        level = _TALK_DB[minute % len(_TALK_DB)]
        clips: list[Recording] = []
        rng, length = chance(f"chatter minute {minute}"), 0
        gaps: list[int] = []
        while length < MINUTE:
            clips.append(order[at % len(order)])
            gaps.append(int(rng.uniform(*_GAP_S) * RATE_HZ))
            length += len(clips[-1].sound()) + gaps[-1]
            at += 1
        sound = partial(_talk, noises, f"chatter minute {minute}", clips, gaps, level)
        jobs.append(_job(f"chatter minute {minute}", level, sound, CHATTER_HOUR, engines))
    return jobs


def _talk(
    noises: Noises, name: str, clips: list[Recording], gaps: list[int], level: str
) -> tuple[str, Sound]:
    parts: list[Sound] = []
    for clip, gap in zip(clips, gaps, strict=True):
        parts += [clip.sound(), np.zeros(gap, np.float32)]
    talk: Sound = np.concatenate(parts)
    if level == "clean":
        return "", talk
    which, _ = noises.drawn(chance(name), 1)
    around = stretch(noises.sounds[which], chance(name), len(talk))
    return which, in_noise(talk, around, level)


def _job(
    name: str,
    level: str,
    sound: Callable[[], tuple[str, Sound]],
    hour: str,
    engines: list[str],
) -> Job:
    # Sphinx takes nearly all talk for words: a few minutes show it.
    minute = int(name.rsplit(" ", 1)[1])
    quick = tuple(e for e in engines if e == OURS or (e == SPHINX and minute < SPHINX_MINUTES))
    return Job(name, "", level, sound, questions(hour), quick, stream=True)
