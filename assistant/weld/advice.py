"""What to check first after a strip, the likeliest first. Imports modules of ``weld``; pure.

The trade's causes and what they leave on a strip are common practice without a source. How much
each sign speaks for a cause is our judgement, in points that add up; they only put causes in
order and are no chances. Nothing here changes a verdict, and nothing names a mark on a dial.
"""

from __future__ import annotations

from collections import Counter
from enum import Enum

from assistant.weld.limits import WidthLimits
from assistant.weld.strip import Defect, FailureMode, PeelTest, Pull
from assistant.weld.verdict import PASSING, Finding, Outcome, Verdict


class Cause(Enum):
    """What may have gone wrong at the weld."""

    FAST = "too cold or too fast"
    PINCHED = "nozzle pinched to the roller"
    POWER = "low voltage"
    DIRT = "dirt"
    DAMP = "damp"
    ROLLER = "roller on its edge"
    RAISED = "gun raised"
    LAP = "lap pulled or not flat"
    SLOW = "too hot or too slow"


class Again(Enum):
    """What to do otherwise with the next strip, where this one proves nothing."""

    GRIP = "hold it farther from the weld"
    PULL = "pull it steadily"
    CUT = "cut it across"
    WIDER = "cut it wider"
    READ = "read it again"


class Around(Enum):
    """What else is known of how it was welded."""

    COLD_SHEET = "cold-sheet"
    DAMP = "damp"
    """Dew, rain, or a sheet that is near the dew point."""
    LOW_POWER = "low-power"
    """A long or thin cord, other tools on the source, a weak generator, low voltage measured."""
    SOILED = "soiled"
    """Sheet that lay open for long, or was not cleaned."""
    WIND = "wind"


FIRST: dict[Cause | Again, str] = {
    Cause.FAST: "Check first whether you welded too fast, or too cold.",
    Cause.PINCHED: "Check first whether the nozzle was pinched to the roller.",
    Cause.POWER: "Check first whether the gun ran on low voltage.",
    Cause.DIRT: "Check first whether there was dirt in the lap.",
    Cause.DAMP: "Check first whether there was damp in the lap.",
    Cause.ROLLER: "Check first whether the roller ran on its edge.",
    Cause.RAISED: "Check first whether the gun was raised off its rests.",
    Cause.LAP: "Check first whether the lap was pulled, or did not lie flat.",
    Cause.SLOW: "Check first whether you welded too slowly, or too hot.",
    Again.GRIP: "Hold the next strip farther from the weld.",
    Again.PULL: "Pull the next strip slowly and steadily.",
    Again.CUT: "Cut the next strip straight across the weld.",
    Again.WIDER: "Cut the next strip as wide as the job asks.",
    Again.READ: "Look at the strip again, and say what was not heard.",
}
"""What is said of a check that comes first. Words only: it is spoken."""

REMEDIES = {
    Cause.FAST: "Go slower, or a little hotter.",
    Cause.PINCHED: "Keep the nozzle farther ahead of the roller, so that the sheet is heated "
    "before it is pressed.",
    Cause.POWER: "Measure the voltage while the gun runs. Use a shorter or thicker cord, and let "
    "nothing else draw on the source.",
    Cause.DIRT: "Clean both faces, and let the cleaner flash off.",
    Cause.DAMP: "Dry both faces.",
    Cause.ROLLER: "Run the roller flat, with square edges.",
    Cause.RAISED: "Keep the gun flat on its rests.",
    Cause.LAP: "Lay the lap flat, without pull.",
    Cause.SLOW: "Go faster, or a little cooler.",
}
"""What to do where a cause is found."""


class _Side(Enum):
    NARROW = "narrow"
    WIDE = "wide"


_HOT = Counter({Cause.SLOW: 6, Cause.FAST: -4, Cause.POWER: -4})

