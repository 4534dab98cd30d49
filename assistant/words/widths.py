"""Everything a welder says for a width, as one phrase. Imports the modules of ``words``.

The phrase holds unclear ways of saying it too, so that they are heard for what they are and asked
about, instead of being bent into the nearest number.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial

from assistant.words.fractions import after_and, after_whole, alone, loose
from assistant.words.meaning import Corrected, Lean, Measure, Unclear
from assistant.words.numbers import DIGITS, UNITS, digit_string, from_table, up_to_99
from assistant.words.phrase import Opt, Phrase, any_of, say, seq, table

WHOLE = {word: value for word, value in UNITS.items() if value <= 6}
"""Whole inches: beyond any weld, so that a wide one is heard and refused, not heard as narrow."""

INCH_AND_WHOLE: dict[str, int] = {
    "inch": 1,
    "an inch": 1,
    **{f"{word} {'inch' if value == 1 else 'inches'}": value for word, value in WHOLE.items()},
    "two inch": 2,
}
EXACT = ["even", "exactly", "on the nose"]
"""Said behind a value; changes nothing."""
HEDGES: dict[str, Lean] = {
    "strong": Lean.OVER,
    "heavy": Lean.OVER,
    "fat": Lean.OVER,
    "full": Lean.OVER,
    "plus": Lean.OVER,
    "long": Lean.OVER,
    "light": Lean.UNDER,
    "shy": Lean.UNDER,
    "weak": Lean.UNDER,
    "scant": Lean.UNDER,
    "minus": Lean.UNDER,
    "short": Lean.UNDER,
}
"""Said before ("a strong inch") or behind ("inch strong")."""
LEADING_HEDGES: dict[str, Lean] = {"just over": Lean.OVER, "just under": Lean.UNDER}
TRAILING_HEDGES = ("plus", "minus")
"""Said only behind a value: in front they would make another number of it."""
GUESSES = ["about", "roughly", "call it"]

ASK_WHICH_DIGITS = Unclear(
    "digits-without-point",
    "I heard digits without a point. Say it with point, or as inches and a fraction.",
)
ASK_UNIT = Unclear(
    "number-without-unit",
    "I heard a number without a unit. Say inches and a fraction, or millimeters.",
)
ASK_MIL = Unclear(
    "mil", "A mil is a thickness. Say the width in inches and a fraction, or in millimeters."
)
ASK_TICKS = Unclear(
    "ticks", "I do not know how wide a tick is. Say the width in inches and a fraction."
)
ASK_GUESS = Unclear("about", "I need a reading, not about. Say the width to the nearest sixteenth.")
ASK_WHOLE_AGAIN = Unclear(
    "half-corrected", "I heard you correct yourself. Say the whole width once more."
)


def _inch(value: Fraction | int) -> Measure:
    return Measure(Fraction(value), "in")


def _inches() -> Phrase:
    inches = table({"inch": None, "inches": None})
    of_an_inch = any_of(inches, say("of an inch", None))
    whole = table(INCH_AND_WHOLE)
    any_whole = any_of(whole, table(WHOLE))
    and_fraction = _with_unit(after_and(), loose(below_one=True), inches)
    added = seq(any_whole, say("and", None), and_fraction).means(
        lambda parts: _inch(parts[0] + parts[2])
    )
    bare = seq(any_whole, _with_unit(after_whole(), loose(below_one=True), inches)).means(
        lambda parts: _inch(parts[0] + parts[1])
    )
    fraction = _with_unit(alone(), loose(below_one=False), of_an_inch).means(_inch)
    # Only of a half is the "of" left out: nobody says "a quarter an inch".
    half = table(dict.fromkeys(("half an inch", "a half an inch"), _inch(Fraction(1, 2))))
    return any_of(added, bare, fraction, half, whole.means(_inch))


def _with_unit(fraction: Phrase, short: dict[str, Fraction], unit: Phrase) -> Phrase:
    """Return a fraction with or without its unit; the short form must have it."""
    return any_of(
        seq(fraction, Opt(unit)).means(lambda parts: parts[0]),
        seq(table({**short}), unit).means(lambda parts: parts[0]),
    )


def decimal_inches(marks: tuple[str, ...] = ("point", "decimal")) -> Phrase:
    """Return a width in decimals: "one point two five", "point seven five"."""
    mark = table(dict.fromkeys(marks))
    whole = any_of(table(WHOLE), table({"zero": 0, "oh": 0}))
    inches = table({"inch": None, "inches": None})
    return seq(Opt(whole, 0), mark, digit_string(1, 4), Opt(inches)).means(
        lambda parts: _inch(_decimal(parts[0], parts[2]))
    )


def _decimal(whole: int, digits: str) -> Fraction:
    return whole + Fraction(int(digits), 10 ** len(digits))


def _millimeters() -> Phrase:
    tenths = seq(say("point", None), table(DIGITS)).means(lambda parts: Fraction(parts[1], 10))
    number = seq(up_to_99(), Opt(tenths, 0)).means(sum)
    # The plural alone, as for fractions: "tidy" makes it of what is typed.
    return seq(number, say("millimeters", None)).means(
        lambda parts: Measure(Fraction(parts[0]), "mm")
    )


def _hedged(value: Phrase) -> Phrase:
    behind = seq(value, any_of(*(say(word, (word, lean)) for word, lean in HEDGES.items()))).means(
        lambda parts: _lean(parts[0], parts[1])
    )
    words = {**HEDGES, **LEADING_HEDGES}
    lead = any_of(
        *(say(word, (word, lean)) for word, lean in words.items() if word not in TRAILING_HEDGES)
    )
    before = seq(Opt(say("a", None)), lead, value).means(lambda parts: _lean(parts[2], parts[1]))
    exact = seq(value, table(dict.fromkeys(EXACT))).means(lambda parts: parts[0])
    return any_of(value, behind, before, exact)


def _lean(measure: Measure, hedge: tuple[str, Lean]) -> Measure:
    return Measure(measure.value, measure.unit, hedge[0], hedge[1])


def one_value() -> Phrase:
    """Return one clear value, hedged or not."""
    return _hedged(any_of(_inches(), decimal_inches(), _millimeters()))


def unclear() -> Phrase:
    """Return the ways of saying a width that name no single value."""
    digits = seq(table(UNITS), any_of(digit_string(1, 3), from_table(10, 99)))
    mils = seq(up_to_99(), table({"mil": None, "mils": None}))
    lines = seq(
        Opt(seq(table(INCH_AND_WHOLE), Opt(say("and", None)))),
        up_to_99(),
        table({"ticks": None, "lines": None}),
        Opt(table({"over": None, "under": None})),
    )
    guess = seq(table(dict.fromkeys(GUESSES)), any_of(_inches(), decimal_inches(), _millimeters()))
    cases: list[tuple[Phrase, Unclear]] = [
        (digits, ASK_WHICH_DIGITS),
        (up_to_99(), ASK_UNIT),
        (mils, ASK_MIL),
        (lines, ASK_TICKS),
        (guess, ASK_GUESS),
    ]
    return any_of(*(phrase.means(partial(_instead, what)) for phrase, what in cases))


def _instead(what: Unclear, _: object) -> Unclear:
    return what


def corrected() -> Phrase:
    """Return a value taken back in the same breath: the last one counts, if it stands alone."""
    mend = table({"no": None, "correction": None})
    return seq(one_value(), mend, one_value()).means(lambda parts: _mend(parts[0], parts[2]))


def _mend(first: Measure, last: Measure) -> Corrected | Unclear:
    # "Inch and a quarter, no, an eighth": an eighth, or an inch and an eighth? Ask.
    if first.value_in >= 1 > last.value_in:
        return ASK_WHOLE_AGAIN
    return Corrected(last)
