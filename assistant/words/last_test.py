"""Which value of a test shall be changed. Imports the modules of ``words``.

The recogniser's model does not know the word "width", and "how wide" is next to "why".
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from assistant.words.commands import commands
from assistant.words.meaning import Chosen
from assistant.words.numbers import in_words
from assistant.words.phrase import Grammar, any_of, table

PARTS: dict[str, str] = {
    "width": "how wide it was",
    "mode": "how it failed",
    "solid": "solid part",
    "heat": "heat marks",
    "pull": "how it was pulled",
}
"""What a verdict rests on, by its name in ``procedure.model.Judge``, and as it is said."""


def which(parts: Sequence[str]) -> Grammar:
    """Return the grammar of the question which of ``parts`` it is; their numbers mean them too."""
    return _which(tuple(parts))


@lru_cache(maxsize=16)
def _which(parts: tuple[str, ...]) -> Grammar:
    named = {PARTS[part]: Chosen(part) for part in parts}
    numbered = {f"number {in_words(at)}": Chosen(part) for at, part in enumerate(parts, 1)}
    return Grammar("which value", any_of(table({**named, **numbered}), commands()))
