"""Measure the ear: what is heard right, wrong, and asked again; how sure, how fast, how large.

    python tests/bench/ear/measure.py CLIPS [--shared ../shared/data] [--whisper FOLDER]

CLIPS holds manifest.jsonl as models/recipe makes it. pocketsphinx is measured where it is
installed, Whisper where a CTranslate2 folder of it is given (requirements.txt here). Writes
tests/bench/results/ear.md and ear.json. What was heard before by an engine that did not change is
not heard again. ``--limit 40`` is a quick look. Not part of the test suite.
"""

from __future__ import annotations

import argparse
import json
import platform
import sys
import time
from datetime import datetime, timezone
from functools import partial
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from bench.ear import hours, report, speed, tally
from bench.ear.engines import OURS, SPHINX, WHISPER, digest, identities, model_files
from bench.ear.kept import Kept, as_lines
from bench.ear.levels import HELD_OUT_NOISE, LEVELS, Noises, at_level, chance
from bench.ear.recordings_in import (
    Recording,
    Sound,
    held_out_speakers,
    own_phrases,
    peoples_digits,
    peoples_words,
)
from bench.ear.sets import (
    ANSWERS,
    CHATTER_WIDTH,
    PEOPLES_DIGITS,
    PEOPLES_WORDS,
    SEAMS,
    WIDTHS,
    everything_listed,
    hearable,
    is_yes_or_no,
    questions,
)
from bench.ear.work import Job, Setting, hear_all

from assistant.ear.recogniser import Recogniser
from assistant.words import grammars

RESULTS = ROOT / "tests" / "bench" / "results"
PARTS = ("own", "digits", "words", "noise", "chatter", "speed")
MOST_CHATTER = 200
SLOW_LEVELS = ("clean", "10", "5", "0")
PEOPLE = (PEOPLES_DIGITS, PEOPLES_WORDS)
SLOW_SETS = (WIDTHS, SEAMS, ANSWERS, PEOPLES_DIGITS, PEOPLES_WORDS, CHATTER_WIDTH)


def thinned(recordings: list[Recording], limit: int | None) -> list[Recording]:
    """Return at most ``limit`` recordings of each kind, drawn by chance; of chatter always few."""
    # Not by the same chance that draws the noise: the few would all stand in one kind of it.
    shuffled = sorted(recordings, key=lambda one: chance(f"thinned {one.id}").random())
    kinds: dict[str, list[Recording]] = {}
    for one in shuffled:
        # Few clips say yes or no, and a value counts by them: they stand on their own.
        kind = "yes or no" if one.kind == "command" and is_yes_or_no(one.text) else one.kind
        kinds.setdefault(kind, []).append(one)
    most = {"chatter": min(limit or MOST_CHATTER, MOST_CHATTER)}
    chosen = [one for kind, ones in kinds.items() for one in ones[: most.get(kind, limit)]]
    return sorted(chosen, key=lambda one: one.id)


def clip_jobs(
    recordings: list[Recording], noises: Noises, options: argparse.Namespace, engines: list[str]
) -> list[Job]:
    """Return every recording at every level."""
    asked_of, jobs = questions(recordings), []
    drawn: dict[str, int] = {}
    for one in sorted(recordings, key=lambda r: chance(f"sample {r.id}").random()):
        asked = tuple(asked_of(one))
        if not asked:
            continue
        group = asked[0].group
        drawn[group] = drawn.get(group, 0) + 1
        for level in options.levels:
            all_of_them = hearing(group, level, drawn[group], options)
            now = tuple(engine for engine in all_of_them if engine in engines)
            sound = partial(_sound, one, level, noises)
            jobs.append(Job(one.id, one.voice, level, sound, asked, now, meant_for=all_of_them))
    return jobs


def hearing(group: str, level: str, place: int, options: argparse.Namespace) -> tuple[str, ...]:
    """Return which engines hear a clip: ours all, the others some of each set, as they are slow."""
    found = [OURS]
    if group in PEOPLE or place <= options.sphinx_sample:
        found.append(SPHINX)
    if group in SLOW_SETS and level in SLOW_LEVELS and place <= options.whisper_sample:
        found.append(WHISPER)
    return tuple(found)


def _sound(one: Recording, level: str, noises: Noises) -> tuple[str, Sound]:
    return at_level(one.id, one.sound(), level, noises)


def all_jobs(options: argparse.Namespace, speakers: list[str], engines: list[str]) -> list[Job]:
    """Return everything that is to be heard."""
    shared, limit, recordings = options.shared, options.limit, []
    noises = Noises(shared / "noise", HELD_OUT_NOISE)
    own = own_phrases(options.clips)
    if "own" in options.only:
        recordings += thinned(own, limit)
    if "digits" in options.only:
        recordings += thinned(peoples_digits(shared / "digits", speakers), limit)
    if "words" in options.only:
        recordings += thinned(peoples_words(shared / "words"), limit)
    recogniser = Recogniser(options.model)
    lacking = frozenset(recogniser.missing_words(everything_listed(recordings)))
    heard = hearable(recordings, lacking)
    if lacking:
        gone = len(recordings) - len(heard)
        print(f"The model lacks {', '.join(sorted(lacking))}: {gone} clips are left out.")
    jobs = clip_jobs(heard, noises, options, engines)
    if "noise" in options.only:
        jobs += hours.noise_minutes(noises, options.minutes, engines)
    if "chatter" in options.only:
        talk = [one for one in own if one.kind == "chatter"]
        jobs += hours.chatter_minutes(talk, noises, options.minutes, engines)
    for one in own:
        if one.samples is not None:
            one.sound()  # long files are read once, before the processes part
    return jobs


