"""Simulated shifts: a welder says values, the real dialogue reads them back, the welder answers.

``dialogue.loop.step`` decides everything, with the real parser, grammars, limits and read-backs of
the shipped finish weld. Only the ear and the welder are made up, the ear of measured clips.
"""

from __future__ import annotations

import random
from bisect import bisect
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

from assistant.dialogue import events, loop
from assistant.dialogue.state import Detail, Phase, Settings, State, Trust
from assistant.procedure.loader import load_procedure
from assistant.procedure.model import AskValue, Procedure
from assistant.words.meaning import Measure
from assistant.words.phrase import Grammar
from assistant.words.readback import value_in_words
from assistant.words.understand import Reading, Understood, understand

from .hearing import Clips, Hearing, Outcome, plainly
from .measured import ROOT, read

STEP_OF = {"in": "width", "number": "seam"}
MOST_TURNS = 80


@dataclass(frozen=True)
class Welder:
    """How the simulated welder behaves. Assumptions, not measurements."""

    careless: float = 0.01
    """Chance of a yes to a read-back that is wrong, each time one is heard."""
    value_instead: float = 0.3
    """Chance of saying the value again, where "no" would do; a tenth of that where "yes" would."""
    same_again: float = 0.5
    """Chance that what is said once more is heard exactly as before: same voice, same noise."""
    again_is_yes: bool = False
    """To compare with: the same value, heard again into its read-back, counts as a yes."""


@dataclass(frozen=True)
class Setting:
    """What is simulated."""

    detail: Detail = Detail.STANDARD
    trust: Trust = field(default_factory=Trust)
    welder: Welder = field(default_factory=Welder)


@dataclass(frozen=True)
class _Step:
    """What one event led to."""

    state: State
    words: int
    asked: bool
    """Lapcall spoke and waits for an answer."""
    logged: Measure | None
    ended: str
    """``logged``, ``not heard``, ``stopped``, or empty while it goes on."""


class Lapcall:
    """The conversation about one value, from its question on; remembers where each event led."""

    def __init__(self, unit: str, setting: Setting) -> None:
        # Reading the same words again and again takes most of the time.
        loop.understand = _understood
        trust = setting.trust
        self._points = sorted({0.0, trust.answer, trust.value, trust.yes})
        self.start = _at(STEP_OF[unit], setting)
        self._known: dict[tuple[int, str | None, float], _Step] = {}
        self._states: list[State] = [self.start]  # so that no id is used twice

    def heard(self, state: State, what: Outcome) -> _Step:
        """Return what comes of words, or of silence."""
        text, sure = what
        # Only which thresholds a confidence reaches decides anything.
        reached = self._points[bisect(self._points, sure) - 1]
        key = (id(state), text, reached)
        if key not in self._known:
            self._known[key] = self._step(state, text, reached)
            self._states.append(self._known[key].state)
        return self._known[key]

    def _step(self, state: State, text: str | None, confidence: float) -> _Step:
        event = events.QuietPassed() if text is None else events.SpeechHeard(text, confidence)
        after, actions = loop.step(state, event)
        logs = [one for one in actions if isinstance(one, events.Log)]
        ended, logged = "", None
        if any(isinstance(one, events.Finish) for one in actions):
            ended = "stopped"
        for one in logs:
            if one.kind == "not-heard":
                ended = "not heard"
            if one.kind == "answered" and state.pending is not None:
                ended, logged = "logged", state.pending.reading.measure
        said = () if ended else [one for one in actions if isinstance(one, events.Say)]
        words = sum(len(one.text.split()) for one in said)
        return _Step(after, words, bool(words), logged, ended)


_read: dict[tuple[str, str], Understood] = {}


def _understood(text: str, grammar: Grammar) -> Understood:
    key = (text, grammar.key)
    if key not in _read:
        _read[key] = understand(text, grammar)
    return _read[key]


@cache
def _finish_weld() -> Procedure:
    return load_procedure(ROOT / "checklists" / "finish-weld.yaml")


def _at(step_id: str, setting: Setting) -> State:
    """Return the state in which a step of the finish weld has just been asked."""
    from support.seam import GOOD_STRIP  # noqa: PLC0415 - on the path where this is run
    from support.talk import Talk, walk  # noqa: PLC0415

    settings = Settings(detail=setting.detail, trust=setting.trust)
    return walk(Talk(_finish_weld(), settings), {**GOOD_STRIP, "heat-marks": "none"}, step_id).state


