"""Number words as tables, and the phrases made of them. Imports ``phrase``.

All tables are data: adding a word here adds it to what is heard, read and shown.
"""

from __future__ import annotations

from assistant.words.phrase import Opt, Phrase, Seq, any_of, seq, table

UNITS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
}
TEENS = {
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
    "thirteen": 13,
    "fourteen": 14,
    "fifteen": 15,
    "sixteen": 16,
    "seventeen": 17,
    "eighteen": 18,
    "nineteen": 19,
}
TENS = {
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
}
DIGITS = {"zero": 0, "oh": 0, **UNITS}

_WORD_OF = {value: word for word, value in {"zero": 0, **UNITS, **TEENS, **TENS}.items()}


def in_words(number: int) -> str:
    """Return a whole number from 0 to 999 999 in words, as it is said on a roof."""
    if not 0 <= number < 1_000_000:
        raise ValueError(f"no words for {number}")
    if number in _WORD_OF:
        return _WORD_OF[number]
    if number < 100:
        return f"{_WORD_OF[number // 10 * 10]} {_WORD_OF[number % 10]}"
    size, name = (100, "hundred") if number < 1000 else (1000, "thousand")
    head, rest = divmod(number, size)
    return f"{in_words(head)} {name}" + (f" {in_words(rest)}" if rest else "")


def digits_in_words(digits: str) -> str:
    """Return a string of digits one by one in words: ``"15"`` -> ``"one five"``."""
    return " ".join(_WORD_OF[int(digit)] for digit in digits)


def up_to_99() -> Phrase:
    """Return the numbers 1 to 99 as they are counted."""
    tens = seq(table(TENS), Opt(table(UNITS), 0)).means(sum)
    return any_of(table(UNITS), table(TEENS), tens)


def from_table(lowest: int, highest: int) -> Phrase:
    """Return the numbers ``lowest`` to ``highest`` as they are counted, each a fixed phrase."""
    return table({in_words(number): number for number in range(lowest, highest + 1)})


def digit_string(least: int, most: int) -> Phrase:
    """Return ``least`` to ``most`` digits said one by one; means the string of digits."""
    digit = table(DIGITS).means(str)
    return any_of(*(Seq((digit,) * count).means("".join) for count in range(least, most + 1)))


def counted_to_999() -> Phrase:
    """Return whole numbers 1 to 999: counted, in pairs ("one twenty five"), or digit by digit."""
    hundred = seq(
        any_of(table(UNITS), table({"a": 1})),
        table({"hundred": 100}),
        Opt(seq(Opt(table({"and": 0}), 0), up_to_99()).means(sum), 0),
    ).means(lambda parts: parts[0] * parts[1] + parts[2])
    above_nine = any_of(table(TEENS), seq(table(TENS), Opt(table(UNITS), 0)).means(sum))
    pair = seq(table(UNITS), above_nine).means(lambda parts: parts[0] * 100 + parts[1])
    one_by_one = seq(table(UNITS), digit_string(1, 2)).means(
        lambda parts: int(f"{parts[0]}{parts[1]}")
    )
    return any_of(up_to_99(), hundred, pair, one_by_one)
