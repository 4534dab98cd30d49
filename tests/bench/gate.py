"""Measures the speech gate: how much speech it misses, how much noise it lets through.

    python tests/bench/gate.py > tests/bench/results/gate.md

Run by hand, about ten minutes. Takes people's words (``--words``) and clips made for the bench
(``--clips``), alone and in noise, and noise alone: recordings (``--noise``) and noise made with
models/recipe/noise.py. Each is heard at several settings of the gate; with the package
pywebrtc-audio installed, also behind its noise suppressor. At last the recogniser hears clips
with and without them.
"""

from __future__ import annotations

import argparse
import datetime
import platform
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench"), str(ROOT / "models" / "recipe")]

from ear.intervals import most_an_hour, wilson
from ear.levels import NEAREST, Noises, chance, in_noise, stretch, to_pcm
from ear.recordings_in import Recording, Sound, own_phrases, peoples_words
from ear.sets import questions
from noise import make  # type: ignore[import-not-found,unused-ignore]  # as in ear/levels.py

from assistant.dialogue.prompts import COMMAND_PATIENCE_MS
from assistant.ear.gate import FRAME, GateSettings, GateState, Moment, network, step
from assistant.ear.ports import Clip
from assistant.ear.quieter import Quieter, QuieterSettings
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE_HZ
from assistant.ear.trust import ANSWER_TRUST, VALUE_TRUST
from assistant.words.meaning import Measure

_LEVELS = ("clean", "10", "5", "0", "-5")
_BEFORE, _BEHIND = RATE_HZ, RATE_HZ * 2 // 5
_AT_ONCE = RATE_HZ // 10
_ALONE_S = 10
_ALONE_RMS = 0.05
_LOUD_DB = 25.0
_WHOLE = 0.85
"""An utterance that holds less of the voice than this is no whole one."""
_POINTS = ((0.7, 0.35), (0.6, 0.35), (0.5, 0.35), (0.4, 0.3), (0.3, 0.2), (0.2, 0.15))
_SETTINGS = (
    *(GateSettings(begin_at=begin, go_on_at=go_on) for begin, go_on in _POINTS),
    GateSettings(begin_at=0.5, go_on_at=0.35, begin_ms=64),
)
_GAINS = (0.3,)
Pcm = NDArray[np.int16]
Front = Callable[[Pcm], Pcm]
Track = list[float]
Span = tuple[int, int]


@dataclass(frozen=True)
class Piece:
    """A clip at a level; ``voice`` is where somebody speaks, in samples, if anybody does."""

    group: str
    level: str
    pcm: Pcm
    voice: Span | None
    source: Recording | None = None


@dataclass
class Count:
    """What became of the pieces of one group and level."""

    pieces: int = 0
    missed: int = 0
    cut: int = 0
    utterances: int = 0


