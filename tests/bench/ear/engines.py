"""The recognisers that are compared, each behind the same three lines.

Only Lapcall's own comes with the project. pocketsphinx and faster-whisper are measured where they
are installed (requirements.txt here).
"""

from __future__ import annotations

import hashlib
import math
import os
import tempfile
from importlib import metadata
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Protocol

import numpy as np

from assistant.ear.ports import Clip
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE_HZ
from assistant.words.phrase import Automaton, Grammar

from .figures import in_our_words

OURS, SPHINX, WHISPER = "Lapcall", "pocketsphinx", "Whisper tiny"
ROOT = Path(__file__).parents[3]
_FRONT = ("gate", "listening", "patience", "trust")
_NOT_HEARING = (*_FRONT, "microphone", "vosk_ear", "wav_ear", "stepped", "scripted")
"""What comes before and behind the recogniser; all of it runs anew in each measurement."""


class Engine(Protocol):
    """Something that hears."""

    def hear(self, pcm: bytes, grammar: Grammar) -> tuple[str, float]:
        """Return the words of an utterance as the engine writes them, and its confidence."""


def digest(paths: list[Path]) -> str:
    """Return a short name that changes with any of these files."""
    total = hashlib.sha256()
    for path in sorted(paths):
        total.update(path.name.encode() + hashlib.sha256(path.read_bytes()).digest())
    return total.hexdigest()[:12]


def model_files(folder: Path) -> list[Path]:
    """Return everything in a model's folder."""
    return [path for path in folder.rglob("*") if path.is_file()]


def identities(model: Path, whisper: Path | None) -> dict[str, str]:
    """Return each engine that can be measured here, with a name for exactly this form of it."""
    ear = ROOT / "assistant" / "ear"
    code = [path for path in ear.glob("*.py") if path.stem not in _NOT_HEARING]
    found = {OURS: f"{digest(model_files(model))}-{digest(code)}-vosk {metadata.version('vosk')}"}
    if find_spec("pocketsphinx"):
        found[SPHINX] = f"pocketsphinx {metadata.version('pocketsphinx')}, form 1"
    if whisper and find_spec("faster_whisper"):
        version = metadata.version("faster-whisper")
        found[WHISPER] = f"{digest(model_files(whisper))}-faster-whisper {version}, form 1"
    return found


def in_words(engine: str, text: str) -> str:
    """Return what an engine wrote in words as the grammars have them."""
    return in_our_words(text) if engine == WHISPER else text


def load(engine: str, model: Path, whisper: Path | None) -> Engine:
    """Load one engine; each process loads its own."""
    if engine == OURS:
        return _Ours(model)
    if engine == SPHINX:
        return _Sphinx(model)
    if whisper is None:
        raise ValueError("Whisper needs --whisper FOLDER")
    return _Whisper(whisper)


class _Ours:
    """The product's recogniser, through what the product itself calls."""

    def __init__(self, model: Path) -> None:
        self._recogniser = Recogniser(model)

    def hear(self, pcm: bytes, grammar: Grammar) -> tuple[str, float]:
        heard = self._recogniser.hear(Clip(pcm, RATE_HZ), grammar)
        return heard.text, heard.confidence


class _Sphinx:
    """pocketsphinx with its own English model, searching the very same graph of words."""

    def __init__(self, model: Path) -> None:
        import pocketsphinx  # noqa: PLC0415 - no part of the project

        self._library = pocketsphinx
        self._decoder: Any = pocketsphinx.Decoder(samprate=float(RATE_HZ), loglevel="FATAL")
        self._lexicon = _pronunciations(model)
        self._known: set[str] = set()

    def hear(self, pcm: bytes, grammar: Grammar) -> tuple[str, float]:
        self._search(grammar)
        self._decoder.start_utt()
        self._decoder.process_raw(pcm, full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        # An unfinished path ("one and") is no phrase; judging refuses it.
        return (found.hypstr, min(1.0, float(found.prob))) if found else ("", 0.0)

    def _search(self, grammar: Grammar) -> None:
        if grammar.key not in self._known:
            for word in sorted(grammar.automaton.vocabulary()):
                if self._decoder.lookup_word(word) is None and word in self._lexicon:
                    self._decoder.add_word(word, self._lexicon[word], True)
            machine = _spoken_by(self._decoder, grammar.automaton)
            self._decoder.add_fsg(grammar.key, self._graph(machine))
            self._known.add(grammar.key)
        self._decoder.activate_search(grammar.key)

    def _graph(self, machine: str) -> Any:
        handle, name = tempfile.mkstemp(suffix=".fsg")
        try:
            os.write(handle, machine.encode())
            os.close(handle)
            return self._library.FsgModel.readfile(name, self._decoder.logmath, 6.5)
        finally:
            Path(name).unlink()


def _pronunciations(model: Path) -> dict[str, str]:
    """Return the first pronunciation of each word of our lexicon, for words that Sphinx lacks."""
    found: dict[str, str] = {}
    for line in (model / "lexicon.txt").read_text("utf-8").splitlines():
        word, _, phones = line.partition(" ")
        found.setdefault(word, phones)
    return found


def _spoken_by(decoder: Any, machine: Automaton) -> str:
    return graph_text(machine, lambda word: decoder.lookup_word(word) is not None)


def graph_text(machine: Automaton, known: Any) -> str:
    """Return a grammar as Sphinx's FSG text: all ways out of a state are equally likely."""
    end = len(machine.arcs)
    lines = ["FSG_BEGIN lapcall", f"NUM_STATES {end + 1}", "START_STATE 0", f"FINAL_STATE {end}"]
    for state, arcs in enumerate(machine.arcs):
        ways = [(word, after) for word, after in arcs if known(word)]
        share = 1 / max(1, len(ways) + (state in machine.finals))
        lines += [f"TRANSITION {state} {after} {share:.6f} {word}" for word, after in ways]
        if state in machine.finals:
            lines.append(f"TRANSITION {state} {end} {share:.6f}")
    return "\n".join([*lines, "FSG_END", ""])


class _Whisper:
    """Whisper by way of CTranslate2: hears anything, so its words are parsed afterwards."""

    def __init__(self, folder: Path) -> None:
        from faster_whisper import WhisperModel  # noqa: PLC0415 - no part of the project

        self._model: Any = WhisperModel(
            str(folder), device="cpu", compute_type="int8", cpu_threads=1
        )

    def hear(self, pcm: bytes, grammar: Grammar) -> tuple[str, float]:  # noqa: ARG002 - takes none
        sound = np.frombuffer(pcm, "<i2").astype(np.float32) / 32_768
        parts, _ = self._model.transcribe(
            sound,
            language="en",
            beam_size=5,
            temperature=0.0,
            without_timestamps=True,
            condition_on_previous_text=False,
        )
        heard = list(parts)
        if not heard:
            return "", 0.0
        text = " ".join(part.text for part in heard)
        return text, math.exp(min(part.avg_logprob for part in heard))
