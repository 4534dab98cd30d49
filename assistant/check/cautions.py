"""Whether whoever can be hurt is told so first. Pure.

The dangers are those of the trade's own cautions: burns and melt, blades, the roof's edge, current.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.check.findings import Finding
from assistant.check.place import Sheet
from assistant.check.timing import act_key
from assistant.procedure import flow
from assistant.procedure.model import DANGERS, Procedure, Step, Tell, Wait, Warn

_CLAUSE = r"(?:^|[.,;:!?] |\b(?:and|now|then|again) )"
_DO = {
    "hot": r"(?:finish |tack )?(?:pre-|re-)?weld(?! is)",
    "sharp": r"cut|trim|slice|scrape",
    "electric": r"plug|unplug|power up",
}
"""What is told to do, at the beginning of a clause: "the weld" is no welding."""
_NAMES = {
    "hot": r"nozzle|hot|melt(?:ed|s)?|torch",
    "sharp": r"blade|blades|knife|knives",
    "edge": r"roof(?:'s)? edge|edge of the roof|ladder|hatch",
    "electric": r"cord|cords|generator|breaker|outlet|extension",
}
_NOTHING = r"(?!)"
_SIGNS = {
    danger: re.compile(
        rf"{_CLAUSE}(?:{_DO.get(danger, _NOTHING)})\b|\b(?:{_NAMES.get(danger, _NOTHING)})\b"
    )
    for danger in DANGERS
}
_AGAINST = {
    "hot": "burns and hot melt",
    "sharp": "blades",
    "edge": "the edge of the roof",
    "electric": "current and cords",
}


def check_cautions(sheet: Sheet) -> Iterator[Finding]:
    """Yield dangers without a caution on every way to them, and work that names none."""
    warned = warned_before(sheet.procedure)
    for place, step in enumerate(sheet.procedure.steps):
        if isinstance(step, Warn):
            continue
        for danger in step.danger:
            if danger not in warned[place] and not _warned_alike(sheet.procedure, place, danger):
                wrong = f"step '{step.id}' is marked {danger}, and a way leads to it uncautioned"
                mend = f"Put a warn with danger: {danger} before it, about {_AGAINST[danger]}"
                yield sheet.found("caution-missing", step, wrong, mend, "danger")
        if isinstance(step, (Tell, Wait)) and _is_work(step):
            yield from _unmarked(sheet, step)


def _is_work(step: Tell | Wait) -> bool:
    return step.until_done if isinstance(step, Tell) else step.hands_busy


def _unmarked(sheet: Sheet, step: Step) -> Iterator[Finding]:
    for danger in DANGERS:
        found = _SIGNS[danger].search(step.say.lower())
        if found and danger not in step.danger:
            sign = found.group().strip(" .,;:!?")
            wrong = f"'{sign}' sounds like {_AGAINST[danger]}, and the step is not marked {danger}"
            mend = f"Add danger: {danger} to the step, or say it without that word"
            yield sheet.found("danger-not-marked", step, wrong, mend, act_key(step))


def warned_before(procedure: Procedure) -> tuple[frozenset[str], ...]:
    """Return for each step which dangers were cautioned against on every way to it.

    A caution that may be left out (``only-if``) counts for nothing here.
    """
    count = len(procedure.steps)
    before: list[frozenset[str] | None] = [None] * (count + 1)
    before[0] = frozenset()
    changed = True
    while changed:
        changed = False
        for place in range(count):
            known = before[place]
            if known is None:
                continue
            behind = known | _cautioned(procedure.steps[place])
            for there in _next_places(procedure, place):
                seen = before[there]
                both = behind if seen is None else seen & behind
                if both != seen:
                    before[there], changed = both, True
    return tuple(known if known is not None else frozenset(DANGERS) for known in before[:count])


def _cautioned(step: Step) -> frozenset[str]:
    if isinstance(step, Warn) and step.only_if is None:
        return frozenset(step.danger)
    return frozenset()


def _next_places(procedure: Procedure, place: int) -> Iterator[int]:
    yield place + 1
    instead = flow.otherwise(procedure.steps[place])
    if instead is None:
        return
    for name in (instead.then, instead.cap.then if instead.cap else flow.GO_ON):
        if name not in (flow.AGAIN, flow.GO_ON, flow.END, flow.STOP):
            yield procedure.index(name)


def _warned_alike(procedure: Procedure, place: int, danger: str) -> bool:
    """Tell whether a caution under the same condition stands directly before, in one row."""
    condition = procedure.steps[place].only_if
    for step in reversed(procedure.steps[:place]):
        if condition is None or step.only_if is None or step.only_if[0] != condition[0]:
            return False
        alike = set(condition[1:]) <= set(step.only_if[1:])
        if alike and isinstance(step, Warn) and danger in step.danger:
            return True
    return False