@dataclass
class Counts:
    """What a shift came to."""

    values: int = 0
    wrong: int = 0
    misread: int = 0
    """Read-backs of a value that was not meant."""
    not_heard: int = 0
    stopped: int = 0
    asked: int = 0
    """Times that Lapcall spoke and waited, the question itself included."""
    words: int = 0
    """Words that Lapcall spoke behind the question."""

    def add(self, other: Counts) -> None:
        """Add what another shift came to."""
        for name, count in vars(other).items():
            setattr(self, name, getattr(self, name) + count)


def shifts(
    clips: Clips, setting: Setting, count: int, values: int, seed: str
) -> tuple[list[Counts], Counts]:
    """Return what each of ``count`` shifts came to, and all of them together."""
    lapcall, every, total = Lapcall(clips.unit, setting), [], Counts()
    for number in range(count):
        # The same chance for every setting, so that settings are compared on the same shifts.
        rng = random.Random(f"{seed} {clips.kind} {number}")  # noqa: S311 - nothing secret
        hearing, counts = Hearing(clips, rng), Counts()
        for _ in range(values):
            _Talk(hearing, setting.welder, lapcall, rng).until_it_ends(counts)
        every.append(counts)
        total.add(counts)
    return every, total


class _Talk:
    """One value: the welder means it, says it, and answers until the talk about it ends."""

    def __init__(
        self, hearing: Hearing, welder: Welder, lapcall: Lapcall, rng: random.Random
    ) -> None:
        self._hearing, self._welder, self._lapcall, self._rng = hearing, welder, lapcall, rng
        self._meant, self._said, first = hearing.first()
        self._before = {"value": first}
        """What was heard the last time that something was said."""

    def until_it_ends(self, counts: Counts) -> None:
        """Talk, and count what comes of it."""
        state, outcome = self._lapcall.start, self._before["value"]
        counts.values += 1
        counts.asked += 1
        for _ in range(MOST_TURNS):
            step = self._lapcall.heard(state, self._allowed(state, outcome))
            counts.words += step.words
            counts.asked += step.asked
            if step.ended:
                counts.wrong += step.logged is not None and not same(step.logged, self._meant)
                counts.not_heard += step.ended == "not heard"
                counts.stopped += step.ended == "stopped"
                return
            counts.misread += self._is_misread(state, step.state)
            state = step.state
            if state.phase is Phase.SECOND_WAY and self._meant.hedge:
                # Digit by digit there is no hedge, nor any more later on.
                self._meant = Measure(self._meant.value, self._meant.unit)
                self._said = value_in_words(self._meant)
                self._before.pop("value")
            outcome = self._reply(state)
        raise RuntimeError("a value was talked about without end")

    def _is_misread(self, before: State, after: State) -> bool:
        """Tell whether a wrong value was read back just now."""
        was, now = (one.pending and one.pending.reading for one in (before, after))
        return now is not None and now is not was and not same(now.measure, self._meant)

    def _allowed(self, state: State, outcome: Outcome) -> Outcome:
        """Let the same value again pass for a yes, where that is to be compared."""
        text, sure = outcome
        if not self._welder.again_is_yes or state.pending is None or text is None:
            return outcome
        step = state.step
        heard = read(text, step.unit) if isinstance(step, AskValue) else None
        again = isinstance(heard, Reading) and heard.measure == state.pending.reading.measure
        return ("yes", 1.0) if again and sure >= state.settings.trust.value else outcome

    def _reply(self, state: State) -> Outcome:
        """Return what is heard of the welder's next words."""
        if state.phase is Phase.HOLD:
            return "carry on", 1.0
        if state.pending is not None:
            return self._answer(state.pending.reading.measure)
        if state.phase is Phase.SECOND_WAY:
            digits = plainly(self._meant)
            return self._heard("plain", lambda: self._hearing.again(self._meant, digits))
        return self._value_again()

    def _answer(self, read_back: Measure) -> Outcome:
        right, welder = same(read_back, self._meant), self._welder
        instead = welder.value_instead * (0.1 if right else 1.0)
        if not right and self._rng.random() < welder.careless:
            right, instead = True, 0.0
        if self._rng.random() < instead:
            return self._value_again()
        return self._heard("yes" if right else "no", lambda: self._hearing.answer(yes=right))

    def _value_again(self) -> Outcome:
        return self._heard("value", lambda: self._hearing.again(self._meant, self._said))

    def _heard(self, what: str, anew: Callable[[], Outcome]) -> Outcome:
        """Return what is heard of something: as the last time, or by new chance."""
        if what not in self._before or self._rng.random() >= self._welder.same_again:
            self._before[what] = anew()
        return self._before[what]


def same(one: Measure, other: Measure) -> bool:
    """Tell whether two values put the same width into the record, hedge and all."""
    return (one.value_in, one.hedge) == (other.value_in, other.hedge)
