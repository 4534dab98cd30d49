"""Is a test weld due now, why, and since when. Imports ``work`` only; pure.

A set-up is proven by a passing strip, and its proof ends by what a rule file says (a break, a lost
power, a changed dial, weather, hours, feet ...). Two things no rule can leave out: a day begins
unproven, and a failed test ends what was proven before it. When a new test is due follows common
practice (start, after lunch, on restart, on any change or doubt:
https://associationdatabase.co/MRCA/MRMagazineDecember2022/inc/html/12.html); how much weather is a
change is a job's own judgement, for no number is published.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from enum import Enum
from fractions import Fraction

from assistant.weld.work import PARTS, SetUp


class Kind(Enum):
    """What happened."""

    USED = "used"
    """Work went on with this set-up."""
    PASSED = "passed"
    """A strip of this set-up passed, welded on scrap. A cut from a seam proves older welding."""
    FAILED = "failed"
    """A strip or a cut of this set-up failed."""
    WELDED = "welded"
    BREAK = "break"
    COOL_DOWN = "cool-down"
    POWER_LOST = "power-lost"
    RAIN = "rain"
    VOID = "void"
    """A probe went in, or a fault was marked."""
    DOUBT = "doubt"
    CHANGING = "changing"
    """Something of the set-up is being changed, and nobody said yet into what."""
    WEATHER = "weather"


@dataclass(frozen=True, slots=True)
class Weather:
    """What was measured; None is what was not."""

    air_f: Fraction | None = None
    surface_f: Fraction | None = None
    wind_mph: Fraction | None = None
    sun: bool | None = None
    """True in sun, False in shade."""


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that may end or renew a proof."""

    id: str
    at: datetime
    """Aware, in local time: a day begins at its midnight."""
    kind: Kind
    set_up: SetUp | None = None
    """Whom it concerns; None concerns everybody."""
    feet: Fraction | None = None
    """Length that was welded; None was not told, and is not counted."""
    weather: Weather | None = None


@dataclass(frozen=True, slots=True)
class DueRules:
    """What ends a proof, besides a new day and a failed test."""

    ends: frozenset[Kind] = frozenset()
    changes: frozenset[str] = frozenset()
    """Names of those parts of a set-up that may not change."""
    hours: Fraction | None = None
    feet: Fraction | None = None
    air_f: Fraction | None = None
    surface_f: Fraction | None = None
    wind_mph: Fraction | None = None
    sun: bool = False
    """Sun turned to shade, or shade to sun, ends it."""


class Why(Enum):
    """Why a test is due."""

    NO_TEST = "no-test"
    NEW_DAY = "new-day"
    FAILED = "failed"
    BREAK = "break"
    COOL_DOWN = "cool-down"
    POWER_LOST = "power-lost"
    RAIN = "rain"
    VOID = "void"
    DOUBT = "doubt"
    CHANGED = "changed"
    WEATHER = "weather"
    HOURS = "hours"
    FEET = "feet"


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that made a test due, and when."""

    why: Why
    since: datetime
    what: str = ""
    """Of a change or of weather, which part: ``gun``, ``dial``, ``wind`` ..."""


@dataclass(frozen=True, slots=True)
class Due:
    """Whether a test is due."""

    reasons: tuple[Reason, ...]
    """The oldest first; empty when none is due."""
    passed_at: datetime | None
    """When this hand last passed a strip, if ever."""

    @property
    def due(self) -> bool:
        """Tell whether a test is due."""
        return bool(self.reasons)

    @property
    def since(self) -> datetime | None:
        """Return since when, or None."""
        return self.reasons[0].since if self.reasons else None


@dataclass(slots=True)
class _Proof:
    """What is known of one hand's proof while the happenings go by."""

    set_up: SetUp
    rules: DueRules
    first: datetime | None = None
    first_on: dict[object, datetime] = field(default_factory=dict)
    passed_at: datetime | None = None
    feet: Fraction = Fraction(0)
    at_pass: Weather = Weather()
    """The weather that the pass speaks for: the last read before it, else the first after it."""
    latest: Weather = Weather()
    reasons: list[Reason] = field(default_factory=list)


_ORDER = {kind: place for place, kind in enumerate(Kind)}
# Things of one instant: what proves comes first, so that a tie never proves.
_ORDER[Kind.PASSED] = -1


def due(now: datetime, happenings: Iterable[Happening], rules: DueRules, set_up: SetUp) -> Due:
    """Tell whether a test is due at ``now`` for this set-up.

    Happenings may come in any order; those after ``now`` are left out. Parts of the set-up that
    were not stated before or now are not compared.
    """
    proof = _Proof(SetUp(welder=set_up.welder, gun=set_up.gun), rules)
    found = sorted((h for h in happenings if h.at <= now), key=_order)
    for happening in found:
        _take(proof, happening)
    _compare(proof, set_up, now)
    return Due(tuple(sorted(_reasons(proof, now), key=lambda each: each.since)), proof.passed_at)


