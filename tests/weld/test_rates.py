"""Pass rates: published intervals, and what scipy and statsmodels make of them."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy import stats

from assistant.weld.rates import (
    Interval,
    clopper_pearson,
    pass_rate,
    proven_by_row,
    routine,
    row_at_end,
    row_needed,
    wilson,
)

# Wilson, 95 %: the first four are the published Table I, method 3; the others are computed.
WILSON = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0, 0.1611),
    (1, 29, 0.0061, 0.1718),
    (23, 60, 0.2709, 0.5098),
    (10, 10, 0.7225, 1),
    (20, 20, 0.8389, 1),
    (29, 30, 0.8333, 0.9941),
    (30, 30, 0.8865, 1),
    (19, 20, 0.7639, 0.9911),
    (5, 5, 0.5655, 1),
    (3, 3, 0.4385, 1),
]


@pytest.mark.parametrize(("passed", "count", "low", "high"), WILSON)
def test_wilson(passed, count, low, high):
    """The score interval is as published."""
    found = wilson(passed, count)

    assert (found.low, found.high) == (pytest.approx(low, abs=6e-5), pytest.approx(high, abs=6e-5))


# Clopper and Pearson, 95 %, computed.
@pytest.mark.parametrize(
    ("passed", "count", "low", "high"),
    [
        (81, 263, 0.2527, 0.3676),
        (0, 20, 0, 0.1684),
        (1, 29, 0.0009, 0.1776),
        (20, 20, 0.8316, 1),
        (29, 30, 0.8278, 0.9992),
        (30, 30, 0.8843, 1),
    ],
)
def test_clopper_pearson(passed, count, low, high):
    """The exact interval is that of the beta distribution."""
    found = clopper_pearson(passed, count)

    assert (found.low, found.high) == (pytest.approx(low, abs=6e-5), pytest.approx(high, abs=6e-5))


def test_clopper_pearson_of_the_handbook():
    """4 of 20 at 90 %: 0.071354 to 0.401028 (NIST e-Handbook 7.2.4.1, quoted from memory)."""
    found = clopper_pearson(4, 20, 0.90)

    assert found.low == pytest.approx(0.071354, abs=1e-6)
    assert found.high == pytest.approx(0.401028, abs=1e-6)


# One-sided 95 %, p = 0.05 ** (1 / n), computed.
@pytest.mark.parametrize(
    ("passes", "share"),
    [
        (0, 0),
        (3, 0.368),
        (5, 0.549),
        (10, 0.741),
        (20, 0.861),
        (29, 0.902),
        (30, 0.905),
        (59, 0.9505),
        (100, 0.9705),
        (299, 0.990),
    ],
)
def test_a_row_of_passes_proves_little(passes, share):
    """Three strips in a row prove only that more than a third pass."""
    assert proven_by_row(passes) == pytest.approx(share, abs=6e-4)


# Rule of three against the exact bound (a published rule of thumb, good beyond 30).
@pytest.mark.parametrize(
    ("passes", "thumb", "exact"),
    [
        (10, 0.300, 0.259),
        (20, 0.150, 0.139),
        (30, 0.100, 0.0950),
        (59, 0.0508, 0.0495),
        (100, 0.0300, 0.0295),
    ],
)
def test_rule_of_three(passes, thumb, exact):
    """The share that may still fail is a little under three in the number of passes."""
    assert 3 / passes == pytest.approx(thumb, abs=5e-4)
    assert 1 - proven_by_row(passes) == pytest.approx(exact, abs=5e-4)


@pytest.mark.parametrize(
    ("confidence", "rows"),
    [
        (0.90, [11, 22, 45, 230]),
        (0.95, [14, 29, 59, 299]),
        (0.99, [21, 44, 90, 459]),
    ],
)
def test_row_that_is_needed(confidence, rows):
    """To claim 80, 90, 95 and 99 % takes a long row (computed: ln(1 - C) / ln p)."""
    assert [row_needed(share, confidence) for share in (0.80, 0.90, 0.95, 0.99)] == rows


@given(st.floats(0.01, 0.999), st.floats(0.01, 0.999))
@example(0.125, 1 - 0.125**7)  # the logarithms come out a little over seven
@example(0.088, 0.912)  # and here a little under
def test_the_row_needed_is_the_shortest(share, confidence):
    """The row proves the share, and one strip less does not."""
    needed = row_needed(share, confidence)

    assert share**needed <= 1 - confidence
    assert needed == 1 or share ** (needed - 1) > 1 - confidence


# ---- second opinions and laws

COUNTS = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(COUNTS, st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_intervals_are_those_of_scipy(counts, confidence):
    """Both intervals agree with scipy's test of a share."""
    test = stats.binomtest(*counts)
    for found, method in ((wilson, "wilson"), (clopper_pearson, "exact")):
        ours, theirs = found(*counts, confidence), test.proportion_ci(confidence, method)

        assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