_SIGNS: dict[FailureMode | Defect | _Side, Counter[Cause]] = {
    FailureMode.CLEAN_PEEL: Counter(
        {
            Cause.FAST: 5,
            # A trade magazine finds that most who weld by hand hold the roller too close.
            Cause.PINCHED: 4,
            Cause.POWER: 3,
            Cause.DIRT: 3,
            Cause.DAMP: 2,
            Cause.RAISED: 1,
        }
    ),
    FailureMode.PARTLY: Counter(
        {
            Cause.ROLLER: 4,
            Cause.FAST: 3,
            Cause.DIRT: 3,
            Cause.RAISED: 2,
            Cause.DAMP: 2,
            Cause.PINCHED: 2,
            Cause.POWER: 1,
        }
    ),
    _Side.NARROW: Counter(
        {
            Cause.FAST: 4,
            Cause.PINCHED: 3,
            Cause.POWER: 3,
            Cause.ROLLER: 2,
            Cause.RAISED: 2,
            Cause.DIRT: 1,
            Cause.DAMP: 1,
        }
    ),
    _Side.WIDE: Counter({Cause.SLOW: 5, Cause.FAST: -4, Cause.POWER: -4}),
    Defect.VOID: Counter(
        {Cause.ROLLER: 4, Cause.RAISED: 3, Cause.DIRT: 3, Cause.DAMP: 2, Cause.FAST: 2}
    ),
    Defect.BLEED_OUT: _HOT,
    Defect.BURN: _HOT,
    Defect.DIRT: Counter({Cause.DIRT: 9}),
    Defect.FISHMOUTH: Counter({Cause.LAP: 8}),
    Defect.MISSED: Counter({Cause.RAISED: 3, Cause.FAST: 3, Cause.LAP: 2}),
    Defect.WRINKLE: Counter({Cause.RAISED: 6, Cause.LAP: 3}),
    Defect.STITCH_MARKS: Counter({Cause.ROLLER: 8}),
    Defect.BRIDGING: Counter({Cause.LAP: 6}),
    Defect.TELEGRAPHING: Counter({Cause.LAP: 1}),
    Defect.SCUFFED: Counter({Cause.DIRT: 2}),
}
"""How much each sign on the strip speaks for a cause, or against it."""

_AROUND = {
    Around.COLD_SHEET: Counter({Cause.FAST: 2, Cause.DAMP: 1}),
    Around.DAMP: Counter({Cause.DAMP: 5}),
    Around.LOW_POWER: Counter({Cause.POWER: 5}),
    Around.SOILED: Counter({Cause.DIRT: 4}),
    Around.WIND: Counter({Cause.FAST: 1, Cause.RAISED: 1, Cause.LAP: 1}),
}
"""The same for what is known besides. It only adds to what the strip itself speaks for."""


def to_check(
    test: PeelTest, verdict: Verdict, around: frozenset[Around] = frozenset()
) -> tuple[Cause | Again, ...]:
    """Return what to check, the likeliest first; nothing after a pass with nothing else seen.

    After an invalid strip or none that can be judged, it is what to do otherwise with the next.
    """
    again = _again(test, verdict)
    if verdict.finding in (Finding.INVALID, Finding.NO_VERDICT, Finding.ASK):
        return again
    points: Counter[Cause] = Counter()
    for sign in _signs(test, verdict):
        points.update(_SIGNS[sign])
    spoken_for = {cause for cause in Cause if points[cause] > 0}
    for known in around:
        points.update(_AROUND[known])
    order = list(Cause)
    causes = sorted(spoken_for, key=lambda cause: (-points[cause], order.index(cause)))
    return (*causes, *again)


def first_in_words(test: PeelTest, verdict: Verdict) -> str:
    """Return the first thing to check as one short sentence, or nothing after a pass."""
    if verdict.outcome in PASSING:
        return ""
    found = to_check(test, verdict)
    return FIRST[found[0]] if found else ""


def _signs(test: PeelTest, verdict: Verdict) -> list[FailureMode | Defect | _Side]:
    """Return what the strip shows, with the side of the limits on which its width lies."""
    found: list[FailureMode | Defect | _Side] = [defect for defect in Defect if defect in test.seen]
    if test.mode in (FailureMode.CLEAN_PEEL, FailureMode.PARTLY):
        found.append(test.mode)
    return found if verdict.outcome is Outcome.PASS else found + _sides(test, verdict.limits)


def _sides(test: PeelTest, limits: WidthLimits) -> list[FailureMode | Defect | _Side]:
    """Return the limit that the width of the whole bond is near to, or beyond."""
    if test.width_in is None:
        return []
    # A width in the inner half says nothing about heat or speed.
    room = (limits.most_in - limits.least_in) / 4
    if test.width_in < limits.least_in + room:
        return [_Side.NARROW]
    return [_Side.WIDE] if test.width_in > limits.most_in - room else []


def _again(test: PeelTest, verdict: Verdict) -> tuple[Again, ...]:
    least, strip = verdict.limits.strip_least_in, test.strip_in
    needed = (
        (test.mode is FailureMode.AT_GRIP, Again.GRIP),
        (test.pull is Pull.JERKED, Again.PULL),
        (test.across is False, Again.CUT),
        (least is not None and strip is not None and strip < least, Again.WIDER),
        (verdict.finding in (Finding.NO_VERDICT, Finding.ASK), Again.READ),
    )
    return tuple(what for is_needed, what in needed if is_needed)
