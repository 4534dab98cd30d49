"""One utterance in, what was heard out. Imports ``graph`` and its like, ``opinion``, ``sound``.

The recogniser library ends the whole process when one of its recognisers meets two threads, or
takes a new grammar in mid-utterance. So no recogniser leaves ``hear``: each is made for one
utterance, fed, asked once and dropped, under a lock, and the library is never told to change a
grammar.
"""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from assistant.ear.compiled import Compiler, cache_home
from assistant.ear.graph import UNKNOWN, Costs
from assistant.ear.model_folder import ModelKind, look_at
from assistant.ear.opinion import belief, guesses_of, joined, weigh
from assistant.ear.phrase_list import phrase_list
from assistant.ear.ports import Clip, Heard
from assistant.ear.sound import with_hiss
from assistant.errors import ModelProblem
from assistant.words.phrase import Grammar

_KEPT = 2
"""Loaded grammars: a value's and its read-back's. Each holds a copy of each network, about 20 MB;
loading one anew takes a tenth of a second."""
_GUESSES = 20
"""Word sequences that a network is asked for; one meaning may take several of them."""


class Engine(Protocol):
    """Makes the library's raw recognisers for one model folder."""

    def missing_words(self, grammar: Grammar) -> tuple[str, ...]:
        """Return the words of ``grammar`` that this model cannot hear, sorted."""

    def prepare(self, grammar: Grammar) -> None:
        """Do now what would delay the first ``recognisers`` of ``grammar``."""

    def recognisers(self, grammar: Grammar, rate_hz: int) -> list[Any]:
        """Return a fresh raw recogniser of each network."""


class Recogniser:
    """Hears utterances with one model. Any thread; one utterance at a time."""

    def __init__(self, folder: Path, costs: Costs | None = None, cache: Path | None = None) -> None:
        """Look at the model in ``folder``.

        Raises:
            ModelProblem: there is no such model, or it is not whole.
        """
        model = look_at(folder)
        self.kind = model.kind
        self._lock = threading.Lock()
        self._engine: Engine
        if model.kind is ModelKind.OURS:
            self._engine = _StrictEngine(Compiler(model, costs, cache))
        else:
            self._engine = _ForeignEngine(model.path, model.kind)

    def missing_words(self, grammar: Grammar) -> tuple[str, ...]:
        """Return the words of ``grammar`` that this model cannot hear, sorted.

        A phrase with such a word is never heard at all; it is not shortened.
        """
        with self._lock:
            return self._engine.missing_words(grammar)

    def prepare(self, grammar: Grammar) -> None:
        """Load ``grammar`` now, so that the first utterance does not wait for it.

        Raises:
            ModelProblem: words are missing (our own model), or the cache cannot be written.
        """
        with self._lock:
            self._engine.prepare(grammar)

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        """Return what one utterance says; ``text`` is empty when there are no words in it.

        Raises:
            ModelProblem: as ``prepare``.
        """
        return heard_of(self._answers(clip, grammar), grammar, clip, damaged=damaged)

    def _answers(self, clip: Clip, grammar: Grammar) -> list[dict[str, Any]]:
        """Return what each network answers, in the library's form."""
        pcm = with_hiss(clip.pcm)
        with self._lock:
            return [_answer(r, pcm) for r in self._engine.recognisers(grammar, clip.rate_hz)]


def heard_of(
    answers: Sequence[Mapping[str, Any]], grammar: Grammar, clip: Clip, *, damaged: bool = False
) -> Heard:
    """Turn the library's answers to one utterance, one of each network, into ours."""
    how = belief(len(answers))
    opinions = [weigh(guesses_of(answer), grammar, how.sharpness) for answer in answers]
    guess, share = joined(opinions, how).best()
    confidence = how.probability(share) if guess.text else 0.0
    return Heard(guess.text, guess.words, confidence, clip, damaged)


def _answer(raw: Any, pcm: bytes) -> dict[str, Any]:  # noqa: ANN401 - the library has no types
    # All at once: between two calls the library would look for an end of its own, and cut an
    # utterance in two at a pause that is shorter than the speaker's patience.
    raw.AcceptWaveform(pcm)
    answer: dict[str, Any] = json.loads(raw.FinalResult())
    return answer


@dataclass
class _Kept:
    """The loaded models of the grammars used last."""

    most: int = _KEPT
    models: OrderedDict[str, list[Any]] = field(default_factory=OrderedDict)

    def get(self, key: str, load: Callable[[], list[Any]]) -> list[Any]:
        if key not in self.models:
            # The oldest leave first: the new one may then use their memory.
            while len(self.models) >= self.most:
                self.models.popitem(last=False)
            self.models[key] = load()
        self.models.move_to_end(key)
        return self.models[key]


class _StrictEngine:
    """Our own model: a strict graph, and so loaded networks, for each grammar."""

    def __init__(self, compiler: Compiler) -> None:
        self._compiler = compiler
        self._kept = _Kept()

    def missing_words(self, grammar: Grammar) -> tuple[str, ...]:
        return self._compiler.lexicon.missing(grammar.automaton.vocabulary())

    def prepare(self, grammar: Grammar) -> None:
        self._loaded(grammar)

    def recognisers(self, grammar: Grammar, rate_hz: int) -> list[Any]:
        return [_raw(model, rate_hz) for model in self._loaded(grammar)]

    def _loaded(self, grammar: Grammar) -> list[Any]:
        return self._kept.get(
            grammar.key, lambda: [_load(folder) for folder in self._compiler.folders(grammar)]
        )


class _ForeignEngine:
    """Any other Vosk model: told a list of phrases if it takes one, and read strictly after."""

    def __init__(self, path: Path, kind: ModelKind) -> None:
        self._model = _load(path)
        self._takes_phrases = kind is ModelKind.DYNAMIC
        self._lists: dict[str, str] = {}

    def missing_words(self, grammar: Grammar) -> tuple[str, ...]:
        return tuple(sorted(w for w in grammar.automaton.vocabulary() if not self._knows(w)))

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def prepare(self, grammar: Grammar) -> None:
        if self._takes_phrases and grammar.key not in self._lists:
            phrases = phrase_list(grammar.automaton, frozenset(self.missing_words(grammar)))
            unknown = [UNKNOWN] if self._knows(UNKNOWN) else []
            self._lists[grammar.key] = json.dumps([*phrases, *unknown])

    def recognisers(self, grammar: Grammar, rate_hz: int) -> list[Any]:
        self.prepare(grammar)
        told = [self._lists[grammar.key]] if self._takes_phrases else []
        return [_raw(self._model, rate_hz, *told)]


def _load(folder: Path) -> Any:  # noqa: ANN401 - the library has no types
    vosk = _library()
    try:
        return vosk.Model(str(folder))
    except Exception as problem:  # the library raises nothing more exact
        raise ModelProblem(
            f"The recogniser cannot load {folder}: {problem}. Copy the model folder afresh; if "
            f"that does not help, delete {cache_home()}."
        ) from problem


def _raw(model: Any, rate_hz: int, *phrases: str) -> Any:  # noqa: ANN401
    raw = _library().KaldiRecognizer(model, float(rate_hz), *phrases)
    raw.SetWords(True)
    raw.SetMaxAlternatives(_GUESSES)
    return raw


def _library() -> Any:  # noqa: ANN401
    import vosk  # noqa: PLC0415 - slow to load, and of no use to typed ears

    vosk.SetLogLevel(-2)
    return vosk
