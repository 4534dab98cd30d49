"""Everything that is said for a measured value beside a width. Imports the modules of ``words``.

As for widths, unclear ways are heard for what they are, and asked about: another unit than the one
that was asked for, a guess where a reading is needed, a size that no cord has. A number without a
unit is read in the unit that was asked for, and read back with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import partial
from typing import Any

from assistant.words.decimals import MARKS, and_parts
from assistant.words.meaning import Corrected, Measure, Unclear
from assistant.words.measured import GAUGES, QUANTITIES, UNITS, Quantity, heard, heard_elsewhere
from assistant.words.numbers import DIGITS, counted_to_999, digit_string, from_table, in_words
from assistant.words.numbers import UNITS as ONES
from assistant.words.phrase import Opt, Phrase, any_of, say, seq, table
from assistant.words.widths import GUESSES, MENDS, RANGES

ASK_READING = Unclear("about", "I need one reading. Say the number alone.")
ASK_RANGE = Unclear("range", ASK_READING.question)
ASK_STEADY = Unclear("two-speeds", "I heard two speeds. Say the steady wind alone.")
ASK_GAUGE = Unclear(
    "no-such-gauge", f"Cords have these gauges: {', '.join(map(in_words, GAUGES))}. Say which."
)
ASK_HALF_MARK = Unclear("between-marks", "Say the nearest mark, or the nearest half mark.")
_OPEN = (*RANGES, "just over", "just under", "almost", "nearly", "barely")
_MOST_MARKS = 20


def ask_unit(unit: str) -> Unclear:
    """Return the question after another unit than the one asked for."""
    return Unclear("another-unit", f"I need it in {UNITS[unit].many}. Say it again.")


def quantity_of(unit: str) -> str:
    """Return the first quantity that is asked in ``unit``; raises ``KeyError`` if none is."""
    for name, quantity in QUANTITIES.items():
        if unit in quantity.plausible:
            return name
    raise KeyError(unit)


def measured(name: str, unit: str) -> Phrase:
    """Return all ways to say a value of the quantity ``name``, asked for in ``unit``."""
    quantity = QUANTITIES[name]
    value = _with_unit(quantity, unit, _number(name, unit))
    guess = seq(any_of(*(say(word, word) for word in GUESSES)), value).means(
        lambda parts: _guessed(parts[1], parts[0] if quantity.estimates else None)
    )
    is_open = seq(_either(_OPEN), value).means(partial(_instead, ASK_RANGE))
    one = any_of(_led(quantity, any_of(value, guess, is_open)), *_none(quantity, unit))
    mended = seq(one, _either(MENDS), one).means(lambda parts: _mended(parts[2]))
    return any_of(one, mended, *_unclear(name, unit))


def measured_plainly(name: str, unit: str) -> Phrase:
    """Return the second way in: digit by digit."""
    quantity = QUANTITIES[name]
    if unit == "AWG":
        number = digit_string(1, 2).means(lambda digits: _gauge(int(digits)))
    elif unit == "mark":
        number = _parted(digit_string(1, 2).means(int)).means(_half_mark)
    else:
        number = _parted(digit_string(1, 3).means(int))
    if UNITS[unit].signed:
        number = seq(Opt(_minus(), 1), number).means(lambda parts: parts[0] * parts[1])
    return _with_unit(quantity, unit, number)


# ---- numbers, each a Fraction or a question


def _number(name: str, unit: str) -> Phrase:
    if unit == "AWG":
        # "Twelve three" is a cord of twelve gauge with three conductors.
        return seq(from_table(1, 30), Opt(say("three", None))).means(lambda said: _gauge(said[0]))
    if unit == "mark":
        return _marks()
    number = and_parts(_whole(name))
    return _signed(number, unit) if UNITS[unit].signed else number


def _whole(name: str) -> Phrase:
    bare = {"zero": 0, "hundred": 100} if name == "cord-length" else {"zero": 0}
    return any_of(counted_to_999(), table(bare))


def _signed(number: Phrase, unit: str) -> Phrase:
    """Return temperatures: "minus five", "five below", "five degrees below zero"."""
    minus = seq(_minus(), number).means(lambda parts: -parts[1])
    below = seq(number, Opt(_either(heard(unit))), _either(("below", "below zero")))
    return any_of(number, minus, below.means(lambda parts: -parts[0]))


def _minus() -> Phrase:
    return table({"minus": -1, "negative": -1})


def _parted(whole: Phrase) -> Phrase:
    return seq(whole, Opt(_tenth(), Fraction(0))).means(sum)


def _gauge(size: int) -> Fraction | Unclear:
    return Fraction(size) if size in GAUGES else ASK_GAUGE


def _marks() -> Phrase:
    """Return the marks of a dial, and half marks; whatever is finer is asked about."""
    halves = dict.fromkeys(("and a half", "and one half"), Fraction(1, 2))
    quarters = {"and a quarter": Fraction(1, 4), "and three quarters": Fraction(3, 4)}
    parts = any_of(table({**halves, **quarters}), _tenth())
    number = seq(from_table(0, _MOST_MARKS), Opt(parts, Fraction(0))).means(sum)
    half = dict.fromkeys(("half", "a half", "one half", "point five"), Fraction(1, 2))
    return any_of(number, table({**half})).means(_half_mark)


def _tenth() -> Phrase:
    return seq(_either(MARKS), table(DIGITS)).means(lambda parts: Fraction(parts[1], 10))


def _half_mark(value: Fraction) -> Fraction | Unclear:
    return value if (2 * value).denominator == 1 else ASK_HALF_MARK


# ---- numbers with what stands around them


def _with_unit(quantity: Quantity, unit: str, number: Phrase) -> Phrase:
    """Return ``number`` with or without its unit, or with another one, which is asked about."""
    own, elsewhere = heard(unit), heard_elsewhere(quantity, unit)
    behind = quantity.behind
    ways = [seq(number, *_maybe(own), *_maybe(behind)).means(lambda said: _measure(said[0], unit))]
    if elsewhere:
        other = seq(number, _either(elsewhere), *_maybe(behind))
        ways.append(other.means(partial(_instead, ask_unit(unit))))
    if unit == "ft" and quantity.with_inches:
        ways.append(_feet_and_inches(behind))
    return any_of(*ways)


def _maybe(texts: tuple[str, ...]) -> list[Phrase]:
    return [Opt(_either(texts))] if texts else []


def _feet_and_inches(behind: tuple[str, ...]) -> Phrase:
    """Return "forty two feet six inches", "forty two foot six"."""
    feet = any_of(counted_to_999(), say("zero", 0))
    inches = seq(from_table(1, 11), Opt(_either(("inches", "inch"))))
    foot, joiner = _either(heard("ft")), Opt(say("and", None))
    both = seq(feet, foot, joiner, inches, *_maybe(behind))
    return both.means(lambda said: _measure(said[0] + Fraction(said[3][0], 12), "ft"))


def _measure(value: Fraction | Unclear, unit: str) -> Measure | Unclear:
    return value if isinstance(value, Unclear) else Measure(Fraction(value), unit)


def _none(quantity: Quantity, unit: str) -> list[Phrase]:
    return [say(word, Measure(Fraction(0), unit)) for word in quantity.none]


def _led(quantity: Quantity, value: Phrase) -> Phrase:
    if not quantity.leads:
        return value
    return seq(Opt(_either(quantity.leads)), value).means(lambda parts: parts[1])


def _unclear(name: str, unit: str) -> list[Phrase]:
    """Return what names no single value of this quantity alone."""
    if name == "wind":
        gusts = seq(Opt(say("with", None)), say("gusts", None), Opt(say("of", None)))
        speed = counted_to_999()
        units = _maybe(heard(unit))
        two = seq(Opt(say("wind", None)), speed, *units, gusts, speed, *units)
        return [two.means(partial(_instead, ASK_STEADY))]
    if unit == "mark":
        mark = from_table(0, _MOST_MARKS)
        between = seq(say("between", None), mark, say("and", None), mark)
        singly = seq(table(ONES), table(ONES))
        return [any_of(between, singly).means(partial(_instead, ASK_HALF_MARK))]
    return []


def _guessed(measure: Measure | Unclear, hedge: str | None) -> Measure | Unclear:
    if isinstance(measure, Unclear):
        return measure
    return Measure(measure.value, measure.unit, hedge) if hedge else ASK_READING


def _mended(last: Measure | Unclear) -> Corrected | Unclear:
    return last if isinstance(last, Unclear) else Corrected(last)


def _either(texts: Iterable[str]) -> Phrase:
    return table(dict.fromkeys(texts))


def _instead(what: Unclear, _: Any) -> Unclear:  # noqa: ANN401 - whatever the phrase meant
    return what
