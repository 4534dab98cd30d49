"""Questions made of what Lapcall knows: its advice, its judge, the dangers of a checklist.

Imports ``procedure``, ``weld``, ``words`` and ``model``. So that a fact stands in one place only,
what is right comes from the same functions and texts as in the work.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from assistant.dialogue import lines
from assistant.drill.model import Question
from assistant.drill.order import shuffled
from assistant.procedure.model import (
    DANGERS,
    AskChoice,
    AskValue,
    AskYesNo,
    Choice,
    Judge,
    Procedure,
    Tell,
    Warn,
)
from assistant.weld.advice import REMEDIES, Cause, to_check
from assistant.weld.limits import WidthLimits
from assistant.weld.strip import Defect, FailureMode, HeatMarks, PeelTest
from assistant.weld.verdict import Outcome, judge
from assistant.words.readback import inches_in_words, spoken

OTHER_CAUSES = 2
"""How many causes that a sign does not speak for are offered beside the right one."""

SIGNS: Mapping[str, FailureMode | Defect | None] = {
    **{mode.value: mode for mode in (FailureMode.CLEAN_PEEL, FailureMode.PARTLY)},
    **{defect.value: defect for defect in Defect},
    "narrow": None,
    "wide": None,
}
"""What a strip or a seam may show, by the name it has in the file of questions."""

VERDICTS = ("passes", "fails", "too-wide")
_BY_OUTCOME = {
    Outcome.PASS: "passes",
    Outcome.AT_LIMIT: "passes",
    Outcome.FAIL: "fails",
    Outcome.OUT: "too-wide",
}


@dataclass(frozen=True, slots=True)
class Answers:
    """How answers are called that several questions share."""

    causes: Mapping[Cause, Choice]
    verdicts: Mapping[str, Choice]
    """One for each of ``VERDICTS``."""
    dangers: Mapping[str, Choice]
    """One for each of ``procedure.model.DANGERS``."""


@dataclass(frozen=True, slots=True)
class Sign:
    """A question about what to check first."""

    id: str
    topic: str
    ask: str
    sign: str
    """A key of ``SIGNS``."""


@dataclass(frozen=True, slots=True)
class StripAsked:
    """A question about the verdict on a strip."""

    id: str
    topic: str
    mode: FailureMode
    width_in: Fraction
    heat: HeatMarks
    solid_in: Fraction | None


def of_sign(sign: Sign, answers: Answers, limits: WidthLimits) -> Question:
    """Return the question what to check first: right is what ``weld.advice`` puts first.

    Beside it stand only causes that do not belong to the sign at all.
    """
    test = _showing(sign.sign, limits)
    causes = [one for one in to_check(test, judge(test, limits)) if isinstance(one, Cause)]
    if not causes:
        raise ValueError(f"{sign.sign} speaks for no cause")
    called = answers.causes
    others = {called[cause].id: cause for cause in Cause if cause not in causes}
    offered = [others[name] for name in shuffled(tuple(others), seed=0)][:OTHER_CAUSES]
    choices = tuple(called[cause] for cause in (causes[0], *offered))
    right = called[causes[0]].id
    return Question(sign.id, sign.topic, sign.ask, choices, right, REMEDIES[causes[0]])


def _showing(sign: str, limits: WidthLimits) -> PeelTest:
    """Return a strip that shows this sign and is otherwise as good as can be."""
    meant = SIGNS[sign]
    width = {
        "narrow": limits.least_in - limits.rule_step_in,
        "wide": limits.most_in + limits.rule_step_in,
    }.get(sign, (limits.least_in + limits.most_in) / 2)
    return PeelTest(
        width_in=width,
        lean=None,
        mode=meant if isinstance(meant, FailureMode) else FailureMode.FILM_TEARING,
        solid_in=limits.least_in if meant is Defect.VOID else None,
        heat=HeatMarks.NONE,
        defects=frozenset({meant} if isinstance(meant, Defect) else ()),
    )


def of_strip(strip: StripAsked, answers: Answers, limits: WidthLimits) -> Question:
    """Return the question for the verdict on a strip: right is what ``weld.verdict`` says."""
    test = PeelTest(strip.width_in, None, strip.mode, strip.solid_in, strip.heat)
    verdict = judge(test, limits)
    right = _BY_OUTCOME.get(verdict.outcome)
    if right is None:
        raise ValueError(f"the verdict on it would be {verdict.outcome.value}")
    least, most = inches_in_words(limits.least_in), inches_in_words(limits.most_in)
    allowed = lines.DRILL_ALLOWED.format(least=least, most=most)
    ask = f"{_seen(strip)} {allowed} {lines.DRILL_WHICH_VERDICT}"
    because = " ".join(verdict.reasons) or lines.DRILL_INSIDE
    choices = tuple(answers.verdicts[name] for name in VERDICTS)
    return Question(strip.id, strip.topic, ask, choices, right, because)


_MODES = {
    FailureMode.FILM_TEARING: lines.DRILL_TORE,
    FailureMode.CLEAN_PEEL: lines.DRILL_CLEAN,
    FailureMode.PARTLY: lines.DRILL_PARTLY,
}
_HEAT = {
    HeatMarks.NONE: lines.DRILL_NO_MARKS,
    HeatMarks.BLEED_OUT: lines.DRILL_BLED,
    HeatMarks.BURN: lines.DRILL_BURNED,
}


def _seen(strip: StripAsked) -> str:
    """Return what is seen of a strip, one thing a sentence."""
    width = spoken(inches_in_words(strip.width_in))
    solid = strip.solid_in and lines.DRILL_SOLID.format(solid=inches_in_words(strip.solid_in))
    parts = (lines.DRILL_STRIP, _MODES[strip.mode], width, solid, _HEAT[strip.heat])
    return " ".join(part for part in parts if part)


def of_dangers(procedures: Iterable[Procedure], answers: Answers) -> tuple[Question, ...]:
    """Return, for each act that a checklist marks with one danger, what may hurt somebody there.

    Where an act has several dangers there would be more than one right answer, so it is not asked
    about. The reason is the checklist's own caution.
    """
    found: dict[str, Question] = {}
    for procedure in procedures:
        cautions = _cautions(procedure)
        for step in procedure.steps:
            asks = isinstance(step, (Tell, AskYesNo, AskChoice, AskValue))
            if not asks or len(step.danger) != 1 or step.danger[0] not in cautions:
                continue
            name = f"danger-{procedure.id}-{step.id}"
            ask = f"{spoken(procedure.title)} {step.say} {lines.DRILL_WHICH_DANGER}"
            because = cautions[step.danger[0]]
            choices = tuple(answers.dangers[danger] for danger in DANGERS)
            # A step that several checklists share is asked about once.
            found.setdefault(
                step.say, Question(name, procedure.title, ask, choices, step.danger[0], because)
            )
    return tuple(found.values())


def _cautions(procedure: Procedure) -> dict[str, str]:
    """Return the words that caution against each danger, of the caution that has fewest others."""
    warns = [step for step in procedure.steps if isinstance(step, Warn)]
    warns.sort(key=lambda step: -len(step.danger))
    return {danger: step.say for step in warns for danger in step.danger}


def limits_of(procedures: Iterable[Procedure]) -> WidthLimits:
    """Return the limits by which the first of these procedures judges a strip, else the usual."""
    judges = (step for each in procedures for step in each.steps if isinstance(step, Judge))
    first = next(judges, None)
    return first.limits if first else WidthLimits()
