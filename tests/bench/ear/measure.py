"""Measure the ear on clips: what is heard right, wrong, and what noise and chatter are taken for.

    python tests/bench/ear/measure.py CLIPS [--shared ../shared/data] [--snr clean 10 5 0]

CLIPS is a folder with manifest.jsonl as models/recipe/synth.py writes it. With --shared, people's
single words and recorded noises are measured too. Everything goes through the gate, as live.
Writes tests/bench/results/ear.md. Takes minutes; not part of the test suite.
"""

from __future__ import annotations

import argparse
import json
import platform
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timezone
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[3]
sys.path.insert(0, str(ROOT))

from assistant.dialogue.prompts import step_grammar
from assistant.dialogue.state import Phase
from assistant.ear.gate import Gate, silero
from assistant.ear.graph import Costs
from assistant.ear.model_folder import look_at
from assistant.ear.ports import Clip, Heard
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE_HZ, read_wav
from assistant.ear.trust import ANSWER_TRUST, VALUE_TRUST
from assistant.ear.wav_ear import PATIENCE_MS, first_utterance
from assistant.procedure.loader import load_procedure
from assistant.words import grammars
from assistant.words.phrase import Grammar, table
from assistant.words.understand import (
    Ask,
    Reading,
    Understood,
    understand,
)

RESULTS = ROOT / "tests" / "bench" / "results" / "ear.md"
THRESHOLDS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95)
HELD_OUT_NOISE = "vacuuming_0.wav"
WINDOW = 10 * RATE_HZ
PEOPLES_WORDS = (
    "bed bird cat dog down eight five four go happy house left marvin nine no off on one right "
    "seven sheila six stop three tree two up wow yes zero"
)


@dataclass(frozen=True)
class Case:
    """One sound under one grammar."""

    group: str
    snr: str
    said: str
    """What was said; empty when nothing of it may be accepted."""
    grammar: Grammar
    sound: np.ndarray


def moments() -> list[Grammar]:
    """Return the grammars that commands and answers are heard under, plain ones first."""
    found = [grammars.yes_no(), grammars.done()]
    for path in sorted((ROOT / "checklists").glob("*.yaml")):
        procedure = load_procedure(path)
        found += [step_grammar(step, Phase.ANSWER) for step in procedure.steps]
    return found


def grammar_of(kind: str, text: str, known: list[Grammar]) -> Grammar | None:
    """Return the grammar under which a clip would be heard, or None if it is said nowhere."""
    if kind == "width":
        return grammars.value("in")
    if kind == "seam":
        return grammars.value("number")
    return next((grammar for grammar in known if grammar.readings(text)), None)


