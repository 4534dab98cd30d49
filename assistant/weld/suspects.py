"""What a failed test puts in question, and where to cut next. Pure and exact.

Imports ``work``, ``states``, ``paths`` and ``seams``.

Two ways to find how far the bad welding reaches, by job rule. Published practice for membrane
liners takes a sample ten feet to either side of the failed one, and steps on until both pass
(https://lfweb.sjgov.org/EHD/0/doc/600107/Page848.aspx). Halving cuts in the middle between good and
bad, which needs the fewest cuts where the weld went bad once and stayed bad. Either way what is
left between two passing cuts is the poor length: it is repaired, and so is every cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction

from assistant.weld.paths import Bound, Path, Piece
from assistant.weld.seams import Cover
from assistant.weld.states import Because, State, Stretch
from assistant.weld.work import Hand


class Way(Enum):
    """How the bad length is closed in."""

    HALVING = "halving"
    STEPS = "steps"


@dataclass(frozen=True, slots=True)
class CutRules:
    """What a job decides."""

    way: Way = Way.STEPS
    step_ft: Fraction = Fraction(10)
    bounded_ft: Fraction = Fraction(10)
    """By halving: a side this short is not cut again."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where to cut."""

    seam: str
    at_ft: Fraction | None
    """From the seam's start. None: near the middle of the length below, whose end is unknown,
    unless ``before_end_ft`` tells it."""
    from_ft: Fraction
    to_ft: Fraction | None
    before_end_ft: Fraction | None = None
    """From the seam's end, where only that is known."""


@dataclass(frozen=True, slots=True)
class Accused:
    """What one or more failed tests of a hand, with no pass between them, put in question."""

    failed: tuple[str, ...]
    """Ids of the tests."""
    hand: Hand
    suspects: tuple[Stretch, ...]
    """What is still suspect, in the order in which it was welded."""
    cuts: tuple[Place, ...]
    """Where to cut next: at most one towards the earlier and one towards the later welding."""

    @property
    def bounded(self) -> bool:
        """Tell whether no further cut is asked for: what is suspect now is the poor length."""
        return not self.cuts

    @property
    def feet(self) -> Fraction | None:
        """Return the suspect length, or None where a part of it is unknown."""
        lengths = [stretch.feet for stretch in self.suspects]
        known = [length for length in lengths if length is not None]
        return sum(known, Fraction(0)) if len(known) == len(lengths) else None


def accused(cover: Cover, rules: CutRules | None = None) -> tuple[Accused, ...]:
    """Return every list of suspects that is not empty, in the order of the hands, then of time."""
    rules = rules or CutRules()
    left: dict[str, list[Stretch]] = {}
    for stretch in cover.of(State.SUSPECT):
        if stretch.because is Because.FAILED:
            left.setdefault(stretch.seam, []).append(stretch)
    found = []
    for hand in sorted(cover.paths.by_hand, key=str):
        for block in _blocks(cover.paths.by_hand[hand]):
            made = _accused(block, hand, _Left(left, cover), rules)
            if made is not None:
                found.append(made)
    return tuple(found)


def _blocks(path: Path) -> Iterator[list[Piece | Bound]]:
    """Return what lies between two passes, or an end, and has a failed test in it."""
    block: list[Piece | Bound] = []
    failed = False
    for row in path:
        if isinstance(row, Bound) and row.passed:
            if failed:
                yield block
            block, failed = [], False
            continue
        failed = failed or isinstance(row, Bound)
        block.append(row)
    if failed:
        yield block


@dataclass(frozen=True, slots=True)
class _Left:
    """What of the welding is suspect still, by seam, in order."""

    stretches: dict[str, list[Stretch]]
    cover: Cover

    def of(self, piece: Piece) -> list[Stretch]:
        """Return the suspect parts of a piece, in the order in which it was welded."""
        ruler = self.cover.paths.ruler
        found = []
        for stretch in self.stretches.get(piece.of.seam, []):
            start = max(piece.low, ruler.units(stretch.from_ft))
            stop = min(piece.high, ruler.upto(stretch.to_ft))
            from_ft = ruler.feet(start)
            if start < stop and from_ft is not None:
                found.append(_part(stretch, from_ft, ruler.feet(stop)))
        return found[::-1] if piece.backward else found


def _part(stretch: Stretch, from_ft: Fraction, to_ft: Fraction | None) -> Stretch:
    return Stretch(
        stretch.seam, from_ft, to_ft, stretch.state, stretch.because, stretch.by, stretch.hand
    )


