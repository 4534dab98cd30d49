"""What is told of the tests of a shift. Pure.

Imports ``steps``, ``today``, ``weld`` and ``words``.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from assistant.dialogue import lines
from assistant.dialogue.steps import HEADLINES
from assistant.dialogue.today import Tested, Today
from assistant.weld.verdict import FAILING, PASSING
from assistant.words.numbers import in_words
from assistant.words.readback import spoken

_HEADLINES = {outcome.value: text for outcome, text in HEADLINES.items()}
_PASSED = {outcome.value for outcome in PASSING}
_FAILED = {outcome.value for outcome in FAILING}


def how_many(today: Today, now: datetime | None) -> str:
    """Return how many tests of the day there are, and how they came out."""
    tests = [test for test in today.tests() if _of_the_day(test, now)]
    if not tests:
        return lines.NO_TEST_YET
    outcomes = [test.outcome for test in tests]
    passed = sum(outcome in _PASSED for outcome in outcomes)
    failed = sum(outcome in _FAILED for outcome in outcomes)
    rest = len(outcomes) - passed - failed
    named = ((passed, "passed"), (failed, "failed"), (rest, "without a verdict"))
    counted = [f"{in_words(count)} {what}" for count, what in named if count]
    number = "test" if len(tests) == 1 else "tests"
    return f"{spoken(f'{in_words(len(tests))} {number} today')} {spoken(', '.join(counted))}"


def _of_the_day(test: Tested, now: datetime | None) -> bool:
    at = test.first.at
    return at is None or now is None or at.date() == now.date()


def last_test(today: Today, now: datetime | None) -> str:
    """Return the last test in words: which, when, the width as it was said, the verdict."""
    tests = today.tests()
    if not tests:
        return lines.NO_TEST_YET
    test = tests[-1]
    return f"{which_and_when(test, now)} {_what(test)} {_verdict(test)}"


def which_and_when(test: Tested, now: datetime | None) -> str:
    """Return whose test it is, and how long ago."""
    which = f"test of seam {in_words(int(test.seam))}" if test.seam else "test of a seam not named"
    return spoken(", ".join(filter(None, (which, _ago(test.first.at, now)))))


def _what(test: Tested) -> str:
    said, mode = test.judged.fields.get("said"), test.judged.fields.get("mode")
    width = spoken(str(said)) if said else lines.NO_WIDTH_HEARD
    return f"{width} {spoken(str(mode).replace('-', ' '))}" if mode else width


def _verdict(test: Tested) -> str:
    headline = _HEADLINES[test.outcome]
    return f"{headline} {lines.WAS_CORRECTED}" if test.judged is not test.first else headline


def _ago(at: datetime | None, now: datetime | None) -> str:
    """Return how long ago a time was, in words."""
    if at is None or now is None or now < at:
        return ""
    minutes = (now - at) // timedelta(minutes=1)
    hours, minutes = divmod(minutes, 60)
    parts = [_some(hours, "hour"), _some(minutes, "minute")]
    told = " and ".join(part for part in parts if part)
    return f"{told} ago" if told else "just now"


def _some(count: int, unit: str) -> str:
    return f"{in_words(count)} {unit}{'' if count == 1 else 's'}" if count else ""
