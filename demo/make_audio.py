"""Speak the lines of the demo's shift: demo/shift.yaml -> demo/audio/*.wav.

The script names its voices and lists its lines::

    voices: {welder: af_nova, second: bm_george}
    lines:
      - {id: 001-yes, voice: welder, say: "yes"}
      - {id: 002-width, voice: welder, say: "inch and a quarter", noise_db: 10}
      - {id: 003-lost, voice: welder, say: "one and a half", mumble: true}

``noise_db`` puts a blower behind the voice, that many decibels below it. ``mumble`` makes a line
that nobody can read a number from. ``speed`` is 1 unless given. Other keys belong to the demo.
Lines that have not changed since the last run are left alone.

Run: ``python demo/make_audio.py --parts PARTS``, or
``python demo/make_audio.py --parts PARTS --say "carry on" --voice af_nova --out x.wav``.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import sys
from dataclasses import asdict, dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

DEMO = Path(__file__).resolve().parent
sys.path.insert(0, str(DEMO.parent / "models" / "recipe"))

import noise  # noqa: E402
from speech import RATE, Parts, PartsMissingError, Phonemiser, Speaker, to_int16  # noqa: E402
from voices import UnknownVoiceError, voice_from  # noqa: E402

MADE_BY = 1
"""Raise it when the sound of every line should change."""
# The tail is longer than the patience of any step, so that the blower never stops in mid-answer.
LEAD_IN, TAIL = round(0.3 * RATE), round(1.4 * RATE)
MUMBLE_SPEED = 1.6
MUMBLE_HERTZ = 600
MUMBLE_DB = -14
PARTS_VARIABLE = "LAPCALL_SPEECH_PARTS"
Sound = NDArray[np.float32]
Spec = str | list[str | float | None]


class ShiftError(Exception):
    """The script of the shift cannot be spoken; the message says which line and why."""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing said."""

    id: str
    voice: Spec
    say: str
    noise_db: float | None = None
    """Speech over blower noise in decibels; none means a quiet place."""
    mumble: bool = False
    speed: float = 1.0

    def fingerprint(self) -> str:
        """Return a hash of everything that decides how the line sounds."""
        told = json.dumps([MADE_BY, asdict(self)], sort_keys=True)
        return hashlib.sha256(f"{told} {LEAD_IN} {TAIL}".encode()).hexdigest()


def read_lines(path: Path) -> list[Line]:
    """Read the script.

    Raises:
        ShiftError: there is no script, or a line lacks something or names an unknown voice.
    """
    import yaml  # noqa: PLC0415  # single clips need no YAML

    try:
        shift = yaml.safe_load(path.read_text("utf-8"))
    except FileNotFoundError:
        raise ShiftError(f"There is no script {path}.") from None
    speakers: dict[str, Spec] = shift.get("voices", {})
    lines = [_line(entry, speakers) for entry in shift.get("lines", [])]
    ids = [line.id for line in lines]
    twice = sorted({name for name in ids if ids.count(name) > 1})
    if twice:
        raise ShiftError(f"More than one line is called {', '.join(twice)}.")
    return lines


def _line(entry: dict[str, Any], speakers: dict[str, Spec]) -> Line:
    name = str(entry.get("id", "?"))
    lacking = [key for key in ("id", "voice", "say") if not entry.get(key)]
    if lacking:
        raise ShiftError(f"Line {name} has no {', '.join(lacking)}: {entry}")
    if entry["voice"] not in speakers:
        raise ShiftError(f"Line {name}: no voice is called {entry['voice']!r}.")
    if not isinstance(entry["say"], str):
        raise ShiftError(f"Line {name}: put quotes around {entry['say']!r}, or YAML changes it.")
    how = {key: entry[key] for key in ("noise_db", "mumble", "speed") if key in entry}
    return Line(name, speakers[entry["voice"]], entry["say"], **how)


