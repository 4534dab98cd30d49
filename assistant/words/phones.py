"""How far apart two pronunciations are. Pure; imports nothing of ours.

Used by the table of value words that sound alike and by the checker of checklists, so that both
mean the same by "alike".
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

Ways = Mapping[str, Sequence[Sequence[str]]]
"""Word -> its pronunciations, each in phones."""
ALIKE_UP_TO = 0.4
"""Words or phrases at most so far apart sound alike. Chosen with the number words: four and forty,
eight and eighty, seven and eleven lie within, and no two digits do (tests/words/test_alike.py). In
the bench of the ear (tests/bench/results/ear.json: voices that training did not use, clean to 0 dB)
no answer of a shipped checklist was taken for another one; those lie farther apart than this."""
_VOWEL_SIGNS = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW"
_VOWELS = frozenset(_VOWEL_SIGNS.split())
_KINDS = tuple(
    frozenset(kind.split())
    for kind in ("P B", "T D", "K G", "F V TH DH", "S Z", "SH ZH CH JH", "M N NG", "L R W Y")
)
"""Consonants made in one manner at nearly one place: half a difference, as two vowels are."""


def edits(one: Sequence[str], other: Sequence[str]) -> float:
    """Return how many phones are changed, added or left out; a like phone counts half."""
    row = [float(at) for at in range(len(other) + 1)]
    for at, phone in enumerate(one, 1):
        before, row = row, [float(at)]
        for place, against in enumerate(other, 1):
            change = before[place - 1] + _change(phone, against)
            row.append(min(change, before[place] + 1, row[-1] + 1))
    return row[-1]


def apart(one: Sequence[str], other: Sequence[str]) -> float:
    """Return how far two pronunciations are apart: edits over the longer one's phones, 0 to 1."""
    return edits(one, other) / max(len(one), len(other))


def _change(one: str, other: str) -> float:
    if one == other:
        return 0.0
    if one in _VOWELS and other in _VOWELS:
        return 0.5
    return 0.5 if any(one in kind and other in kind for kind in _KINDS) else 1.0


def kind_of(phone: str) -> str:
    """Return a name that is the same for like phones."""
    if phone in _VOWELS:
        return "vowel"
    return next((min(kind) for kind in _KINDS if phone in kind), phone)


def ways_of(phrase: str, ways: Ways) -> Iterator[tuple[str, ...]]:
    """Yield every way to say a phrase, in phones; none where a word of it is unknown."""
    first, *rest = phrase.split()
    tails = list(ways_of(" ".join(rest), ways)) if rest else [()]
    for way in ways.get(first, ()):
        for tail in tails:
            yield (*way, *tail)


def phrases_alike(one: str, other: str, ways: Ways) -> bool:
    """Tell whether the nearest ways to say two phrases sound alike, or differ by one phone only.

    Of a phrase with an unknown word nothing is known, and it is not called alike.
    """
    theirs = list(ways_of(other, ways))
    return any(
        edits(a, b) <= max(1.0, ALIKE_UP_TO * max(len(a), len(b)))
        for a in ways_of(one, ways)
        for b in theirs
    )
