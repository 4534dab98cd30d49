"""What may be heard at each kind of moment. Imports the modules of ``words``.

Each function returns the grammar of one moment; commands belong to all of them. The dialogue
opens the ear with one of these, and reads what comes back with the same one.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from assistant.words.attention import called, only_called
from assistant.words.commands import DONE, YES_NO, commands
from assistant.words.decimals import and_parts
from assistant.words.meaning import Chosen, Command, Corrected, Measure
from assistant.words.measured_phrases import measured, measured_plainly, quantity_of
from assistant.words.numbers import counted_to_999, digit_string, in_words, up_to_99
from assistant.words.phrase import Grammar, Opt, Phrase, any_of, say, seq, table
from assistant.words.widths import (
    MENDS,
    corrected,
    decimal_inches,
    millimeters,
    mils,
    one_value,
    unclear,
)

UNITS = ("in", "number")
"""Units of what is no quantity of ``measured``: widths and counts."""


@lru_cache(maxsize=64)
def yes_no() -> Grammar:
    """Return the grammar of a plain question."""
    return Grammar("yes or no", any_of(table({**YES_NO}), commands()))


@lru_cache(maxsize=64)
def done() -> Grammar:
    """Return the grammar while hands are busy: done, or a command."""
    return Grammar("done", called(_while_busy()))


def _while_busy() -> Phrase:
    return any_of(table({**DONE}), commands())


@lru_cache(maxsize=64)
def asleep() -> Grammar:
    """Return the grammar asleep: the attention phrase, what may follow it in a breath, and stop.

    The other words of trouble need the phrase here: talk passes for "help" or "fire" too easily.
    """
    alone = commands(Command.ATTENTION)
    stop = table(dict.fromkeys(("stop", "stop stop"), Command.STOP))
    return Grammar("asleep", any_of(alone, only_called(_while_busy()), stop))


@lru_cache(maxsize=64)
def on_hold() -> Grammar:
    """Return the grammar of a hold: only what ends it."""
    ends = commands(Command.CARRY_ON, Command.STOP)
    return Grammar("on hold", any_of(commands(Command.ATTENTION), called(ends)))


@lru_cache(maxsize=64)
def waiting() -> Grammar:
    """Return the grammar while a time runs: commands only."""
    return Grammar("waiting", called(commands()))


@lru_cache(maxsize=64)
def stop_only() -> Grammar:
    """Return the grammar while Lapcall itself speaks into a headset."""
    return Grammar("stop", commands(Command.STOP))


def choice(choices: Mapping[str, tuple[str, ...]]) -> Grammar:
    """Return the grammar of a question with named answers: id -> phrases that mean it."""
    return _choice(tuple((name, tuple(said)) for name, said in choices.items()))


@lru_cache(maxsize=64)
def _choice(choices: tuple[tuple[str, tuple[str, ...]], ...]) -> Grammar:
    named = {phrase: Chosen(name) for name, said in choices for phrase in said}
    return Grammar("choice", any_of(table({**named}), commands()))


@lru_cache(maxsize=64)
def numbered(count: int) -> Grammar:
    """Return the second way into a choice: "number one" to "number ``count``"."""
    rows = {f"number {in_words(place)}": Chosen(str(place)) for place in range(1, count + 1)}
    return Grammar("numbered choice", any_of(table({**rows}), commands()))


def _value(unit: str, quantity: str) -> Phrase:
    if unit == "in":
        return any_of(one_value(), unclear(), corrected())
    if unit == "number":
        lead = any_of(say("seam", None), say("number", None), say("seam number", None))
        number = seq(Opt(lead), counted_to_999())
        return number.means(lambda parts: Measure(Fraction(parts[1]), "number"))
    return measured(quantity or quantity_of(unit), unit)


def _plainly(unit: str, quantity: str) -> Phrase:
    if unit == "in":
        singly = digit_string(2, 2).means(int)
        number = any_of(and_parts(up_to_99()), singly)
        return any_of(decimal_inches(pairs=False), millimeters(number), mils(number))
    if unit == "number":
        return digit_string(1, 3).means(lambda digits: Measure(Fraction(int(digits)), "number"))
    return measured_plainly(quantity or quantity_of(unit), unit)


@lru_cache(maxsize=64)
def value(unit: str, quantity: str = "") -> Grammar:
    """Return the grammar of a width (``in``), a count (``number``) or another measured value.

    ``quantity`` names what is measured (``measured.QUANTITIES``); without it, the first of those
    that ``unit`` may be asked for.
    """
    return Grammar(f"value in {unit}", any_of(_value(unit, quantity), commands()))


@lru_cache(maxsize=64)
def value_plainly(unit: str, quantity: str = "") -> Grammar:
    """Return the second way in: digit by digit, as "one decimal two five"."""
    return Grammar(f"digits in {unit}", any_of(_plainly(unit, quantity), commands()))


@lru_cache(maxsize=64)
def confirm(unit: str, quantity: str = "") -> Grammar:
    """Return the grammar after a read-back: yes, no, or the value once more."""
    mend = seq(Opt(table(dict.fromkeys([*MENDS, "wrong"]))), _value(unit, quantity))
    again = mend.means(
        lambda parts: Corrected(parts[1]) if isinstance(parts[1], Measure) else parts[1]
    )
    return Grammar(f"confirm {unit}", any_of(table({**YES_NO}), again, commands()))