def mixed(sound: np.ndarray, snr: str, noise: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return a clip with half a second before and a second behind it, in noise."""
    padded = np.concatenate([np.zeros(RATE_HZ // 2), sound, np.zeros(RATE_HZ)]).astype(float)
    if snr == "clean":
        return padded
    loud = sound[np.abs(sound) > 0.05 * np.abs(sound).max()].astype(float)
    start = rng.integers(len(noise) - len(padded))
    around = noise[start : start + len(padded)].astype(float)
    level = np.sqrt((loud**2).mean()) * 10 ** (-float(snr) / 20)
    return padded + around / around.std() * level


def samples(path: Path) -> np.ndarray:
    """Return a file's samples."""
    return np.frombuffer(read_wav(path).pcm, "<i2")


def cases(options: argparse.Namespace) -> Iterator[Case]:
    """Yield everything to be measured."""
    rng = np.random.default_rng(5)
    known = moments()
    noise_folder = options.shared / "noise"
    noise = samples(noise_folder / HELD_OUT_NOISE)
    rows = [json.loads(row) for row in (options.clips / "manifest.jsonl").open()]
    for snr in options.snr:
        for row in rows:
            sound = mixed(samples(options.clips / row["file"]), snr, noise, rng)
            if row["kind"] == "chatter":
                yield Case("chatter, yes or no asked", snr, "", grammars.yes_no(), sound)
                yield Case("chatter, width asked", snr, "", grammars.value("in"), sound)
                continue
            grammar = grammar_of(row["kind"], row["text"], known)
            if grammar is not None:
                group = {"width": "widths", "seam": "seam numbers"}.get(row["kind"], "answers")
                yield Case(group, snr, row["text"], grammar, sound)
        yield from _peoples_words(options.shared / "words", snr, noise, rng)
    for path in sorted(noise_folder.glob("*.wav")):
        whole = samples(path)
        whole = np.resize(whole, max(len(whole), WINDOW))
        for start in range(0, len(whole) - WINDOW + 1, WINDOW):
            window = whole[start : start + WINDOW] / (np.abs(whole).max() + 1) * 12_000
            yield Case("noise, yes or no asked", "-", "", grammars.yes_no(), window)
            yield Case("noise, width asked", "-", "", grammars.value("in"), window)


def _peoples_words(
    folder: Path, snr: str, noise: np.ndarray, rng: np.random.Generator
) -> Iterator[Case]:
    thirty = Grammar("thirty words", table({word: word for word in PEOPLES_WORDS.split()}))
    for path in sorted(folder.glob("*.wav")):
        word = path.name.split("_")[0]
        yield Case("people's words", snr, word, thirty, mixed(samples(path), snr, noise, rng))


def outcome(case: Case, heard: Heard | None, threshold: float) -> str:
    """Return right, wrong, refused, or gate (no speech was found).

    Wrong is what would be taken for a value or an answer that was not said. Words that only make
    Lapcall ask are refused, or right where the words that were said must be asked about too.
    """
    if heard is None:
        return "gate"
    if not heard.text or "[unk]" in heard.text or heard.confidence < threshold:
        return "refused"
    if case.group == "people's words":
        return "right" if heard.text == case.said else "wrong"
    understood = understand(heard.text, case.grammar)
    meant = understand(case.said, case.grammar)
    if isinstance(understood, Ask):
        return "right" if isinstance(meant, Ask) and case.said else "refused"
    return "right" if _same(understood, meant) else "wrong"


def _same(understood: Understood, meant: Understood) -> bool:
    """Tell whether two meanings put the same into the record, whatever words they came from."""
    if isinstance(understood, Reading) and isinstance(meant, Reading):
        return understood.measure == meant.measure
    return understood == meant


def measure(options: argparse.Namespace) -> list[tuple[Case, Heard | None]]:
    """Hear everything.

    Raises:
        RuntimeError: the model was replaced meanwhile.
    """
    before = look_at(options.model).digest()
    costs = Costs(options.unknown, options.unknown_phone)
    recogniser, gate = Recogniser(options.model, costs), Gate(silero())
    found = []
    for case in cases(options):
        pcm = np.clip(case.sound, -32_768, 32_767).astype("<i2").tobytes()
        utterance = first_utterance(Clip(pcm, RATE_HZ), gate, PATIENCE_MS)
        heard = utterance and recogniser.hear(utterance.clip, case.grammar)
        found.append((case, heard))
    if look_at(options.model).digest() != before:
        raise RuntimeError("the model was replaced while it was measured: measure again")
    return found


def report(found: list[tuple[Case, Heard | None]], options: argparse.Namespace) -> str:
    """Return the tables as Markdown."""
    about = json.loads((options.model / "about.json").read_text())
    lines = [
        "# What the ear hears",
        "",
        f"{datetime.now(timezone.utc).date()}, {platform.machine()} {platform.system()}, Python "
        f"{platform.python_version()}; model {about['sha256'][:12]} of {about['made']}, trained on "
        f"{about['trained_on'] or 'unknown'}; [unk] costs {options.unknown} and "
        f"{options.unknown_phone} a phone. Written by tests/bench/ear/measure.py.",
        "",
        "All sound through gate and grammar. Noise: a vacuum cleaner that was not trained on, in "
        "dB of voice over noise. Percent right / wrong; the rest was refused (asked again).",
        "",
        "| | dB | n | gate shut | " + " | ".join(f"conf >= {t}" for t in THRESHOLDS) + " |",
        "|---|---|---|---|" + "---|" * len(THRESHOLDS),
    ]
    groups = defaultdict(list)
    for case, heard in found:
        groups[case.group, case.snr].append((case, heard))
    for (group, snr), rows in groups.items():
        cells = []
        for threshold in THRESHOLDS:
            seen = [outcome(case, heard, threshold) for case, heard in rows]
            right, wrong = (100 * seen.count(what) / len(rows) for what in ("right", "wrong"))
            cells.append(f"{right:.1f} / {wrong:.1f}" if rows[0][0].said else f"{wrong:.1f} wrong")
        shut = 100 * sum(heard is None for _, heard in rows) / len(rows)
        lines.append(f"| {group} | {snr} | {len(rows)} | {shut:.1f} | {' | '.join(cells)} |")
    lines += ["", f"In use: {ANSWER_TRUST} for answers and commands, {VALUE_TRUST} for values.", ""]
    return "\n".join(lines)


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("clips", type=Path)
    parser.add_argument("--shared", type=Path, default=ROOT.parent / "shared" / "data")
    parser.add_argument("--snr", nargs="+", default=["clean", "10", "5", "0"])
    parser.add_argument("--model", type=Path, default=ROOT / "models" / "ear")
    parser.add_argument("--unknown", type=float, default=Costs().unknown)
    parser.add_argument("--unknown-phone", type=float, default=Costs().unknown_phone)
    parser.add_argument("--out", type=Path, default=RESULTS)
    options = parser.parse_args()
    began = time.monotonic()
    text = report(measure(options), options)
    options.out.write_text(text, encoding="utf-8")
    sys.stdout.write(f"{text}\n{time.monotonic() - began:.0f} s\n")


if __name__ == "__main__":
    main()
