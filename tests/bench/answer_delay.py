"""Measures how long after the last word an utterance is handed over, and whether any is cut short.

    python tests/bench/answer_delay.py --clips FOLDER > tests/bench/results/answer_delay.md

Run by hand, some minutes. Clips that the checklists' grammars know go through gate, patience and
recogniser as from a microphone, once with the patience that the checklists ask for and once with
the one that the words choose. The delay is sound that had to be waited for, behind the last loud
frame of the clean clip, plus the time that the ear's thread then computed.
"""

from __future__ import annotations

import argparse
import datetime
import statistics
import time
from collections.abc import Iterator
from pathlib import Path

from ear.levels import Noises
from ear.recordings_in import own_phrases
from ear.sets import Asked, questions
from gate import ROOT, Piece, data_folder, every, spoken

from assistant.ear.gate import FRAME, Gate, silero
from assistant.ear.listening import Listening
from assistant.ear.patience import PatienceSettings, Standing, standing
from assistant.ear.ports import Clip, Heard
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE_HZ
from assistant.words.phrase import Grammar

_LEVELS = ("clean", "0")
_AS_ASKED = PatienceSettings(most_looks=0)
_BEHIND_S = 3
Row = tuple[Standing, str, float, bool, bool]
"""Standing of what was said, level, delay in seconds, whether cut short, whether right."""


class _Timed:
    """A recogniser that tells how long it computed last."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self.took_s = 0.0

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        """Hear, and look at the clock of this thread."""
        began = time.thread_time()
        heard = self._recogniser.hear(clip, grammar, damaged=damaged)
        self.took_s = time.thread_time() - began
        return heard


def _row(piece: Piece, asked: Asked, listening: Listening, timed: _Timed) -> Row | None:
    """Return what became of a piece; None if the gate missed it."""
    if piece.voice is None:
        return None
    listening.begin(asked.grammar, asked.patience_ms)
    noise = piece.pcm[-RATE_HZ * 2 // 5 :].tobytes()
    pcm = piece.pcm.tobytes() + noise * (_BEHIND_S * 5 // 2)
    for at in range(0, len(pcm), 2 * FRAME):
        timed.took_s = 0.0
        heard = listening.push(pcm[at : at + 2 * FRAME])
        if heard is not None:
            waited = (at + 2 * FRAME) / 2 - piece.voice[1]
            right = asked.grammar.readings(heard.text) == asked.grammar.readings(asked.said)
            stands = standing(asked.said, asked.grammar)
            cut = waited < 0
            return stands, piece.level, waited / RATE_HZ + timed.took_s, cut, right
    return None


def _rows(pieces: list[Piece], model: Path, settings: PatienceSettings) -> Iterator[Row]:
    timed = _Timed(Recogniser(model))
    listening = Listening(timed, Gate(silero()), settings)
    asks = questions([piece.source for piece in pieces if piece.source])
    for piece in pieces:
        for asked in asks(piece.source)[:1] if piece.source else []:
            if asked.grammar.readings(asked.said):
                row = _row(piece, asked, listening, timed)
                if row is not None:
                    yield row


def _table(by_name: dict[str, list[Row]]) -> Iterator[str]:
    yield "| said | level | patience | clips | delay, s: median | 90 % below | cut short | right |"
    yield "|---|---|---|---|---|---|---|---|"
    keys = sorted({row[:2] for rows in by_name.values() for row in rows}, key=str)
    for stands, level in keys:
        for name, rows in by_name.items():
            some = [row for row in rows if row[:2] == (stands, level)]
            delays = sorted(row[2] for row in some if not row[3])
            if not delays:
                continue
            yield (
                f"| {stands.value} | {level} | {name} | {len(some)} "
                f"| {statistics.median(delays):.2f} | {delays[int(0.9 * (len(delays) - 1))]:.2f} "
                f"| {sum(row[3] for row in some)} | {sum(row[4] for row in some)} |"
            )


def main() -> None:
    """Measure, and print a page."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--clips", type=Path, required=True)
    parser.add_argument("--noise", type=Path, default=data_folder() / "noise")
    parser.add_argument("--model", type=Path, default=ROOT / "models" / "ear")
    parser.add_argument("--most", type=int, default=90)
    asked = parser.parse_args()
    noises = Noises(asked.noise, tuple(sorted(path.stem for path in asked.noise.glob("*.wav"))))
    own = [one for one in own_phrases(asked.clips) if one.kind in ("command", "width", "seam")]
    pieces = list(spoken("made", every(own, asked.most), noises, _LEVELS))
    both = {
        "as asked for": list(_rows(pieces, asked.model, _AS_ASKED)),
        "by the words": list(_rows(pieces, asked.model, PatienceSettings())),
    }
    print(_HEAD.format(day=datetime.date.today()))
    print("\n".join(_table(both)))


_HEAD = """# How soon an answer is taken

{day}. Written by tests/bench/answer_delay.py. Asked for: 0.5 s for words, the checklists' own for
values. Cut short: handed over before the voice had ended.
"""

if __name__ == "__main__":
    main()