def _order(happening: Happening) -> tuple[datetime, int, str]:
    return happening.at, _ORDER[happening.kind], happening.id


def _take(proof: _Proof, happening: Happening) -> None:
    other = happening.set_up
    if other is not None and other.hand != proof.set_up.hand:
        _other_hand(proof, other, happening.at)
        return
    if other is not None:
        proof.first = proof.first or happening.at
        proof.first_on.setdefault(happening.at.date(), happening.at)
        _compare(proof, other, happening.at)
    kind = happening.kind
    if kind is Kind.PASSED:
        proof.passed_at, proof.feet = happening.at, Fraction(0)
        proof.at_pass = proof.latest
        proof.reasons.clear()
    elif kind is Kind.FAILED:
        proof.reasons.append(Reason(Why.FAILED, happening.at))
    elif kind is Kind.WELDED:
        _count_feet(proof, happening)
    elif kind is Kind.WEATHER and happening.weather is not None:
        _weather(proof, happening.weather, happening.at)
    elif kind is Kind.CHANGING and kind in proof.rules.ends:
        proof.reasons.append(Reason(Why.CHANGED, happening.at))
    elif kind in proof.rules.ends:
        proof.reasons.append(Reason(Why(kind.value), happening.at))


def _other_hand(proof: _Proof, other: SetUp, at: datetime) -> None:
    """Another gun in this welder's hand, or this gun in another's, ends what they had proven."""
    mine = proof.set_up
    if proof.passed_at is None:
        return
    for part in ("welder", "gun"):
        rest = "gun" if part == "welder" else "welder"
        same = getattr(mine, rest) is not None and getattr(mine, rest) == getattr(other, rest)
        known = getattr(other, part) is not None
        if same and known and part in proof.rules.changes:
            proof.reasons.append(Reason(Why.CHANGED, at, part))


def _compare(proof: _Proof, other: SetUp, at: datetime) -> None:
    before = proof.set_up
    for part in PARTS:
        old, new = getattr(before, part), getattr(other, part)
        if new is None:
            continue
        if old is not None and old != new and part in proof.rules.changes:
            proof.reasons.append(Reason(Why.CHANGED, at, part))
        proof.set_up = replace(proof.set_up, **{part: new})


def _count_feet(proof: _Proof, happening: Happening) -> None:
    most = proof.rules.feet
    under = most is None or proof.feet < most
    proof.feet += happening.feet or 0
    if most is not None and under and proof.feet >= most:
        proof.reasons.append(Reason(Why.FEET, happening.at))


def _weather(proof: _Proof, now: Weather, at: datetime) -> None:
    """Compare a reading with the weather of the pass, as far as both are known."""
    proof.at_pass, proof.latest = _filled(proof.at_pass, now), _filled(now, proof.latest)
    for what, name in _MEASURED.items():
        most = getattr(proof.rules, name)
        old, new = getattr(proof.at_pass, name), getattr(now, name)
        if most is not None and new is not None and abs(new - old) >= most:
            proof.reasons.append(Reason(Why.WEATHER, at, what))
    if proof.rules.sun and now.sun is not None and now.sun != proof.at_pass.sun:
        proof.reasons.append(Reason(Why.WEATHER, at, "sun"))


_MEASURED = {"air": "air_f", "surface": "surface_f", "wind": "wind_mph"}


def _filled(first: Weather, second: Weather) -> Weather:
    """Return ``first``, with what it lacks taken from ``second``."""
    lacking = [name for name in (*_MEASURED.values(), "sun") if getattr(first, name) is None]
    return replace(first, **{name: getattr(second, name) for name in lacking})


def _reasons(proof: _Proof, now: datetime) -> list[Reason]:
    """Return every reason, each way of changing once, with those that time alone brings."""
    first: dict[tuple[Why, str], Reason] = {}
    for reason in proof.reasons:
        first.setdefault((reason.why, reason.what), reason)
    found = list(first.values())
    if proof.passed_at is None:
        return [Reason(Why.NO_TEST, proof.first or now), *found]
    if proof.passed_at.date() != now.date():
        found.append(Reason(Why.NEW_DAY, proof.first_on.get(now.date(), now)))
    if proof.rules.hours is not None:
        over = proof.passed_at + timedelta(hours=float(proof.rules.hours))
        if over <= now:
            found.append(Reason(Why.HOURS, over))
    return found
