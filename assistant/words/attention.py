"""The attention phrase: what wakes Lapcall while hands are busy. Imports ``phrase`` only.

While it sleeps nothing is heard but this phrase, alone or with a word in the same breath, and
"stop". Chosen by measurement: tests/bench/attention.py counts, for each phrase that was thought
of, how often it is missed in noise and how often talk and noise pass for it.
"""

from __future__ import annotations

from assistant.words.phrase import Opt, Phrase, any_of, say, seq

ATTENTION = ("okay lapcall",)
"""Every way to say it; the first is how Lapcall itself says it."""


def attention(names: tuple[str, ...] = ATTENTION) -> Phrase:
    """Return the phrase, with no meaning of its own."""
    return any_of(*(say(name, None) for name in names))


def called(phrase: Phrase) -> Phrase:
    """Return ``phrase`` as it is said awake: with or without the attention phrase before it."""
    return seq(Opt(attention()), phrase).means(_last)


def only_called(phrase: Phrase, names: tuple[str, ...] = ATTENTION) -> Phrase:
    """Return ``phrase`` as it must be said asleep: behind the attention phrase."""
    return seq(attention(names), phrase).means(_last)


def _last(parts: tuple[object, object]) -> object:
    return parts[1]
