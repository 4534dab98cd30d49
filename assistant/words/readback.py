"""How Lapcall says values: in words, and in the form that tells confusable values apart.

Imports the modules of ``words``. The speech engine must never see a figure or a unit sign.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from assistant.words.alike import lead_changed, mistakable, values_alike
from assistant.words.decimals import decimal_in_words, digit_by_digit
from assistant.words.fractions import ONE_OF, in_words_of
from assistant.words.meaning import Measure
from assistant.words.measured import UNITS
from assistant.words.measured_words import by_digits, in_its_unit, number_alone
from assistant.words.numbers import digits_in_words, in_words
from assistant.words.phrase import Grammar
from assistant.words.widths import TRAILING_HEDGES

NEAR_STEPS = 2
"""A value within so many marks of the rule from a limit is near it: a mark misread, or a hedge
(up to an eighth on a rule of sixteenths), would change the verdict."""


@dataclass(frozen=True, slots=True)
class Window:
    """Where a value lies when all is well, ends included; the verdict changes at its ends."""

    least_in: Fraction
    most_in: Fraction
    step_in: Fraction
    """The smallest mark of the rule."""

    def side(self, value_in: Fraction) -> int:
        """Return -1 below the window, 0 inside, 1 above."""
        return (value_in > self.most_in) - (value_in < self.least_in)

    def near(self, value_in: Fraction) -> bool:
        """Tell whether a value lies near an end."""
        reach = NEAR_STEPS * self.step_in
        return min(abs(value_in - self.least_in), abs(value_in - self.most_in)) <= reach


def inches_in_words(value_in: Fraction) -> str:
    """Return a width on an inch rule in words: 5/4 -> "one and one quarter inches"."""
    whole, rest = divmod(value_in, 1)
    if not rest:
        return f"{in_words(int(whole))} {'inch' if whole == 1 else 'inches'}"
    if whole:
        return f"{in_words(int(whole))} and {in_words_of(rest)} inches"
    return f"{in_words_of(rest)} of an inch"


def _on_a_rule(value_in: Fraction) -> bool:
    return value_in.denominator in {1, *ONE_OF}


def value_in_words(measure: Measure) -> str:
    """Return a value once, in the form it was said in, with its hedge where it is said."""
    if measure.unit == "number":
        return in_words(int(measure.value))
    if measure.unit == "mm":
        value = f"{decimal_in_words(measure.value)} millimeters"
    elif measure.unit in UNITS:
        value = in_its_unit(measure.value, measure.unit)
    elif _on_a_rule(measure.value):
        value = inches_in_words(measure.value)
    else:
        value = f"{decimal_in_words(measure.value)} inches"
    if measure.hedge is None:
        return value
    # "Minus one inch" would be another number.
    behind = measure.hedge in TRAILING_HEDGES
    return f"{value} {measure.hedge}" if behind else f"{measure.hedge} {value}"


def read_back(measure: Measure, grammar: Grammar, window: Window | None = None) -> str:
    """Return a value as it is read back, as sentences without the last period.

    Two forms where the verdict hangs on it: it lies near an end of ``window``, or it and a value
    that sounds alike lie on different sides of one. Else one form, in which no value that sounds
    alike can be taken for it; two where neither form is so. ``grammar`` reads such values.
    """
    if window and hangs(measure, grammar, window):
        return two_forms(measure)
    others, bare = alike(measure, grammar), value_in_words(Measure(measure.value, measure.unit))
    if not any(mistakable(bare, value_in_words(one)) for one in others):
        return value_in_words(measure)
    second = _second_form(measure)
    told_apart = not any(mistakable(second, _second_form(one)) for one in others)
    # Only the first form holds a hedge.
    return second if told_apart and measure.hedge is None else two_forms(measure)


def hangs(measure: Measure, grammar: Grammar, window: Window) -> bool:
    """Tell whether a verdict hangs on hearing this value right."""
    side, lead = window.side(measure.value_in), lead_changed(measure)
    if window.near(measure.value_in) or (lead and window.side(lead.value_in) != side):
        return True
    return any(window.side(one.value_in) != side for one in alike(measure, grammar))


def alike(measure: Measure, grammar: Grammar) -> frozenset[Measure]:
    """Return the values that sound like this one, however either of them is said."""
    bare = Measure(measure.value, measure.unit)
    said = (value_in_words(bare), _second_form(bare))
    if bare.unit in UNITS:
        # Some units are said in words that no grammar holds; without one it is the same value.
        said = number_alone(bare.value, bare.unit)
    return values_alike(bare, said, grammar)


def two_forms(measure: Measure) -> str:
    """Return a value in two forms, as sentences without the last period.

    Widths below an inch say so, since a lost "one and" is the worst mishearing; counts are
    repeated digit by digit, since fifteen and fifty sound alike.
    """
    below = ". Less than one inch" if measure.unit == "in" and measure.value < 1 else ""
    return f"{value_in_words(measure)}. {_sentence(_second_form(measure))}{below}"


def _second_form(measure: Measure) -> str:
    """Return a value digit by digit, or as near to that as it goes."""
    if measure.unit == "number":
        return digits_in_words(str(int(measure.value)))
    if measure.unit == "mm":
        return f"{digit_by_digit(measure.value)} millimeters"
    if measure.unit in UNITS:
        return by_digits(measure.value, measure.unit)
    if measure.value < 1 and measure.value.denominator == 16:
        return f"{digits_in_words(str(measure.value.numerator))} over one six"
    if measure.value.denominator == 1:
        return decimal_in_words(measure.value) + " point zero"
    if _on_a_rule(measure.value):
        return decimal_in_words(measure.value)
    return "decimal " + digit_by_digit(measure.value)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def spoken(text: str) -> str:
    """Return ``text`` as a sentence: a capital in front, a period behind."""
    text = _sentence(text.strip())
    return text if text.endswith((".", "?", "!")) else text + "."
