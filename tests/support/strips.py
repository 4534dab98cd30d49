"""Peel-test strips for tests of the trade: a good one, and any that can be answered."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from assistant.weld.limits import WidthLimits
from assistant.weld.strip import Defect, FailureMode, HeatMarks, Lean, PeelTest, Pull

F = Fraction
LIMITS = WidthLimits()
"""One inch to one and a half: common practice, no source."""
GOOD = PeelTest(F(5, 4), None, FailureMode.FILM_TEARING, None, HeatMarks.NONE)


def strip(**changed: object) -> PeelTest:
    """Return a strip that passes but for what is given."""
    return replace(GOOD, **changed)  # type: ignore[arg-type]


WIDTHS = st.one_of(st.none(), st.integers(0, 48).map(lambda n: F(n, 16)), st.fractions(0, 3))
TESTS = st.builds(
    PeelTest,
    width_in=WIDTHS,
    lean=st.sampled_from([None, *Lean]),
    mode=st.sampled_from([None, *FailureMode]),
    solid_in=WIDTHS,
    heat=st.sampled_from([None, *HeatMarks]),
    pull=st.sampled_from([None, *Pull]),
    defects=st.frozensets(st.sampled_from(list(Defect)), max_size=2),
    across=st.sampled_from([None, True, False]),
)