def measure(options: argparse.Namespace) -> dict[str, Any]:
    """Hear everything and count.

    Raises:
        RuntimeError: the model was replaced meanwhile.
    """
    before = digest(model_files(options.model))
    forms = identities(options.model, options.whisper)
    engines = [name for name in forms if name in options.engines]
    speakers = options.speakers or held_out_speakers(options.model)
    # Graphs are compiled once, before several processes would each do it.
    _compile(options.model, jobs := all_jobs(options, speakers, engines))
    old = _earlier(options.out / "ear.json")
    kept = Kept(options.kept)
    setting = Setting(jobs, forms, options.model, options.whisper, kept.known)
    rows = hear_all(setting, kept, options.processes) if jobs else []
    if digest(model_files(options.model)) != before:
        raise RuntimeError("the model was replaced meanwhile: measure again")
    counts = tally.tallies(rows, forms)
    taken = tally.still_good(old.get("counts", []), counts, forms)
    return {
        **_about(options, forms, speakers),
        "counts": counts + taken,
        "taken_over": len(taken),
        "hours": _hours(tally.hours(jobs, rows), old, forms),
        "reliability": tally.reliability(rows),
        "mistakes": tally.mistakes(rows),
        "pairs": tally.pairs(rows),
        "hardest": tally.hardest(rows),
        "speed": _speed(options, old, forms),
    }


def _compile(model: Path, jobs: list[Job]) -> None:
    recogniser = Recogniser(model)
    told = {asked.grammar.key: asked.grammar for job in jobs for asked in job.asked}
    for grammar in [grammars.value("in"), *told.values()]:
        recogniser.prepare(grammar)


def _hours(
    new: list[dict[str, Any]], old: dict[str, Any], forms: dict[str, str]
) -> list[dict[str, Any]]:
    have = {(one["engine"], one["moment"]) for one in new}
    for one in new:
        one["engine_id"] = forms[one["engine"]]
    return new + [
        one
        for one in old.get("hours", ())
        if (one["engine"], one["moment"]) not in have
        and forms.get(one["engine"], one["engine_id"]) == one["engine_id"]
    ]


def _speed(
    options: argparse.Namespace, old: dict[str, Any], forms: dict[str, str]
) -> dict[str, Any]:
    if "speed" in options.only:
        return {**speed.measured(options.clips, options.model), "engine_id": forms[OURS]}
    before: dict[str, Any] = old.get("speed") or {}
    return before if before.get("engine_id") == forms[OURS] else {}


def _earlier(path: Path) -> dict[str, Any]:
    if not path.is_file():
        return {}
    found: dict[str, Any] = json.loads(path.read_text("utf-8"))
    return found


def _about(
    options: argparse.Namespace, forms: dict[str, str], speakers: list[str]
) -> dict[str, Any]:
    cpu = next(
        (line.split(":")[1].strip() for line in _lines("/proc/cpuinfo") if "model name" in line), ""
    )
    return {
        "made": str(datetime.now(timezone.utc).date()),
        "machine": f"{platform.machine()} {platform.system()} ({cpu}), "
        f"Python {platform.python_version()}",
        "model": json.loads((options.model / "about.json").read_text("utf-8")),
        "engines": forms,
        "digits_of": ", ".join(speakers) or "the clips of four people that training leaves out",
        "clips": options.clips.resolve().name,
        "limit": options.limit,
        "noises": HELD_OUT_NOISE,
    }


def _lines(path: str) -> list[str]:
    try:
        return Path(path).read_text("utf-8").splitlines()
    except OSError:
        return []


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("clips", type=Path)
    parser.add_argument("--shared", type=Path, default=ROOT.parent / "shared" / "data")
    parser.add_argument("--model", type=Path, default=ROOT / "models" / "ear")
    parser.add_argument("--whisper", type=Path, help="a CTranslate2 folder of Whisper tiny")
    parser.add_argument("--whisper-sample", type=int, default=130, help="clips of each set")
    parser.add_argument("--sphinx-sample", type=int, default=150, help="of each but people's")
    parser.add_argument("--only", nargs="+", choices=PARTS, default=list(PARTS))
    parser.add_argument(
        "--engines", nargs="+", choices=[OURS, SPHINX, WHISPER], default=[OURS, SPHINX, WHISPER]
    )
    parser.add_argument("--levels", nargs="+", choices=LEVELS, default=list(LEVELS))
    parser.add_argument("--speakers", nargs="+", default=[], help="whose digits to measure")
    parser.add_argument("--limit", type=int, help="clips of each kind, for a quick look")
    parser.add_argument("--minutes", type=int, default=60, help="of noise, and of chatter")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--out", type=Path, default=RESULTS, help="folder of ear.md and ear.json")
    parser.add_argument("--kept", type=Path, default=ROOT / ".cache" / "ear-bench" / "heard.jsonl")
    return parser.parse_args()


def main() -> None:
    """Read the command line."""
    options, began = _options(), time.monotonic()
    result = measure(options)
    options.out.mkdir(parents=True, exist_ok=True)
    (options.out / "ear.json").write_text(as_lines(result), encoding="utf-8")
    text = report.text(result)
    (options.out / "ear.md").write_text(text, encoding="utf-8")
    print(text.split("\n## ")[0], f"{time.monotonic() - began:.0f} s", sep="\n")


if __name__ == "__main__":
    main()