@dataclass
class Fronts:
    """What may stand before the gate's network."""

    by_name: dict[str, Callable[[], Front]] = field(default_factory=dict)

    @classmethod
    def known(cls) -> Fronts:
        """Return those that are installed."""
        found = cls({"sound as it is": lambda: lambda pcm: pcm})
        for gain in _GAINS:
            found.by_name[f"noise down to {gain}"] = partial(_quieted, gain)
        try:
            from pywebrtc_audio import NoiseSuppressor  # noqa: PLC0415 - may be missing
        except ImportError:
            return found

        def suppressor() -> Front:
            engine = NoiseSuppressor(RATE_HZ, 1, 2)
            return lambda pcm: np.asarray(engine.process(pcm[: len(pcm) // 160 * 160]), np.int16)

        found.by_name["behind WebRTC's suppressor"] = suppressor
        return found


def _quieted(gain: float) -> Front:
    quieter = Quieter(QuieterSettings(least_gain=gain))
    return lambda pcm: quieter.push(pcm[: len(pcm) // FRAME * FRAME])


def data_folder() -> Path:
    """Return where recordings are kept, outside the project."""
    return ROOT.parent / "shared" / "data"


def _pcm(sound: Sound) -> Pcm:
    return np.frombuffer(to_pcm(sound), "<i2")


def _voice(sound: Sound) -> Span:
    """Return where a clean clip is louder than its loudest frame less ``_LOUD_DB``."""
    power = (sound[: len(sound) // FRAME * FRAME].reshape(-1, FRAME) ** 2).mean(axis=1)
    loud = np.flatnonzero(power > power.max() / 10 ** (_LOUD_DB / 10))
    return int(loud[0]) * FRAME + _BEFORE, (int(loud[-1]) + 1) * FRAME + _BEFORE


def spoken(
    group: str, clips: list[Recording], noises: Noises, levels: tuple[str, ...]
) -> Iterator[Piece]:
    """Return clips at levels, in noise that depends on their names alone."""
    names = sorted(noises.sounds)
    for clip in clips:
        sound = clip.sound()
        padded = np.pad(sound, (_BEFORE, _BEHIND))
        rng = chance(clip.id)
        kind = rng.random()
        if kind < 0.4:
            around = stretch(noises.sounds[NEAREST], rng, len(padded))
        elif kind < 0.7:
            around = make(rng, len(padded))
        else:
            around = stretch(noises.sounds[names[rng.integers(len(names))]], rng, len(padded))
        for level in levels:
            mixed = padded if level == "clean" else in_noise(padded, around, level)
            yield Piece(group, level, _pcm(mixed), _voice(sound), clip)


def _alone(noises: Noises, made: int) -> Iterator[Piece]:
    samples = _ALONE_S * RATE_HZ
    for sound in noises.sounds.values():
        piece = sound[:samples]
        level = float(np.sqrt((piece.astype(np.float64) ** 2).mean()))
        yield Piece("noise", "recorded", _pcm(piece * (_ALONE_RMS / max(level, 1e-9))), None)
    for number in range(made):
        sound = make(chance(f"gate {number}"), samples)
        yield Piece("noise", "made", _pcm(sound * _ALONE_RMS), None)


def tracks(pieces: list[Piece], front: Callable[[], Front]) -> list[Track]:
    """Return the probability of speech in each frame of each piece."""
    ear = network()
    found = []
    for piece in pieces:
        ear.reset()
        pcm = front()(piece.pcm)
        whole = range(0, len(pcm) // FRAME * FRAME, FRAME)
        found.append([ear(pcm[at : at + FRAME].tobytes()) for at in whole])
    return found


def spans(track: Track, settings: GateSettings) -> list[Span]:
    """Return which frames the gate would hand over, without what it keeps around them."""
    state, found, first = GateState(), [], 0
    silence = [0.0] * (COMMAND_PATIENCE_MS // 32 + 2)
    for at, chance_of in enumerate([*track, *silence]):
        state, moment = step(state, chance_of, COMMAND_PATIENCE_MS, settings)
        if moment is Moment.BEGAN:
            first = at + 1 - state.length
        elif moment is Moment.ENDED:
            found.append((first, min(at + 1, len(track))))
    return found


def counts(
    pieces: list[Piece], all_tracks: list[Track], settings: GateSettings
) -> dict[tuple[str, str], Count]:
    """Return what became of each group at each level."""
    found: dict[tuple[str, str], Count] = {}
    for piece, track in zip(pieces, all_tracks, strict=True):
        count = found.setdefault((piece.group, piece.level), Count())
        count.pieces += 1
        heard = spans(track, settings)
        count.utterances += len(heard)
        if piece.voice is not None:
            share = max([0.0, *(_share(span, piece.voice, settings) for span in heard)])
            count.missed += share == 0
            count.cut += 0 < share < _WHOLE
    return found


def _share(span: Span, voice: Span, settings: GateSettings) -> float:
    start = span[0] * FRAME - settings.pre_roll_ms * RATE_HZ // 1000
    inside = min(span[1] * FRAME, voice[1]) - max(start, voice[0])
    return max(0.0, inside / (voice[1] - voice[0]))


def _gate_table(pieces: list[Piece], fronts: Fronts) -> Iterator[str]:
    groups = sorted({piece.group for piece in pieces} - {"noise"})
    heads = [f"{group} {level}" for group in groups for level in _LEVELS]
    yield "| gate hears | begins at | goes on at | begins after | " + " | ".join(
        [*heads, "noise: utterances", "an hour, at most |"]
    )
    yield "|---|---|---|---|" + "---|" * (len(heads) + 2)
    hours = sum(len(p.pcm) for p in pieces if p.group == "noise") / RATE_HZ / 3600
    for name, front in fronts.by_name.items():
        found = tracks(pieces, front)
        for one in _SETTINGS:
            count = counts(pieces, found, one)
            spoken = [count[group, level] for group in groups for level in _LEVELS]
            cells = [
                f"{_percent(c.missed, c.pieces)} / {_percent(c.cut, c.pieces)}" for c in spoken
            ]
            through = sum(c.utterances for (group, _), c in count.items() if group == "noise")
            row = [name, str(one.begin_at), str(one.go_on_at), f"{one.begin_ms} ms", *cells]
            row += [str(through), f"{most_an_hour(through, hours):.0f}"]
            yield "| " + " | ".join(row) + " |"


def _itself(front: Front) -> Front:
    return front


def _at_once_table(pieces: list[Piece], fronts: Fronts) -> Iterator[str]:
    """Cut each piece off just before its voice: the network is fresh, the noise is known."""
    yield "| gate hears | begins at | level | clips | missed / cut short, % |"
    yield "|---|---|---|---|---|"
    for name, front in fronts.by_name.items():
        for level in ("clean", "5", "0"):
            short, found = [], []
            for piece in pieces:
                if piece.voice is None or piece.level != level:
                    continue
                at = (piece.voice[0] - _AT_ONCE) // FRAME * FRAME
                voice = (piece.voice[0] - at, piece.voice[1] - at)
                short.append(Piece("", level, piece.pcm[at:], voice))
                filtered = front()
                filtered(piece.pcm[:at])
                found += tracks(short[-1:], partial(_itself, filtered))
            for begin in (0.5, 0.6):
                settings = GateSettings(begin_at=begin, go_on_at=0.35)
                count = counts(short, found, settings)["", level]
                cells = (
                    f"{_percent(count.missed, count.pieces)} / {_percent(count.cut, count.pieces)}"
                )
                yield f"| {name} | {begin} | {level} | {count.pieces} | {cells} |"


def _percent(part: int, of: int) -> str:
    return f"{100 * part / of:.1f}"


def _recogniser_table(pieces: list[Piece], fronts: Fronts, model: Path) -> Iterator[str]:
    recogniser = Recogniser(model)
    clips = [piece.source for piece in pieces if piece.source and piece.level == "clean"]
    asks = questions(clips)
    yield "| recogniser hears | level | clips | right, % | wrong, % |"
    yield "|---|---|---|---|---|"
    for name, front in fronts.by_name.items():
        for level in ("10", "5", "0"):
            results = []
            for piece in pieces:
                if piece.level != level or piece.group != "made" or piece.source is None:
                    continue
                for asked in asks(piece.source)[:1]:
                    start = max(0, (piece.voice or (0, 0))[0] - RATE_HZ * 3 // 10)
                    pcm = front()(piece.pcm)[start:].tobytes()
                    heard = recogniser.hear(Clip(pcm, RATE_HZ), asked.grammar)
                    got = asked.grammar.readings(heard.text)
                    value = bool(got) and isinstance(got[0], Measure)
                    sure = heard.confidence >= (VALUE_TRUST if value else ANSWER_TRUST)
                    right = got == asked.grammar.readings(asked.said)
                    results.append((sure and bool(got) and right, sure and bool(got) and not right))
            good, bad = (sum(column) for column in zip(*results, strict=True))
            low, high = wilson(good, len(results))
            yield (
                f"| {name} | {level} dB | {len(results)} | {_percent(good, len(results))} "
                f"({100 * low:.1f} to {100 * high:.1f}) | {_percent(bad, len(results))} |"
            )


def every(clips: list[Recording], most: int) -> list[Recording]:
    """Return at most so many, from all over the list."""
    return clips[:: max(1, len(clips) // most)][:most]


def main() -> None:
    """Measure, and print a page."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--words", type=Path, default=data_folder() / "words")
    parser.add_argument("--noise", type=Path, default=data_folder() / "noise")
    parser.add_argument("--clips", type=Path, required=True)
    parser.add_argument("--model", type=Path, default=ROOT / "models" / "ear")
    parser.add_argument("--most", type=int, default=100, help="clips of each group")
    asked = parser.parse_args()
    names = tuple(sorted(path.stem for path in asked.noise.glob("*.wav")))
    noises = Noises(asked.noise, names)
    own = [one for one in own_phrases(asked.clips) if one.kind in ("command", "width", "seam")]
    pieces = [
        *spoken("made", every(own, asked.most), noises, _LEVELS),
        *spoken("people's words", every(peoples_words(asked.words), asked.most), noises, _LEVELS),
        *_alone(noises, 60),
    ]
    fronts = Fronts.known()
    print(_HEAD.format(day=datetime.date.today(), where=f"{platform.machine()} {sys.platform}"))
    print("\n".join(_gate_table(pieces, fronts)), flush=True)
    print(_AT_ONCE_HEAD)
    print("\n".join(_at_once_table(pieces, fronts)), flush=True)
    print(_BETWEEN)
    print("\n".join(_recogniser_table(pieces, fronts, asked.model)), flush=True)


_HEAD = """# What the speech gate misses

{day}, {where}. Written by tests/bench/gate.py.

Missed / cut short, in percent of clips at each level (decibels of the voice over the noise); cut
short: less than 85 % of the voice was handed over. Noise: four in ten clips lie beside a vacuum
cleaner, three beside made blowers and engines, the rest beside other recordings. Last: utterances
that noise alone was taken for, and how many an hour that could mean (95 % bound).
What ships: noise down to 0.3, begins at 0.6, goes on at 0.35, 96 ms. It was chosen by this table.
"""
_AT_ONCE_HEAD = """
## When the answer begins 0.1 s after the ear is opened
"""
_BETWEEN = """
## Does it help the recogniser to hear what the suppressor leaves?

Right and wrong as the conversation would take them, below the thresholds asked again. Clips are
those above, cut by where the voice is, so that the gate has no say.
"""

if __name__ == "__main__":
    main()
