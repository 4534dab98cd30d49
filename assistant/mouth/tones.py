"""The seven tones as sound. Pure.

Made for ears beside a blower, some of which have heard many. The pips lie between 1 and 2.8 kHz:
above the bulk of a blower's rumble, below the 3 to 6 kHz where noise-worn hearing goes first. The
rhythm alone tells them apart, for in noise pitch is the first thing lost:

    LISTENING        .          one short pip
    HEARD            ..         two quick pips, rising
    NOT_UNDERSTOOD   - .  - .   long-short twice, falling: a question turned back
    PASSED           . . ---    three steps up, the last one held
    FAILED           --- ---    two long low notes that rattle
    AWAKE            .-         short and long, gliding up: eyes open
    ASLEEP           -.         long and short, gliding down: eyes shut

Each pip carries its second harmonic, so that a headset that is poor at one is good at the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.mouth.ports import Tone
from assistant.mouth.sound import Sound, Wave, from_wave

PEAK = 0.8
_EDGE_S = 0.006
"""Rise and fall of a pip; without them it clicks."""
_HARMONIC = 0.35
"""Strength of the second harmonic beside the first."""


@dataclass(frozen=True, slots=True)
class Pip:
    """One note and the silence behind it."""

    hz: float
    sounds_s: float
    rests_s: float = 0.0
    rattle_hz: float = 0.0
    """How often in a second its loudness dips; 0 for a smooth note."""


PIPS: dict[Tone, tuple[Pip, ...]] = {
    Tone.LISTENING: (Pip(1600, 0.09),),
    Tone.HEARD: (Pip(1400, 0.06, 0.05), Pip(2100, 0.06)),
    Tone.NOT_UNDERSTOOD: (
        Pip(1800, 0.14, 0.05),
        Pip(1350, 0.07, 0.12),
        Pip(1800, 0.14, 0.05),
        Pip(1350, 0.07),
    ),
    Tone.PASSED: (Pip(1320, 0.09, 0.05), Pip(1760, 0.09, 0.05), Pip(2640, 0.38)),
    Tone.AWAKE: (Pip(1200, 0.07, 0.05), Pip(2350, 0.2)),
    Tone.ASLEEP: (Pip(1950, 0.22, 0.05), Pip(1150, 0.07)),
    Tone.FAILED: (Pip(1250, 0.36, 0.12, rattle_hz=24), Pip(1050, 0.46, rattle_hz=24)),
}
"""For each tone, its pips in order."""


def tone_sound(tone: Tone, rate_hz: int = 22_050) -> Sound:
    """Return ``tone`` as sound, its peak at ``PEAK``."""
    wave = np.concatenate([_pip_wave(pip, rate_hz) for pip in PIPS[tone]])
    return from_wave(PEAK * wave / np.abs(wave).max(), rate_hz)


def _pip_wave(pip: Pip, rate_hz: int) -> Wave:
    at_s = np.arange(round(pip.sounds_s * rate_hz)) / rate_hz
    turn = 2 * np.pi * pip.hz * at_s
    wave = np.sin(turn) + _HARMONIC * np.sin(2 * turn)
    edge = np.clip(np.minimum(at_s, pip.sounds_s - at_s) / _EDGE_S, 0, 1)
    wave *= np.sin(np.pi / 2 * edge) ** 2
    if pip.rattle_hz:
        wave *= 0.6 + 0.4 * np.cos(2 * np.pi * pip.rattle_hz * at_s)
    return np.append(wave, np.zeros(round(pip.rests_s * rate_hz)))
