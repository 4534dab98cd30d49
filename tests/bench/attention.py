"""Which phrase shall wake Lapcall? Misses beside false wakes, for each that was thought of.

    python tests/bench/attention.py CLIPS [CLIPS ...] [--minutes 60] [--processes 2]

CLIPS is a folder with manifest.jsonl and sound as models/recipe makes them, or several joined by
":"; each gets a section of its own: choose with the first, look once at the others. The shipped
recogniser hears everything through the real gate. Needs what tests/bench/ear needs. Writes
results/attention.md. Not part of the test suite.
"""

from __future__ import annotations

import argparse
import multiprocessing
import platform
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import product
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import numpy as np
from bench import attention_table, sleeping
from bench.ear import cutting, hours
from bench.ear.engines import OURS
from bench.ear.levels import HELD_OUT_NOISE, Noises, at_level, to_pcm
from bench.ear.recordings_in import Recording, Sound, own_phrases

from assistant.dialogue.prompts import COMMAND_PATIENCE_MS
from assistant.ear.gate import Gate, silero
from assistant.ear.listening import Listening
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE_HZ
from assistant.places import model
from assistant.words.attention import ATTENTION, attention, only_called
from assistant.words.commands import DONE, commands
from assistant.words.meaning import Command
from assistant.words.phrase import Grammar, any_of, table
from assistant.words.understand import understand

CANDIDATES = (
    "lapcall",
    "hey lapcall",
    "okay lapcall",
    "lapcall listen",
    "lapcall come in",
    "wake up lapcall",
    "listen up",
    "listen here",
)
LEVELS = ("clean", "10", "5", "0")
_BREATH_S = 0.12
"""Between the phrase and a word in the same breath."""
WAKE = "wake"
STOPS = ("stop", "stop stop")
"""What is heard asleep without the phrase, as in words.grammars.asleep."""
TITLES = ("To choose with", "Looked at once")


@dataclass(frozen=True)
class Try:
    """One sound under one grammar."""

    names: tuple[str, ...]
    """The phrases that wake."""
    what: str
    """Row of the table: ``phrase``, ``phrase and done`` or the name of an hour."""
    level: str
    sound: Callable[[], tuple[str, Sound]]
    stream: bool = False


@dataclass(frozen=True)
class Outcome:
    """What one utterance was taken for while asleep."""

    name: str
    """The phrase that was listened for."""
    what: str
    level: str
    took: str
    """``wake``, the name of a command, ``done``, or empty."""
    confidence: float
    text: str


def asleep_for(names: tuple[str, ...]) -> Grammar:
    """Return what is heard asleep if these phrases wake."""
    busy = any_of(table({**DONE}), commands())
    wakes = attention(names).means(lambda _: Command.WHERE_ARE_WE)
    return Grammar(
        f"asleep: {', '.join(names)}",
        any_of(wakes, only_called(busy, names), table(dict.fromkeys(STOPS, Command.STOP))),
    )


def taken_for(text: str, grammar: Grammar, names: tuple[str, ...]) -> str:
    """Return what words do while asleep."""
    if text in names:
        return WAKE
    understood = understand(text, grammar)
    if isinstance(understood, Command):
        return understood.value
    return "done" if type(understood).__name__ == "Done" else ""


class Hearing:
    """One process's recogniser and gate."""

    def __init__(self, folder: Path) -> None:
        self.recogniser = Recogniser(folder)
        self.network = silero()

    def outcomes(self, one: Try) -> list[Outcome]:
        """Return what was made of a sound: of its first utterance, or of all in a stream."""
        joint = asleep_for(one.names)
        pcm = cutting.with_silence(to_pcm(one.sound()[1]), COMMAND_PATIENCE_MS)
        listening = Listening(self.recogniser, Gate(self.network))
        found = cutting.listened(pcm, listening, joint, COMMAND_PATIENCE_MS, all_of_them=one.stream)
        if not one.stream:
            heard = found[0] if found else None
            text, sure = (heard.text, heard.confidence) if heard else ("", 0.0)
            took = taken_for(text, joint, one.names)
            return [Outcome(one.names[0], one.what, one.level, took, sure, text)]
        return [outcome for heard in found for outcome in self._by_name(heard, one, joint)]

    def nights(self, one: Try) -> list[sleeping.Night]:
        """Return what a sound does to Lapcall with the phrase that was chosen."""
        pcm = to_pcm(one.sound()[1])
        return [
            sleeping.night(pcm, moment, self.recogniser, self.network)
            for moment in sleeping.MOMENTS
        ]

    def _by_name(self, heard: Any, one: Try, joint: Grammar) -> list[Outcome]:
        """Return what each phrase alone would have taken it for.

        Heard under all phrases at once first: where none of them beats other talk, no single one
        does, and nearly all talk needs no second hearing.
        """
        if not taken_for(heard.text, joint, one.names):
            return [Outcome("", one.what, one.level, "", heard.confidence, heard.text)]
        found = []
        for name in one.names:
            grammar = asleep_for((name,))
            again = self.recogniser.hear(heard.clip, grammar)
            took = taken_for(again.text, grammar, (name,))
            found.append(Outcome(name, one.what, one.level, took, again.confidence, again.text))
        return found


