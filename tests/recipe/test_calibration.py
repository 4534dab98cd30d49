"""How far to believe: the parts that need no model."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.append(str(Path(__file__).parents[2] / "models" / "recipe"))

import calibration as cal  # the recipe is a folder of scripts, no package


def taken(share: float, *, right: bool, needs: str = "value", said: bool = True) -> cal.Taken:
    """Return an utterance that was taken for something with this share."""
    return cal.Taken("widths", "5", said, needs, right, share)


@pytest.mark.parametrize(
    ("one", "least", "outcome"),
    [
        (taken(0.9, right=True), 0.8, "right"),
        (taken(0.9, right=False), 0.8, "wrong"),
        (taken(0.7, right=False), 0.8, "asked"),
        (taken(0.1, right=False, needs="none"), 0.8, "wrong"),
        (taken(0.9, right=False, needs="never"), 0.0, "asked"),
        (taken(0.9, right=True, needs="never"), 0.0, "right"),
        (taken(0.0, right=False, needs="shut"), 0.0, "asked"),
    ],
)
def test_outcome_follows_what_the_conversation_would_do(one, least, outcome):
    """Only what reaches its threshold counts; what makes Lapcall ask is never wrong."""
    assert one.outcome(least) == outcome


def test_lowest_threshold_leaves_no_more_wrong_than_allowed():
    """Of a hundred, one may be wrong: the threshold lies just above the second surest mistake."""
    wrong = [taken(share, right=False) for share in (0.95, 0.9, 0.4)]
    mine = [taken(0.99, right=True)] * 97 + wrong
    least = cal.least_share(mine, 0.01)

    assert 0.9 < least < 0.9001
    assert cal.percent(mine, least) == (97.0, 1.0)
    assert cal.least_share(mine, 0.03) == 0.0


def test_fit_finds_the_odds_that_made_the_data():
    """Drawn with known offset and slope, a large sample gives them back."""
    rng = np.random.default_rng(8)
    shares = rng.uniform(0.02, 0.98, 40_000)
    right = rng.random(len(shares)) < cal.probabilities(list(shares), -0.5, 1.7)
    offset, slope = cal.fitted(list(shares), list(right))

    assert offset == pytest.approx(-0.5, abs=0.05)
    assert slope == pytest.approx(1.7, abs=0.05)


def test_fit_without_a_mistake_stays_finite():
    """All right: the damping keeps the numbers usable."""
    offset, slope = cal.fitted([0.9, 0.99, 0.8], [True, True, True])

    assert np.isfinite([offset, slope]).all()


def test_reliability_counts_each_once():
    """Every utterance is in one bin, and a bin tells how many of it were right."""
    rows = cal.reliability(
        np.array([0.0, 0.65, 0.68, 0.999, 1.0]), [False, True, False, True, True]
    )

    assert [(low, high, count, true) for low, high, count, _, true in rows] == [
        (0.0, 0.2, 1, 0.0),
        (0.6, 0.7, 2, 0.5),
        (0.999, 1.0, 2, 1.0),
    ]


def test_better_promises_lose_less():
    """Being sure and right costs less than being unsure; being sure and wrong costs most."""
    sure, unsure, mistaken = (cal.loss(np.array([p]), [True]) for p in (0.99, 0.6, 0.01))

    assert sure < unsure < mistaken


def test_upper_bound_of_a_rate():
    """None of 1000 may still be 0.4 % (Wilson's interval by hand: 3.84 / 1003.84)."""
    assert cal.at_most(0, 1000) == pytest.approx(3.8416 / 1003.8416)
    assert cal.at_most(0, 0) == 1.0
