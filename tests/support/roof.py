"""Work on a roof, made up briefly for tests: who welded what when, and how it was tested."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from fractions import Fraction

from assistant.weld.seams import Cover, resolve
from assistant.weld.states import State, Stretch
from assistant.weld.work import Defect, Probe, Repair, SetUp, StripTest, Weld, Work

ZONE = timezone(timedelta(hours=-5))
A = SetUp("A", "gun 3")
B = SetUp("B", "gun 4")


def at(clock: str, day: int = 4) -> datetime:
    """Return a time of a day in May, such as ``"7:10"``."""
    hour, minute = clock.split(":")
    return datetime(2026, 5, day, int(hour), int(minute), tzinfo=ZONE)


def weld(seam: str, clock: str, feet: object = None, by: SetUp = A, start: object = 0) -> Weld:
    """Return a run along a seam, of unknown length unless ``feet`` says where it ends."""
    end = None if feet is None else Fraction(str(feet))
    return Weld(f"weld {seam} {clock}", at(clock), seam, by, Fraction(str(start)), end)


def scrap(clock: str, passed: bool | None, by: SetUp = A) -> StripTest:
    """Return a test on scrap."""
    return StripTest(f"scrap {clock}", at(clock), passed, by)


def cut(seam: str, feet: object, clock: str, passed: bool | None) -> StripTest:
    """Return a test that was cut from a seam."""
    place = None if feet is None else Fraction(str(feet))
    return StripTest(f"cut {seam} {feet}", at(clock), passed, seam=seam, at_ft=place)


def patch(seam: str, start: object, end: object, clock: str, by: SetUp = A) -> Repair:
    """Return a repair."""
    span = (Fraction(str(start)), Fraction(str(end)))
    return Repair(f"patch {seam} {clock}", at(clock), seam, *span, by)


def probe(seam: str, start: object, end: object, clock: str, clean: bool = True) -> Probe:
    """Return a probe along a length."""
    span = (Fraction(str(start)), Fraction(str(end)))
    return Probe(f"probe {seam} {clock}", at(clock), seam, clean, *span)


def fault(seam: str, feet: object, clock: str) -> Defect:
    """Return a marked void."""
    place = None if feet is None else Fraction(str(feet))
    return Defect(f"void {seam} {feet}", at(clock), seam, "void", place)


def work(*things: object) -> Work:
    """Return things of all kinds as one."""

    def of(kind: type) -> tuple:
        return tuple(thing for thing in things if isinstance(thing, kind))

    return Work(of(Weld), of(StripTest), of(Probe), of(Defect), of(Repair))


def states(*things: object) -> list[tuple[str, str, str, str]]:
    """Return every stretch as seam, from, to and state."""
    return [told(stretch) for stretch in resolve(work(*things)).stretches]


def told(stretch: Stretch) -> tuple[str, str, str, str]:
    """Return one stretch as text."""
    end = "end" if stretch.to_ft is None else str(stretch.to_ft)
    return stretch.seam, str(stretch.from_ft), end, stretch.state.value


def state_at(cover: Cover, seam: str, feet: Fraction) -> State | None:
    """Return what a place is, or None where nothing was welded."""
    found = [
        stretch.state
        for stretch in cover.stretches
        if stretch.seam == seam
        and stretch.from_ft <= feet
        and (stretch.to_ft is None or feet < stretch.to_ft)
    ]
    if len(found) > 1:
        raise AssertionError(f"{seam} at {feet} ft is {found}")
    return found[0] if found else None