@dataclass(frozen=True, slots=True)
class _Span:
    """A piece of a path seen from the failed test outwards, with what of it is suspect still."""

    seam: str
    from_ft: Fraction
    to_ft: Fraction | None
    inward: bool
    """Going outwards is going back towards its start."""
    parts: tuple[Stretch, ...]
    """In the order in which they are met."""

    @property
    def feet(self) -> Fraction | None:
        """Return its length, or None where it is unknown."""
        return None if self.to_ft is None else self.to_ft - self.from_ft


def _accused(
    block: Sequence[Piece | Bound], hand: Hand, left: _Left, rules: CutRules
) -> Accused | None:
    bad = [place for place, row in enumerate(block) if isinstance(row, Bound)]
    early = _spans(block[: bad[0]], left)
    between = _spans(block[bad[0] : bad[-1]], left)
    late = _spans(block[bad[-1] :], left)
    every = [part for span in (*early, *between, *late) for part in span.parts]
    if not every:
        return None
    ids = dict.fromkeys(each for row in block if isinstance(row, Bound) for each in row.ids)
    # From the failed test outwards: backward along the earlier welding, forward along the later.
    sides = ([_turned(span) for span in reversed(early)], late)
    cuts = [cut for side in sides if (cut := _cut(side, rules)) is not None]
    return Accused(tuple(ids), hand, tuple(dict.fromkeys(every)), tuple(cuts))


def _spans(rows: Sequence[Piece | Bound], left: _Left) -> list[_Span]:
    """Return pieces in the order in which they were welded."""
    ruler = left.cover.paths.ruler
    found = []
    for row in rows:
        if isinstance(row, Piece):
            low, high = ruler.feet(row.low) or Fraction(0), ruler.feet(row.high)
            parts = tuple(left.of(row))
            found.append(_Span(row.of.seam, low, high, row.backward, parts))
    return found


def _turned(span: _Span) -> _Span:
    return replace(span, inward=not span.inward, parts=span.parts[::-1])


# ---- where to cut


def _cut(side: Sequence[_Span], rules: CutRules) -> Place | None:
    """Return where to cut one side, or None where it is bounded closely enough."""
    if not any(span.parts for span in side):
        return None
    return _step(side, rules) if rules.way is Way.STEPS else _half(side, rules)


def _half(side: Sequence[_Span], rules: CutRules) -> Place | None:
    """Return the middle of what is suspect: of its feet, or of its parts where feet are unknown."""
    parts = [(part, span.inward) for span in side for part in span.parts]
    lengths = [part.feet for part, _ in parts]
    known = [length for length in lengths if length is not None]
    if len(known) < len(lengths):
        middle = parts[len(parts) // 2][0]
        half = None if middle.feet is None else middle.from_ft + middle.feet / 2
        return Place(middle.seam, half, middle.from_ft, middle.to_ft)
    whole = sum(known, Fraction(0))
    if whole <= rules.bounded_ft:
        return None
    rest = whole / 2
    for part, inward in parts:
        long = part.feet or Fraction(0)
        if rest < long:
            return _place(part, rest, inward)
        rest -= long
    return None


def _step(side: Sequence[_Span], rules: CutRules) -> Place | None:
    """Return the place one step out from the failed test, or the next suspect one beyond it."""
    rest = rules.step_ft
    for span in side:
        long = span.feet
        for part in span.parts:
            if part.to_ft is None:
                return _place(part, _into(part, span, rest), span.inward)
            end = part.to_ft - part.from_ft + _before(part, span)
            if end > rest:
                return _place(part, _into(part, span, rest), span.inward)
        rest -= rest if long is None else min(long, rest)
    return None


def _before(part: Stretch, span: _Span) -> Fraction:
    """Return how far into a span, going outwards, a part begins."""
    if not span.inward:
        return part.from_ft - span.from_ft
    if span.to_ft is None or part.to_ft is None:
        return Fraction(0)
    return span.to_ft - part.to_ft


def _into(part: Stretch, span: _Span, rest: Fraction) -> Fraction:
    """Return how far into a part the place is that lies so far into its span."""
    return max(rest - _before(part, span), Fraction(0))


def _place(part: Stretch, feet: Fraction, inward: bool) -> Place:
    """Return the place so many feet into a part, going outwards."""
    if not inward:
        return Place(part.seam, part.from_ft + feet, part.from_ft, part.to_ft)
    if part.to_ft is None:
        return Place(part.seam, None, part.from_ft, None, feet)
    return Place(part.seam, part.to_ft - feet, part.from_ft, part.to_ft)
