# ruff: noqa: E402 - a script first puts the project on its path, then imports it
"""Choose how far the ear is to be believed: hear dev clips, fit, print tables and a threshold.

    python models/recipe/calibrate.py --model models/ear --clips OUT/dev [--work FOLDER]

CLIPS holds manifest.jsonl as synth.py writes it. Clips are mixed with held-out noise and go
through gate and grammar as in tests/bench/ear, which this uses. What each network guessed is kept
in WORK, a line for each utterance; run again, only what changed is heard again. Never choose on
the clips that the bench measures.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import multiprocessing
import sys
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from calibration import (
    Taken,
    at_most,
    fitted,
    least_share,
    loss,
    percent,
    probabilities,
    reliability,
)

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from bench.ear import cutting, hours
from bench.ear.engines import OURS
from bench.ear.judged import judge
from bench.ear.levels import Noises, chance, to_pcm
from bench.ear.measure import clip_jobs, held_out_noise
from bench.ear.recordings_in import own_phrases
from bench.ear.sets import (
    ANSWERS,
    NUMBER_WORDS,
    PLAINLY,
    SEAMS,
    WIDTHS,
    Asked,
    everything_listed,
    hearable,
)
from bench.ear.work import Job

from assistant.ear.gate import Gate, silero
from assistant.ear.model_folder import look_at
from assistant.ear.opinion import Guess, joined, weigh
from assistant.ear.recogniser import Recogniser, _answer
from assistant.ear.sound import RATE_HZ

LEVELS = ("clean", "10", "5", "0")
MOST_WRONG = 0.003
SHARPNESS = (0.4, 0.5, 0.6, 0.7, 0.85, 1.0)
MISSED = (1e-2, 3e-3, 1e-3, 3e-4, 1e-4)
NOISE_MINUTES_OF_THE_BENCH = 60
COUNTED = {"value": (WIDTHS, PLAINLY, SEAMS, NUMBER_WORDS), "answer": (ANSWERS,)}
"""The groups in which wrong ones are counted for each threshold."""
_setting: tuple[list[Job], Path] | None = None
_tools: list[Any] = []
Row = dict[str, Any]


def jobs_of(options: argparse.Namespace) -> list[Job]:
    """Return every clip at every level, and minutes of noise that the bench does not use."""
    noises = Noises(options.shared / "noise", held_out_noise())
    recordings = own_phrases(options.clips)
    lacking = Recogniser(options.model).missing_words(everything_listed(recordings))
    recordings = hearable(recordings, frozenset(lacking))
    if options.limit:
        kinds: dict[str, list[Any]] = defaultdict(list)
        for one in sorted(recordings, key=lambda r: chance(f"dev {r.id}").random()):
            kinds[one.kind].append(one)
        recordings = [one for ones in kinds.values() for one in ones[: options.limit]]
    told = argparse.Namespace(levels=options.levels, sphinx_sample=0, whisper_sample=0)
    whole = NOISE_MINUTES_OF_THE_BENCH
    noise = hours.noise_minutes(noises, whole + options.noise_minutes, [OURS])[whole:]
    return sorted(
        [*clip_jobs(recordings, noises, told, [OURS]), *noise],
        key=lambda job: (job.asked[0].grammar.key, job.name),
    )


def guessed(options: argparse.Namespace, jobs: list[Job]) -> list[Row]:
    """Return what each network guesses of each utterance; from WORK where it is known."""
    global _setting  # noqa: PLW0603 - the processes are forked with it
    _setting = (jobs, options.model)
    model = look_at(options.model).digest()
    code = hashlib.sha256((ROOT / "assistant/ear/graph.py").read_bytes()).hexdigest()
    kept = options.work / f"guesses-{model}-{code[:8]}.jsonl"
    options.work.mkdir(parents=True, exist_ok=True)
    known: dict[str, list[Row]] = {}
    for line in kept.read_text("utf-8").splitlines() if kept.is_file() else ():
        name, rows = json.loads(line)
        known[name] = rows
    todo = [at for at, job in enumerate(jobs) if _name(job) not in known]
    with kept.open("a") as out, multiprocessing.get_context("fork").Pool(options.processes) as pool:
        for done, (at, rows) in enumerate(pool.imap(_hear, todo, chunksize=16), 1):
            known[_name(jobs[at])] = rows
            out.write(json.dumps([_name(jobs[at]), rows]) + "\n")
            if done % 100 == 0:
                sys.stderr.write(f"\r{done} of {len(todo)} ")
    return [row for job in jobs for row in known[_name(job)]]


def _name(job: Job) -> str:
    asked = " ".join(f"{a.group}/{a.grammar.key}/{a.patience_ms}" for a in job.asked)
    return f"{job.name} {job.level} {asked}"


def _hear(at: int) -> tuple[int, list[Row]]:
    assert _setting is not None
    jobs, model = _setting
    if not _tools:
        _tools.extend((Recogniser(model), Gate(silero())))
    recogniser, gate = _tools
    job = jobs[at]
    pcm, rows = to_pcm(job.sound()[1]), []
    for number, asked in enumerate(job.asked):
        row = {"job": _name(job), "asked": number, "level": job.level, "group": asked.group}
        places = cutting.cuts(pcm, gate, asked.patience_ms, all_of_them=job.stream)
        if not places and not job.stream:
            rows.append({**row, "networks": None})
        for cut in places:
            raws = recogniser._engine.recognisers(asked.grammar, RATE_HZ)
            answers = [_answer(raw, cutting.said_in(pcm, cut)) for raw in raws]
            networks = [
                [
                    [one["text"], round(one["confidence"], 3)]
                    for one in answer.get("alternatives", ())
                ]
                for answer in answers
            ]
            rows.append({**row, "networks": networks})
    return at, rows


class Judge:
    """Turns rows into what they were taken for, under any belief."""

    def __init__(self, jobs: list[Job], rows: list[Row], only: int | None) -> None:
        asked = {(_name(job), at): one for job in jobs for at, one in enumerate(job.asked)}
        self._rows = [(row, asked[row["job"], row["asked"]]) for row in rows]
        self._only = only

    def taken(self, sharpness: float, missed: float) -> list[Taken]:
        """Return what each utterance was taken for."""
        return [self._one(row, asked, sharpness, missed) for row, asked in self._rows]

    def _one(self, row: Row, asked: Asked, sharpness: float, missed: float) -> Taken:
        group, level, said = row["group"], row["level"], bool(asked.said)
        if row["networks"] is None:
            return Taken(group, level, said, "shut", False, 0.0)
        networks = row["networks"] if self._only is None else [row["networks"][self._only]]
        opinions = [
            weigh([Guess(text, score) for text, score in guesses], asked.grammar, sharpness)
            for guesses in networks
        ]
        guess, share = joined(opinions, missed).best()
        judged = judge(guess.text, share, asked)
        return Taken(group, level, said, judged.needs, judged.right, share)


def chosen(judge_of: Judge, options: argparse.Namespace) -> tuple[dict[str, float], list[Taken]]:
    """Return the parameters under which calibrated confidence says most, and what follows."""
    best: tuple[float, dict[str, float], list[Taken]] | None = None
    for sharpness in options.sharpness:
        for missed in options.missed:
            taken = judge_of.taken(sharpness, missed)
            counted = [one for one in taken if one.needs in ("value", "answer")]
            shares, right = [t.share for t in counted], [t.right for t in counted]
            offset, slope = fitted(shares, right)
            # Those that were not accepted as right at all cost as much as a lost answer.
            lost = sum(t.said and not t.right for t in taken) / len(taken)
            cost = loss(probabilities(shares, offset, slope), right)
            print(f"sharpness {sharpness} missed {missed:g}: loss {cost:.4f}, not right {lost:.4f}")
            found = {"sharpness": sharpness, "missed": missed, "offset": offset, "slope": slope}
            if best is None or cost + lost < best[0]:
                best = (cost + lost, found, taken)
    assert best is not None
    return best[1], best[2]


def show(belief: dict[str, float], taken: Sequence[Taken], most_wrong: float) -> None:
    """Print the reliability table, operating points, and right / wrong at several of them."""
    offset, slope = belief["offset"], belief["slope"]
    settings = ", ".join(f"{name}={value:.4g}" for name, value in belief.items())
    print(f"\nBelief({settings})")
    for needs in ("value", "answer"):
        counted = [one for one in taken if one.needs == needs]
        if not counted:
            continue
        found = probabilities([t.share for t in counted], offset, slope)
        print(f"\n{needs}s: promised and kept\n  from    to      n  promised  right")
        for low, high, count, mean, true in reliability(found, [t.right for t in counted]):
            print(f"{low:6.3f} {high:5.3f} {count:6d} {mean:9.4f} {true:6.4f}")
    for needs, groups in COUNTED.items():
        mine = [t for t in taken if t.group in groups]
        if mine:
            operating_point(belief, needs, mine, most_wrong)
    table(belief, taken)


def operating_point(
    belief: dict[str, float], needs: str, taken: Sequence[Taken], most_wrong: float
) -> None:
    """Print the lowest threshold that keeps wrong ones rare: over all levels, and at the worst."""
    levels: dict[str, list[Taken]] = defaultdict(list)
    for one in taken:
        levels[one.level].append(one)
    least = least_share(taken, most_wrong)
    worst = max(least_share(ones, most_wrong) for ones in levels.values())
    print(f"\n{needs}s: lowest confidence with at most {100 * most_wrong:g} % wrong")
    for name, share in (("over all levels", least), ("at every level", worst)):
        point = float(probabilities([share], belief["offset"], belief["slope"])[0])
        wrong = sum(t.outcome(share) == "wrong" for t in taken)
        right = percent(taken, share)[0]
        most = 100 * at_most(wrong, len(taken))
        print(
            f"  {name}: {point:.4f}; {right:.1f} % right, {wrong} of {len(taken)} wrong, so truly "
            f"up to {most:.2f} %"
        )


def table(belief: dict[str, float], taken: Sequence[Taken]) -> None:
    """Print right / wrong in percent for each group and level at each threshold."""
    points = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.97, 0.98, 0.99, 0.995)
    odds = [np.log(max(p, 1e-9) / (1 - p)) for p in points]
    shares = [1 / (1 + np.exp(-(o - belief["offset"]) / belief["slope"])) for o in odds]
    print("\nright / wrong in percent at a confidence of at least")
    print(f"{'':34s}{'n':>5s}" + "".join(f"{p:>12g}" for p in points))
    groups: dict[tuple[str, str], list[Taken]] = defaultdict(list)
    for one in taken:
        groups[one.group, one.level].append(one)
    for (group, level), ones in sorted(groups.items()):
        cells = ["{:5.1f} / {:4.1f}".format(*percent(ones, share)) for share in shares]
        print(f"{group[:26]:27s}{level:>7s}{len(ones):5d}" + "".join(f"{c:>13s}" for c in cells))


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--model", type=Path, default=ROOT / "models" / "ear")
    parser.add_argument("--clips", type=Path, required=True)
    parser.add_argument("--shared", type=Path, default=ROOT.parent / "shared" / "data")
    parser.add_argument("--work", type=Path, default=ROOT / ".cache" / "calibrate")
    parser.add_argument("--levels", nargs="+", default=list(LEVELS))
    parser.add_argument("--limit", type=int, help="clips of each kind, drawn by chance")
    parser.add_argument("--noise-minutes", type=int, default=10)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--network", type=int, choices=(0, 1), help="believe one network alone")
    parser.add_argument("--sharpness", type=float, nargs="+", default=list(SHARPNESS))
    parser.add_argument("--missed", type=float, nargs="+", default=list(MISSED))
    parser.add_argument("--most-wrong", type=float, default=MOST_WRONG)
    options = parser.parse_args()
    jobs = jobs_of(options)
    rows = guessed(options, jobs)
    one = options.network is not None or look_at(options.model).second is None
    options.missed = options.missed[:1] if one else options.missed
    belief, taken = chosen(Judge(jobs, rows, options.network), options)
    show(belief, taken, options.most_wrong)


if __name__ == "__main__":
    main()
