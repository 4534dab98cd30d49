"""The quick look at two phrases never hides that they sound alike."""

from __future__ import annotations

from itertools import combinations

from support.nearness import read_ways

from assistant.check.hearing import ANYTIME, Ear
from assistant.words.commands import command_phrases
from assistant.words.phones import phrases_alike

WAYS = read_ways()


def test_the_quick_look_hides_nothing():
    """For every pair of commands and of short words, the quick and the full look agree."""
    words = [word for word in sorted(WAYS) if len(word) < 5][::9]
    phrases = [*sorted({*command_phrases(), *ANYTIME}), *words]
    ear = Ear(WAYS)
    pairs = list(combinations(phrases, 2))[::7]
    differ = [pair for pair in pairs if ear.alike(*pair) != phrases_alike(*pair, WAYS)]

    assert any(ear.alike(*pair) for pair in pairs)
    assert differ == []


def test_known_pairs():
    """Words next to each other are alike, and answers that crews use are not."""
    ear = Ear(WAYS)

    assert ear.alike("cold", "hold")
    assert ear.alike("film tearing", "film turning")
    assert not ear.alike("film tearing", "clean peel")
    assert not ear.alike("none", "burn")
    assert not ear.alike("xyloid", "hold")
