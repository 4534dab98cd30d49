"""Which values may be taken for another, by an ear or a person. Imports the modules of ``words``.

Worked out from two tables of words (``sounds_alike``): one word of a value exchanged for one that
sounds alike, or the "one and" in front of a fraction lost or added, the worst mishearing of all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain

from assistant.words.meaning import Measure
from assistant.words.phrase import Grammar
from assistant.words.sounds_alike import BY_EAR, BY_PHONES


def _partners(*tables: Iterable[tuple[str, str]]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for one, other in chain.from_iterable(tables):
        found.setdefault(one, set()).add(other)
        found.setdefault(other, set()).add(one)
    return found


_LIKE_A_PERSON = _partners(BY_PHONES)
_LIKE_OUR_EAR = _partners(BY_PHONES, BY_EAR)


def exchanged(text: str) -> Iterator[str]:
    """Yield ``text`` with one word exchanged for one that sounds alike, for each there is."""
    words = text.split()
    for place, word in enumerate(words):
        for other in sorted(_LIKE_OUR_EAR.get(word, ())):
            yield " ".join((*words[:place], other, *words[place + 1 :]))


def mistakable(text: str, other: str) -> bool:
    """Tell whether a listener may take two texts for one another: alike in every word."""
    one, two = text.lower().split(), other.lower().split()
    return len(one) == len(two) and all(
        a == b or b in _LIKE_A_PERSON.get(a, ()) for a, b in zip(one, two, strict=True)
    )


def values_alike(measure: Measure, said: tuple[str, ...], grammar: Grammar) -> frozenset[Measure]:
    """Return the other values that may have been meant where ``measure`` was heard.

    ``said`` are ways to say it, in words that ``grammar`` reads.
    """
    bare = Measure(measure.value, measure.unit)
    return _values_alike(bare, said, _Named(grammar.key, grammar))


@dataclass(frozen=True, slots=True)
class _Named:
    """A grammar that is known by its key: to hash a whole tree takes longer than to remember."""

    key: str
    grammar: Grammar = field(compare=False)


@lru_cache(maxsize=4096)
def _values_alike(measure: Measure, said: tuple[str, ...], by: _Named) -> frozenset[Measure]:
    texts = [other for text in said for other in exchanged(text)]
    read = [meaning for text in texts for meaning in by.grammar.readings(text)]
    found = {one for one in read if isinstance(one, Measure) and one.hedge is None}
    lead = lead_changed(measure)
    return frozenset(
        one for one in found | ({lead} if lead else set()) if one.value_in != measure.value_in
    )


def lead_changed(measure: Measure) -> Measure | None:
    """Return a width without the whole inches in front of its fraction, or with one that lacks."""
    if measure.unit != "in" or measure.value.denominator == 1:
        return None
    whole, part = divmod(measure.value, 1)
    return Measure(part if whole else part + 1, "in")