class Studio:
    """Speaks lines. Parts are looked for only when the first line needs them."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder

    @cached_property
    def _speaker(self) -> Speaker:
        if self._folder is None:
            raise PartsMissingError(["the folder of parts"])
        return Speaker(Parts(self._folder))

    @cached_property
    def _english(self) -> Phonemiser:
        return Phonemiser()

    def record(self, line: Line) -> NDArray[np.int16]:
        """Return a line with its background, as 16-bit samples."""
        seed = int(line.fingerprint()[:8], 16)
        sound = self._framed(line)
        rng = np.random.default_rng(seed)
        if line.noise_db is not None:
            blower = noise.make(rng, len(sound), "blower")
            sound = noise.mix(sound, blower, line.noise_db)
        return to_int16(sound + noise.room(rng, len(sound)))

    def _framed(self, line: Line) -> Sound:
        """Return the voice between its lead-in and its tail."""
        speed = MUMBLE_SPEED if line.mumble else line.speed
        signs = self._english.phonemes(line.say.lower(), ".")
        voice = self._speaker.say(signs, voice_from(line.voice), speed, margin=0)
        if len(voice) == 0:
            raise ShiftError(f"Line {line.id} came out silent; say it differently.")
        return np.pad(muffled(voice) if line.mumble else voice, (LEAD_IN, TAIL))


def muffled(sound: Sound) -> Sound:
    """Return speech as through a thick collar: no treble, and far away."""
    from scipy.signal import butter, sosfiltfilt  # noqa: PLC0415

    sieve = butter(6, MUMBLE_HERTZ, fs=RATE, output="sos")
    far: Sound = (sosfiltfilt(sieve, sound) * 10 ** (MUMBLE_DB / 20)).astype(np.float32)
    return far


def make_all(lines: list[Line], studio: Studio, folder: Path) -> tuple[int, int]:
    """Record what is new or changed, drop what is no longer said; return made and kept."""
    folder.mkdir(parents=True, exist_ok=True)
    ledger = folder / "made.json"
    before: dict[str, str] = json.loads(ledger.read_text("utf-8")) if ledger.exists() else {}
    wanted = {line.id: line.fingerprint() for line in lines}
    for gone in before.keys() - wanted.keys():
        (folder / f"{gone}.wav").unlink(missing_ok=True)
    now = {
        name: mark
        for name, mark in before.items()
        if wanted.get(name) == mark and (folder / f"{name}.wav").exists()
    }
    kept = len(now)
    for line in lines:
        if line.id not in now:
            save(folder / f"{line.id}.wav", studio.record(line))
            now[line.id] = wanted[line.id]
            ledger.write_text(json.dumps(now, indent=1, sort_keys=True) + "\n", "utf-8")
    ledger.write_text(json.dumps(now, indent=1, sort_keys=True) + "\n", "utf-8")
    return len(now) - kept, kept


def save(path: Path, samples: NDArray[np.int16]) -> None:
    """Write mono 16 kHz 16-bit sound."""
    import wave  # noqa: PLC0415

    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(samples.astype("<i2").tobytes())


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parts = os.environ.get(PARTS_VARIABLE)
    parser.add_argument("--parts", type=Path, default=parts, help=f"default: ${PARTS_VARIABLE}")
    parser.add_argument("--shift", type=Path, default=DEMO / "shift.yaml")
    parser.add_argument("--audio", type=Path, default=DEMO / "audio")
    parser.add_argument("--say", help="speak this one text instead of the shift")
    parser.add_argument("--voice", default="af_nova")
    parser.add_argument("--out", type=Path, default=Path("said.wav"))
    parser.add_argument("--noise-db", type=float)
    parser.add_argument("--mumble", action="store_true")
    parser.add_argument("--speed", type=float, default=1.0)
    return parser.parse_args()


def _one_clip(asked: argparse.Namespace) -> str:
    line = Line("one", asked.voice, asked.say, asked.noise_db, asked.mumble, asked.speed)
    save(asked.out, Studio(asked.parts).record(line))
    return f"Said in {asked.out}"


def _whole_shift(asked: argparse.Namespace) -> str:
    made, kept = make_all(read_lines(asked.shift), Studio(asked.parts), asked.audio)
    return f"{made} lines spoken, {kept} already up to date, in {asked.audio}"


def main() -> None:
    """Speak the shift, or one line."""
    asked = _arguments()
    try:
        print(_one_clip(asked) if asked.say else _whole_shift(asked))
    except (PartsMissingError, UnknownVoiceError, ShiftError) as why:
        sys.exit(str(why))


if __name__ == "__main__":
    main()
