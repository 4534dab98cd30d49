"""A second, plainer reading of widths, to hold the first one against.

Knows no tree and no grammar: it takes the words apart from both ends, and whatever word it cannot
use raises ``ValueError``. It reads more than the grammar lets through, and never less.
"""

from __future__ import annotations

from fractions import Fraction

ONES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
TEENS = [f"{stem}teen" for stem in ("thir", "four", "fif", "six", "seven", "eigh", "nine")]
SMALL = [*ONES, "ten", "eleven", "twelve", *TEENS]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
PARTS = {
    ("half",): 2,
    ("halves",): 2,
    ("quarter",): 4,
    ("quarters",): 4,
    ("fourth",): 4,
    ("fourths",): 4,
    ("eighth",): 8,
    ("eighths",): 8,
    ("sixteenth",): 16,
    ("sixteenths",): 16,
    ("thirty", "second"): 32,
    ("thirty", "seconds"): 32,
    ("hundredth",): 100,
    ("hundredths",): 100,
}
OVER = ["strong", "heavy", "fat", "full", "plus", "long"]
UNDER = ["light", "shy", "weak", "scant", "minus", "short"]
OVER_BEFORE = ["a good", "just over", "a hair over", "a little over", "a bit over"]
UNDER_BEFORE = ["just under", "a hair under", "a little under", "a bit under", "shy of"]
UNDER_BEFORE += ["just shy of", "just short of", "barely", "almost", "nearly", "not quite"]
BEHIND_NO = [["make", "that"], ["wait"], ["sorry"]]
CHANGES_NOTHING = [["even"], ["exactly"], ["on", "the", "nose"], ["on", "the", "money"]]
CHANGES_NOTHING += [["dead", "on"]]
NOTHING_BEFORE = [["exactly"], ["right", "at"], ["right", "on"]]

ByHand = tuple[Fraction, str, "str | None"]
"""Value, unit (``in`` or ``mm``) and hedge."""


def width_by_hand(text: str) -> ByHand:
    """Return what ``text`` says; raises ``ValueError`` when a word cannot be used."""
    words = text.split()
    for mend in ("no", "correction"):
        if mend in words:
            words = words[words.index(mend) + 1 :]
            for more in BEHIND_NO:
                if mend == "no" and words[: len(more)] == more:
                    words = words[len(more) :]
    inside, words = _hedge_inside(words)
    hedge, words = (inside, words) if inside else _hedge(words)
    if words[-1:] in (["millimeter"], ["millimeters"]):
        return _millimeters(words[:-1]), "mm", hedge
    return _inches(words), "in", hedge


def _hedge(words: list[str]) -> tuple[str | None, list[str]]:
    for ending in CHANGES_NOTHING:
        if words[-len(ending) :] == ending:
            return None, words[: -len(ending)]
    for start in NOTHING_BEFORE:
        if words[: len(start)] == start:
            return None, words[len(start) :]
    if words and words[-1] in OVER + UNDER:
        return words[-1], words[:-1]
    for said in OVER_BEFORE + UNDER_BEFORE:
        if words[: len(said.split())] == said.split():
            return said, words[len(said.split()) :]
    start = 1 if words[:1] == ["a"] and words[1:2] and words[1] not in _part_words() else 0
    if words[start:] and words[start] in OVER + UNDER:
        return words[start], words[start + 1 :]
    return None, words


def _hedge_inside(words: list[str]) -> tuple[str | None, list[str]]:
    """Take the hedge out of "inch and a strong quarter"."""
    for at in range(1, len(words) - 3):
        if words[at : at + 2] == ["and", "a"] and words[at + 2] in OVER + UNDER:
            return words[at + 2], words[: at + 1] + words[at + 3 :]
    return None, words


def _part_words() -> set[str]:
    return {word for words in PARTS for word in words}


def _millimeters(words: list[str]) -> Fraction:
    for mark in ("point", "decimal"):
        if mark in words:
            at = words.index(mark)
            (digit,) = words[at + 1 :]
            return _count(words[:at]) + Fraction(_digit(digit), 10)
    if words[-3:] == ["and", "a", "half"]:
        return _count(words[:-3]) + Fraction(1, 2)
    return Fraction(_count(words))


def _inches(words: list[str]) -> Fraction:
    for mark in ("point", "decimal"):
        if mark in words:
            at = words.index(mark)
            whole = 0 if words[:at] in ([], ["oh"]) else _count(words[:at])
            if words[-3:] == ["of", "an", "inch"] and whole:
                raise ValueError(f"of an inch behind whole inches: {words}")
            return whole + _behind_point(_without_unit(words[at + 1 :]))
    if "and" in words:
        at = words.index("and")
        return _whole(words[:at]) + _fraction(_without_unit(words[at + 1 :]))
    if not _part_words() & set(words):
        return Fraction(_whole(words))
    if words in (["half", "an", "inch"], ["a", "half", "an", "inch"]):
        return Fraction(1, 2)
    words = _without_unit(words)
    if "inch" in words or "inches" in words:
        at = words.index("inch" if "inch" in words else "inches") + 1
        return _whole(words[:at]) + _fraction(words[at:])
    try:
        return _fraction(words)
    except ValueError:
        return _count(words[:1]) + _fraction(words[1:])


def _behind_point(words: list[str]) -> Fraction:
    digits = ""
    while words:
        many = next((n for n in (2, 1) if _is_count(words[:n], n)), 0) if len(digits) < 2 else 0
        if many and len(words) == many and _count(words) > 9:
            digits, words = digits + str(_count(words)), []
        else:
            digits, words = digits + str(_digit(words[0])), words[1:]
    if not 1 <= len(digits) <= 4:
        raise ValueError(f"digits behind the point: {digits}")
    return Fraction(int(digits), 10 ** len(digits))


def _is_count(words: list[str], many: int) -> bool:
    try:
        _count(words)
    except ValueError:
        return False
    return len(words) == many


def _whole(words: list[str]) -> int:
    if words[-1:] in (["inch"], ["inches"]):
        words = words[:-1]
        if not words or words == ["an"]:
            return 1
    return _count(words)


def _without_unit(words: list[str]) -> list[str]:
    for unit in (["of", "an", "inch"], ["inch"], ["inches"]):
        if words[-len(unit) :] == unit:
            return words[: -len(unit)]
    return words


def _fraction(words: list[str]) -> Fraction:
    for name, parts in PARTS.items():
        if tuple(words[-len(name) :]) == name:
            count = words[: -len(name)]
            if count in ([], ["a"], ["an"]):
                return Fraction(1, parts)
            return Fraction(_count(count), parts)
    raise ValueError(f"no fraction: {words}")


def _count(words: list[str]) -> int:
    if len(words) == 1 and words[0] in SMALL:
        return SMALL.index(words[0])
    if words and words[0] in TENS and len(words) <= 2:
        ten = (TENS.index(words[0]) + 2) * 10
        if len(words) == 1:
            return ten
        if 1 <= (one := SMALL.index(words[1])) <= 9:
            return ten + one
    raise ValueError(f"no count: {words}")


def _digit(word: str) -> int:
    found = 0 if word == "oh" else SMALL.index(word)
    if found > 9:
        raise ValueError(f"no digit: {word}")
    return found
