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
from dataclasses import dataclass
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
class _Length:
    """A suspect part as it lies on the path, with the way it was welded."""

    stretch: Stretch
    backward: bool


def _accused(
    block: Sequence[Piece | Bound], hand: Hand, left: _Left, rules: CutRules
) -> Accused | None:
    bad = [place for place, row in enumerate(block) if isinstance(row, Bound)]
    early = _lengths(block[: bad[0]], left)
    between = _lengths(block[bad[0] : bad[-1]], left)
    late = _lengths(block[bad[-1] :], left)
    every = [length.stretch for length in (*early, *between, *late)]
    if not every:
        return None
    ids = dict.fromkeys(each for row in block if isinstance(row, Bound) for each in row.ids)
    # From the failed test outwards: backward along the earlier welding, forward along the later.
    sides = ([_turned(length) for length in reversed(early)], late)
    cuts = [cut for side in sides if (cut := _cut(side, rules)) is not None]
    return Accused(tuple(ids), hand, tuple(dict.fromkeys(every)), tuple(cuts))


def _lengths(rows: Sequence[Piece | Bound], left: _Left) -> list[_Length]:
    return [
        _Length(stretch, piece.backward)
        for piece in rows
        if isinstance(piece, Piece)
        for stretch in left.of(piece)
    ]


def _turned(length: _Length) -> _Length:
    return _Length(length.stretch, not length.backward)


# ---- where to cut


def _cut(side: Sequence[_Length], rules: CutRules) -> Place | None:
    """Return where to cut one side, or None where it is bounded closely enough."""
    if not side:
        return None
    lengths = [length.stretch.feet for length in side]
    known = [length for length in lengths if length is not None]
    if rules.way is Way.STEPS:
        return _after(side, rules.step_ft)
    if len(known) < len(lengths):
        # Feet cannot be halved here, so the runs are.
        middle = side[len(side) // 2].stretch
        return _middle_of(middle)
    whole = sum(known, Fraction(0))
    return _after(side, whole / 2) if whole > rules.bounded_ft else None


def _after(side: Sequence[_Length], feet: Fraction) -> Place | None:
    """Return the place so many feet along a side; None where the side ends before or there."""
    rest = feet
    for length in side:
        stretch, long = length.stretch, length.stretch.feet
        if long is None or stretch.to_ft is None:
            if length.backward:
                return Place(stretch.seam, None, stretch.from_ft, None, rest)
            return Place(stretch.seam, stretch.from_ft + rest, stretch.from_ft, None)
        if rest < long:
            at_ft = stretch.to_ft - rest if length.backward else stretch.from_ft + rest
            return Place(stretch.seam, at_ft, stretch.from_ft, stretch.to_ft)
        rest -= long
    return None


def _middle_of(stretch: Stretch) -> Place:
    long = stretch.feet
    middle = None if long is None else stretch.from_ft + long / 2
    return Place(stretch.seam, middle, stretch.from_ft, stretch.to_ft)