@pytest.mark.parametrize(("passed", "count"), [row[:2] for row in WILSON])
def test_intervals_are_those_of_statsmodels(passed, count):
    """Both intervals agree with those of statsmodels."""
    proportion = pytest.importorskip("statsmodels.stats.proportion", reason="not installed")
    for found, method in ((wilson, "wilson"), (clopper_pearson, "beta")):
        ours = found(passed, count)
        theirs = proportion.proportion_confint(passed, count, 0.05, method)

        assert (ours.low, ours.high) == pytest.approx(theirs, abs=1e-9)


@given(COUNTS)
def test_the_exact_interval_holds_the_other(counts):
    """The exact interval never promises more at the end where it decides, and both hold p."""
    passed, count = counts
    near, exact = wilson(*counts), clopper_pearson(*counts)

    assert 0 <= near.low <= passed / count <= near.high <= 1
    assert 0 <= exact.low <= passed / count <= exact.high <= 1


@pytest.mark.parametrize(("passed", "count"), [(0, 0), (2, 1), (-1, 5)])
def test_counts_that_cannot_be(passed, count):
    """No rate is made of nothing, or of more passes than strips."""
    for interval in (wilson, clopper_pearson):
        with pytest.raises(ValueError, match="at least one strip"):
            interval(passed, count)


# ---- which strips count

A, B = ("welder A", "gun 3"), ("welder B", "gun 4")


# Tests taken because of a failure do not count (published practice for landfill liners, in
# public records of the states).
@pytest.mark.parametrize(
    ("strips", "counted"),
    [
        ([], ()),
        ([(A, True), (A, True)], (True, True)),
        ([(A, False), (A, True), (A, True)], (False, True)),
        ([(A, False), (A, False), (A, True), (A, True)], (False, True)),
        ([(A, False), (B, True), (A, True), (A, True)], (False, True, True)),
        ([(A, True), (A, False), (A, True)], (True, False)),
    ],
)
def test_strips_cut_because_of_a_fail_do_not_count(strips, counted):
    """What follows a fail of the same set-up until it passes says nothing about the rate."""
    assert routine(strips) == counted


@given(st.lists(st.tuples(st.sampled_from("ab"), st.booleans()), max_size=60))
def test_retests_never_better_a_rate(strips):
    """However often a failed strip is repeated, its fail stays and its repeats are left out."""
    counted = routine(strips)
    repeated = [
        part for one in strips for part in ([one] if one[1] else [one, one, one, (one[0], True)])
    ]
    fails_first = routine(repeated)

    assert sum(counted) <= sum(passed for _, passed in strips)
    assert fails_first.count(False) >= counted.count(False)


@pytest.mark.parametrize(
    ("results", "row"), [((), 0), ((True,), 1), ((False, True, True), 2), ((True, False), 0)]
)
def test_row_at_the_end(results, row):
    """The row is counted back from the last strip to the last fail."""
    assert row_at_end(results) == row


def test_few_strips_say_so():
    """A rate of a few strips is not named as one."""
    assert not pass_rate([True] * 4).enough
    assert pass_rate([True] * 5).enough
    assert pass_rate([True, False]).wilson == Interval(
        pytest.approx(0.0945, abs=1e-3), pytest.approx(0.9055, abs=1e-3)
    )
