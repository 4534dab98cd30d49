"""Everything a welder says for a width, as one phrase. Imports the modules of ``words``.

The phrase holds unclear ways of saying it too, so that they are heard for what they are and asked
about, instead of being bent into the nearest number.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial

from assistant.words.decimals import ZERO, and_parts, decimal, places
from assistant.words.fractions import after_and, after_hedge, after_whole, alone, loose
from assistant.words.meaning import Corrected, Lean, Measure, Unclear
from assistant.words.numbers import TEENS, UNITS, digit_string, from_table, up_to_99
from assistant.words.phrase import Opt, Phrase, any_of, say, seq, table

WHOLE = {word: value for word, value in UNITS.items() if value <= 6}
"""Whole inches: beyond any weld, so that a wide one is heard and refused, not heard as narrow."""

INCH_AND_WHOLE: dict[str, int] = {
    "inch": 1,
    "an inch": 1,
    **{f"{word} {'inch' if value == 1 else 'inches'}": value for word, value in WHOLE.items()},
    "two inch": 2,
}
EXACT = ["even", "exactly", "on the nose", "on the money", "dead on"]
"""Said behind a value; changes nothing."""
LEADING_EXACT = ["exactly", "right at", "right on"]
"""Said before a value; changes nothing."""
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
LEADING_HEDGES: dict[str, Lean] = {
    "just over": Lean.OVER,
    "a good": Lean.OVER,
    "a hair over": Lean.OVER,
    "a little over": Lean.OVER,
    "a bit over": Lean.OVER,
    "just under": Lean.UNDER,
    "a hair under": Lean.UNDER,
    "a little under": Lean.UNDER,
    "a bit under": Lean.UNDER,
    "shy of": Lean.UNDER,
    "just shy of": Lean.UNDER,
    "just short of": Lean.UNDER,
    "barely": Lean.UNDER,
    "almost": Lean.UNDER,
    "nearly": Lean.UNDER,
    "not quite": Lean.UNDER,
}
"""Said only before a value."""
TRAILING_HEDGES = ("plus", "minus")
"""Said only behind a value: in front they would make another number of it."""
GUESSES = ["about", "roughly", "around", "just about", "maybe", "call it"]
RANGES = ["over", "under", "more than", "less than", "better than", "at least"]
"""Said before a value, these leave open how far it is away."""
MENDS = ["no", "correction", "no make that", "no wait", "no sorry"]
"""Between a value and the one that takes its place. Patience knows their first words."""

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
ASK_RANGE = Unclear("range", "I need one reading. Say the width to the nearest sixteenth.")
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


def decimal_inches(pairs: bool = True) -> Phrase:
    """Return a width in decimals: "one point two five", "point seven five of an inch".

    With ``pairs`` also "one point twenty five".
    """
    inches = table({"inch": None, "inches": None})
    behind = places(pairs)
    whole = any_of(table(WHOLE), table(ZERO))
    some = seq(decimal(Opt(whole, 0), behind), Opt(inches))
    below_one = seq(decimal(Opt(table(ZERO), 0), behind), say("of an inch", None))
    return any_of(some, below_one).means(lambda parts: _inch(parts[0]))


def millimeters(number: Phrase) -> Phrase:
    """Return ``number`` of millimeters, in the singular too: "eighteen millimeter"."""
    unit = table({"millimeters": None, "millimeter": None})
    return seq(number, unit).means(lambda parts: Measure(Fraction(parts[0]), "mm"))


def mils(number: Phrase) -> Phrase:
    """Return ``number`` of mils: a thickness, so a question."""
    return seq(number, table({"mils": None, "mil": None})).means(partial(_instead, ASK_MIL))


def _metric() -> Phrase:
    return millimeters(and_parts(up_to_99()))


def _hedged(value: Phrase) -> Phrase:
    either = _hedges(HEDGES)
    behind = seq(value, either).means(lambda parts: _lean(parts[0], parts[1]))
    in_front = {word: lean for word, lean in HEDGES.items() if word not in TRAILING_HEDGES}
    lead = any_of(
        seq(Opt(say("a", None)), _hedges(in_front)).means(lambda parts: parts[1]),
        _hedges(LEADING_HEDGES),
    )
    before = seq(lead, value).means(lambda parts: _lean(parts[1], parts[0]))
    exact_behind = seq(value, table(dict.fromkeys(EXACT))).means(lambda parts: parts[0])
    exact_before = seq(table(dict.fromkeys(LEADING_EXACT)), value).means(lambda parts: parts[1])
    return any_of(value, behind, before, exact_behind, exact_before)


def _hedges(leans: dict[str, Lean]) -> Phrase:
    return any_of(*(say(word, (word, lean)) for word, lean in leans.items()))


def _lean(measure: Measure | Unclear, hedge: tuple[str, Lean]) -> Measure | Unclear:
    if isinstance(measure, Unclear):
        return measure
    return Measure(measure.value, measure.unit, hedge[0], hedge[1])


def _hedge_inside() -> Phrase:
    """Return a hedge beside the fraction: "inch and a strong quarter"."""
    words = {word: lean for word, lean in HEDGES.items() if word not in TRAILING_HEDGES}
    whole = any_of(table(INCH_AND_WHOLE), table(WHOLE))
    return seq(whole, say("and a", None), _hedges(words), after_hedge()).means(
        lambda parts: _lean(_inch(parts[0] + parts[3]), parts[2])
    )


def one_value() -> Phrase:
    """Return one clear value, hedged or not."""
    return any_of(_hedged(any_of(_inches(), decimal_inches(), _metric())), _hedge_inside())


def unclear() -> Phrase:
    """Return the ways of saying a width that name no single value."""
    singly = table(UNITS)
    pair = from_table(10, 99)
    digits = seq(singly, any_of(digit_string(1, 3), pair, seq(singly, pair)))
    lines = seq(
        Opt(seq(table(INCH_AND_WHOLE), Opt(say("and", None)))),
        up_to_99(),
        table({"ticks": None, "lines": None}),
        Opt(table({"over": None, "under": None})),
    )
    clear = any_of(_inches(), decimal_inches(), _metric())
    guess = seq(table(dict.fromkeys(GUESSES)), clear)
    apart = seq(table(dict.fromkeys(RANGES)), clear)
    cases: list[tuple[Phrase, Unclear]] = [
        (digits, ASK_WHICH_DIGITS),
        (any_of(up_to_99(), and_parts(_above_six())), ASK_UNIT),
        (lines, ASK_TICKS),
        (guess, ASK_GUESS),
        (apart, ASK_RANGE),
    ]
    unsure = seq(table(dict.fromkeys([*GUESSES, *RANGES])), _any_mils())
    return any_of(
        *(phrase.means(partial(_instead, what)) for phrase, what in cases),
        _hedged(_any_mils()),
        unsure.means(partial(_instead, ASK_MIL)),
    )


def _above_six() -> Phrase:
    """Return numbers that are no whole inches here, so that one with a part needs a unit."""
    more = {word: value for word, value in UNITS.items() if value not in WHOLE.values()}
    return any_of(table({**more, **TEENS}), from_table(20, 99))


def _any_mils() -> Phrase:
    return mils(and_parts(up_to_99()))


def _instead(what: Unclear, _: object) -> Unclear:
    return what


def corrected() -> Phrase:
    """Return a value taken back in the same breath: the last one counts, if it stands alone."""
    side = any_of(one_value(), _hedged(_any_mils()))
    return seq(side, table(dict.fromkeys(MENDS)), side).means(
        lambda parts: _mend(parts[0], parts[2])
    )


def _mend(first: Measure | Unclear, last: Measure | Unclear) -> Corrected | Unclear:
    if isinstance(last, Unclear):
        return last
    # "Inch and a quarter, no, an eighth": an eighth, or an inch and an eighth? Ask.
    if isinstance(first, Measure) and first.value_in >= 1 > last.value_in:
        return ASK_WHOLE_AGAIN
    return Corrected(last)