_hearing: list[Hearing] = []
_tries: list[Try] = []
_model: list[Path] = []


def _work(at: int) -> list[Outcome | sleeping.Night]:
    if not _hearing:
        _hearing.append(Hearing(_model[0]))
    one = _tries[at]
    nights = _hearing[0].nights(one) if one.stream else []
    return [*(_hearing[0].outcomes(one) if one.names else []), *nights]


def hear_all(tries: Sequence[Try], folder: Path, processes: int) -> list[Outcome | sleeping.Night]:
    """Return what every try came to."""
    _tries[:], _model[:] = tries, [folder]
    found: list[Outcome | sleeping.Night] = []
    with multiprocessing.get_context("fork").Pool(processes) as pool:
        for done, outcomes in enumerate(pool.imap_unordered(_work, range(len(tries))), 1):
            found += outcomes
            if done % 20 == 0 or done == len(tries):
                sys.stderr.write(f"\r{done} of {len(tries)} sounds  ")
                sys.stderr.flush()
    sys.stderr.write("\n")
    return found


def phrase_tries(clips: list[Recording], noises: Noises, places: int) -> list[Try]:
    """Return each candidate's clips, alone and with "done" behind, in several places of noise."""
    tries = []
    for name in CANDIDATES:
        said = [one for one in clips if one.text == name and one.kind == "command"]
        for one, level in product(said, LEVELS):
            for place in range(places if level != "clean" else 1):
                called = f"{one.id} place {place}"
                alone = partial(_mixed, called, [one], level, noises)
                tries.append(Try((name,), "phrase", level, alone))
                both = partial(_mixed, called, _in_one_breath(one, clips), level, noises)
                tries.append(Try((name,), "phrase and done", level, both))
    return tries


def _in_one_breath(one: Recording, clips: list[Recording]) -> list[Recording]:
    """Return the phrase and "done" in the same voice: said so where there is such a clip."""
    said = [o for o in clips if o.text == f"{one.text} done" and o.voice == one.voice]
    if said:
        return said[:1]
    dones = [o for o in clips if o.text == "done" and o.kind == "command"]
    return [one, next((done for done in dones if done.voice == one.voice), dones[0])]


def _mixed(name: str, parts: list[Recording], level: str, noises: Noises) -> tuple[str, Sound]:
    gap = np.zeros(int(_BREATH_S * RATE_HZ), np.float32)
    pieces = [piece for part in parts for piece in (part.sound(), gap)]
    return at_level(name, np.concatenate(pieces[:-1]), level, noises)


def hour_tries(
    clips: list[Recording], noises: Noises, minutes: int, names: tuple[str, ...]
) -> list[Try]:
    """Return talk and noise, minute by minute, for all candidates at once."""
    talk = [one for one in clips if one.kind == "chatter"]
    jobs = [
        (hours.CHATTER_HOUR, job) for job in hours.chatter_minutes(talk, noises, minutes, [OURS])
    ]
    quarter = attention_table.spans(minutes)[hours.NOISE_HOUR]
    jobs += [(hours.NOISE_HOUR, job) for job in hours.noise_minutes(noises, quarter, [OURS])]
    return [Try(names, hour, job.level, job.sound, stream=True) for hour, job in jobs]


def main() -> None:
    """Measure and write the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("clips", nargs="+")
    parser.add_argument("--shared", type=Path, default=ROOT.parent / "shared" / "data")
    parser.add_argument("--model", type=Path, default=model())
    parser.add_argument("--minutes", type=int, default=60, help="of talk; a quarter of it of noise")
    parser.add_argument("--places", type=int, default=4, help="in noise, for each clip")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument(
        "--only-asleep", action="store_true", help="only the hours through the dialogue"
    )
    parser.add_argument(
        "--out", type=Path, default=ROOT / "tests" / "bench" / "results" / "attention.md"
    )
    options = parser.parse_args()
    noises = Noises(options.shared / "noise", HELD_OUT_NOISE)
    sections = []
    for place, joined in enumerate(options.clips):
        clips = [one for folder in joined.split(":") for one in own_phrases(Path(folder))]
        names = () if options.only_asleep else CANDIDATES
        tries = phrase_tries(clips, noises, options.places) if names else []
        tries += hour_tries(clips, noises, options.minutes, names)
        found = hear_all(tries, options.model, options.processes)
        outcomes = [one for one in found if isinstance(one, Outcome)]
        nights = [one for one in found if isinstance(one, sleeping.Night)]
        sections.append(
            attention_table.section(TITLES[min(place, 1)], outcomes, options.minutes, names)
        )
        spans = attention_table.spans(options.minutes)
        sections += ["### Through the dialogue", "", *sleeping.nights_table(nights, spans), ""]
    head = (
        f"{date.today().isoformat()}, {platform.machine()}, {platform.system()}, Python "
        f"{platform.python_version()}. Written by tests/bench/attention.py. Chosen: "
        f'"{ATTENTION[0]}".'
    )
    options.out.write_text(attention_table.report(head, sections), "utf-8")
    print(options.out.read_text("utf-8"))


if __name__ == "__main__":
    main()
