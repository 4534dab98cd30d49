# ruff: noqa: RUF001  # phoneme signs look like other letters
"""Speech engines beside the network of ``speech.py``, each behind the same two questions.

``joe`` is a VITS network read with espeak-ng's phonemes; ``flite``, ``festival`` and ``espeak`` are
system programs. How an utterance is spoken (a ``Manner``) is drawn first and kept in the plan, so
that making it again sounds the same but for the randomness inside the VITS network.
"""

from __future__ import annotations

import json
import random
import re
import subprocess
import tempfile
from pathlib import Path
from typing import Any, ClassVar, Protocol

import numpy as np
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


def phoneme_numbers(signs: str, numbers: dict[str, list[int]]) -> list[int]:
    """Return what a VITS voice reads: begin, then each sign with a pad behind it, then end.

    Signs that the voice does not know are left out.
    """
    pad = numbers["_"]
    found = [*numbers["^"], *pad]
    for sign in signs:
        if sign in numbers:
            found += [*numbers[sign], *pad]
    return [*found, *numbers["$"]]


_FOREIGN = {"ɒ": "ɑː", "r": "ɹ", "a": "æ", "ʉ": "ʊ", "ʍ": "w", "ʲ": "", ":": "ː"}
"""Vowels of other accents that a voice of American speech never met, by what comes nearest."""


def americanised(signs: str) -> str:
    """Return signs of another accent in those an American voice has learnt."""
    kept = re.sub(r"a(?=[ɪʊ])", "A", signs)
    for sign, near in _FOREIGN.items():
        kept = kept.replace(sign, near)
    return kept.replace("A", "a")


_CASUAL = (
    ("ˈeɪtθ", "ˈeɪθ", 0.25),
    ("twˈɛnti", "twˈɛni", 0.4),
    ("hˈʌndɹɪd", "hˈʌnɚd", 0.15),
    ("kwˈɔːɹɾɚ", "kˈɔːɹɾɚ", 0.15),
)


def casual(signs: str, rng: random.Random) -> str:
    """Clip some words as people do; ``pronounce.py`` lists every form that comes out."""
    for careful, clipped, chance in _CASUAL:
        if careful in signs and rng.random() < chance:
            signs = signs.replace(careful, clipped)
    return signs


def _program_output(command: list[str]) -> str:
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60)
    return done.stdout


def _spoken_by(command: list[str], placeholder: str = "WAV") -> tuple[Sound, int]:
    """Run a program that writes a sound file where the command says ``placeholder``."""
    import soundfile  # noqa: PLC0415  # the pure parts above need no sound

    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "said.wav"
        _program_output([part.replace(placeholder, str(made)) for part in command])
        sound, rate = soundfile.read(made, dtype="float32")
    return sound, int(rate)


_SHORT_SIGNS = 8
_ALONE = 1.3
"""Joe clips a short word alone; so much longer sounds like a person."""


class Joe:
    """A VITS voice of one American man, in several accents and builds."""

    voices: ClassVar[dict[str, int]] = {
        "en-us": 75,
        "en-us-nyc": 7,
        "en-gb": 6,
        "en-gb-scotland": 6,
        "en-gb-x-rp": 6,
    }

    def __init__(self, network: Path) -> None:
        """Load ``network``, an ONNX file with its settings beside it in ``.onnx.json``."""
        import onnxruntime  # noqa: PLC0415  # heavy, and not needed for the other engines

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        self._network: Any = onnxruntime.InferenceSession(
            str(network), options, providers=["CPUExecutionProvider"]
        )
        settings = json.loads(Path(f"{network}.json").read_text("utf-8"))
        self._numbers: dict[str, list[int]] = settings["phoneme_id_map"]
        self._rate: int = settings["audio"]["sample_rate"]

    def manner(self, voice: str, rng: random.Random) -> Manner:
        """Draw how evenly, how slowly and by whom it is said."""
        del voice
        return {
            "noise": rng.uniform(0.4, 1.0),
            "length": rng.uniform(0.75, 1.35),
            "rhythm": rng.uniform(0.4, 1.1),
            "size": rng.uniform(0.88, 1.22),
            "casual": rng.random(),
        }

    def say(self, text: str, voice: str, manner: Manner) -> tuple[Sound, int]:
        """Return speech and its sampling rate."""
        bare = text.rstrip(".!?")
        asked = ["espeak-ng", "-q", "--ipa", "-v", voice, respelled(bare, ESPEAK_SPELLINGS)]
        clauses = [clause.strip() for clause in _program_output(asked).splitlines()]
        signs = ", ".join(clause for clause in clauses if clause)
        if voice != "en-us":
            signs = americanised(signs)
        signs = casual(signs, random.Random(manner["casual"])) + (text[len(bare) :] or ".")
        read = phoneme_numbers(signs, self._numbers)
        length = manner["length"] * (_ALONE if len(signs) < _SHORT_SIGNS else 1.0)
        feed = {
            "input": np.array([read], np.int64),
            "input_lengths": np.array([len(read)], np.int64),
            "scales": np.array([manner["noise"], length, manner["rhythm"]], np.float32),
        }
        return np.ravel(self._network.run(None, feed)[0]), self._rate


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


ENGINES = ("joe", "flite", "festival", "espeak")


def engine_named(name: str, network: Path | None) -> Engine:
    """Return the engine of a name in ``ENGINES``; joe needs the ONNX file of its network."""
    if name == "joe":
        if network is None:
            raise SystemExit("joe needs --network FILE.onnx; see README.md beside this file.")
        return Joe(network)
    known: dict[str, type[Engine]] = {"flite": Flite, "festival": Festival, "espeak": Espeak}
    return known[name]()
