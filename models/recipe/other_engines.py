"""Speech engines beside the network of ``speech.py``, each behind the same two questions.

``flite``, ``festival`` and ``espeak`` are system programs. How an utterance is spoken (a
``Manner``) is drawn first and kept in the plan, so that making it again sounds the same.
"""

from __future__ import annotations

import random
import re
import subprocess
import tempfile
from pathlib import Path
from typing import ClassVar, Protocol

from speech import Sound

Manner = dict[str, float]
"""Named settings of one utterance; "size" makes the speaker's throat shorter above 1."""

RESPELLED = {
    "fishmouth": "fish mouth",
    "preweld": "pre weld",
    "lapcall": "lap call",
    "read": "reed",
}
"""Words that engines read otherwise than meant here; the next two add those of one engine."""
ESPEAK_SPELLINGS = {**RESPELLED, "tear": "tare", "one": "wun"}
FLITE_SPELLINGS = {**RESPELLED, "tear": "tair", "scrim": "scrimm"}
_FESTIVAL_WORDS = " ".join(
    f'(lex.add.entry \'("{word}" {part} ((({sounds}) 1))))'
    for word, sounds in (("tear", "t eh r"), ("scrim", "s k r ih m"))
    for part in ("nil", "n", "v")
)


class Engine(Protocol):
    """Something that speaks a text in one of its voices."""

    voices: ClassVar[dict[str, int]]
    """How often each voice is wanted, beside the others."""

    def manner(self, voice: str, rng: random.Random) -> Manner:
        """Draw how one utterance is spoken."""
        ...

    def say(self, text: str, voice: str, manner: Manner) -> tuple[Sound, int]:
        """Return speech and its sampling rate. ``text`` may end in a punctuation mark."""
        ...


def respelled(text: str, spellings: dict[str, str]) -> str:
    """Return the text with whole words written as an engine needs them."""
    return re.sub(r"[a-z]+", lambda found: spellings.get(found[0], found[0]), text)


def _spoken_by(command: list[str], placeholder: str = "WAV") -> tuple[Sound, int]:
    """Run a program that writes a sound file where the command says ``placeholder``."""
    import soundfile  # noqa: PLC0415  # the pure parts above need no sound

    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "said.wav"
        program = [part.replace(placeholder, str(made)) for part in command]
        subprocess.run(program, capture_output=True, check=True, timeout=60)
        sound, rate = soundfile.read(made, dtype="float32")
    return sound, int(rate)


class Flite:
    """Five small voices: kal joins diphones, the others are statistical."""

    voices: ClassVar[dict[str, int]] = {"slt": 30, "rms": 30, "awb": 22, "kal16": 12, "kal": 6}
    _PITCH_HZ: ClassVar[dict[str, float]] = {
        "slt": 175.0,
        "awb": 130.0,
        "kal": 105.0,
        "kal16": 105.0,
        "rms": 105.0,
    }

    def manner(self, voice: str, rng: random.Random) -> Manner:
        """Draw pace, pitch and build."""
        return {
            "stretch": rng.uniform(0.75, 1.4),
            "pitch": self._PITCH_HZ[voice] * rng.uniform(0.8, 1.3),
            "size": rng.uniform(0.9, 1.15),
        }

    def say(self, text: str, voice: str, manner: Manner) -> tuple[Sound, int]:
        """Return speech and its sampling rate."""
        settings = {
            "duration_stretch": manner["stretch"],
            "int_f0_target_mean": manner["pitch"],
        }
        command = ["flite", "-voice", voice, "-t", respelled(text, FLITE_SPELLINGS), "-o", "WAV"]
        for name, value in settings.items():
            command += ["--setf", f"{name}={value:.3f}"]
        return _spoken_by(command)


class Festival:
    """Two diphone voices of men and a statistical one of a woman."""

    voices: ClassVar[dict[str, int]] = {
        "kal_diphone": 35,
        "ked_diphone": 30,
        "cmu_us_slt_arctic_hts": 35,
    }

    def manner(self, voice: str, rng: random.Random) -> Manner:
        """Draw pace, pitch and build; the statistical voice keeps its pitch."""
        return {
            "stretch": rng.uniform(0.75, 1.4),
            "pitch": rng.uniform(85, 150),
            "spread": rng.uniform(8, 28),
            "size": rng.uniform(0.85 if voice.endswith("hts") else 0.9, 1.15),
        }

    def say(self, text: str, voice: str, manner: Manner) -> tuple[Sound, int]:
        """Return speech and its sampling rate."""
        lines = [f"(voice_{voice})", _FESTIVAL_WORDS]
        if voice.endswith("hts"):
            pace = f'(list "-r" {1 / manner["stretch"]:.3f})'
            lines.append(f"(set! hts_engine_params (append hts_engine_params (list {pace})))")
        else:
            pitch = f"(target_f0_mean {manner['pitch']:.0f}) (target_f0_std {manner['spread']:.0f})"
            lines.append(f"(Parameter.set 'Duration_Stretch {manner['stretch']:.3f})")
            lines.append(f"(set! int_lr_params '({pitch} (model_f0_mean 170) (model_f0_std 34)))")
        said = respelled(text, RESPELLED)
        lines.append(f'(utt.save.wave (utt.synth (Utterance Text "{said}")) "WAV" \'riff)')
        return _spoken_by(["festival", "-b", f"(begin {' '.join(lines)})"])


class Espeak:
    """A formant synthesiser: robotic, but with many accents and builds."""

    voices: ClassVar[dict[str, int]] = {
        "en-us": 40,
        "en-us-nyc": 12,
        "en-gb": 12,
        "en-gb-scotland": 12,
        "en-gb-x-rp": 12,
        "en-029": 12,
    }
    _BUILDS = tuple(f"m{number}" for number in range(1, 8)) + tuple(
        f"f{number}" for number in range(1, 6)
    )

    def manner(self, voice: str, rng: random.Random) -> Manner:
        """Draw build, pace in words a minute, and pitch from 0 to 99."""
        del voice
        return {
            "build": rng.randrange(len(self._BUILDS)),
            "pace": rng.randint(120, 200),
            "pitch": rng.randint(30, 70),
            "size": 1.0,
        }

    def say(self, text: str, voice: str, manner: Manner) -> tuple[Sound, int]:
        """Return speech and its sampling rate."""
        build = self._BUILDS[int(manner["build"])]
        settings = ["-s", f"{manner['pace']:.0f}", "-p", f"{manner['pitch']:.0f}", "-w", "WAV"]
        said = respelled(text, ESPEAK_SPELLINGS)
        return _spoken_by(["espeak-ng", "-v", f"{voice}+{build}", *settings, said])


ENGINES: dict[str, type[Engine]] = {"flite": Flite, "festival": Festival, "espeak": Espeak}
