"""A second, plainer reading of measured values beside widths, to hold the first one against.

Knows no tree and no grammar: it takes words away from both ends until only a number is left, and
whatever word it cannot use raises ``ValueError``. It reads more than the grammars let through.
"""

from __future__ import annotations

from fractions import Fraction

from support.by_hand import SMALL, TENS

NOUNS = "air sheet temperature humidity wind power supply cord gauge number dial mark setting at"
BEHIND = [["of", "seam"], ["of", "cord"], ["cord"]]
UNIT_WORDS = {
    "F": [["degrees", "fahrenheit"], ["degrees"], ["fahrenheit"]],
    "C": [["degrees"]],
    "percent": [["percent"]],
    "mph": [["miles", "an", "hour"], ["miles", "per", "hour"], ["mile", "an", "hour"], ["miles"]],
    "km/h": [["kilometer", "an", "hour"], ["kilometer", "per", "hour"]],
    "m/s": [["meters", "a", "second"], ["meters", "per", "second"]],
    "knots": [],
    "V": [["volts"], ["volt"]],
    "ft": [["feet"], ["foot"]],
    "m": [["meters"]],
    "AWG": [["gauge"]],
    "mark": [],
}
GUESSES = [["just", "about"], ["call", "it"], ["about"], ["roughly"], ["around"], ["maybe"]]
MENDS = [["no", "make", "that"], ["no", "wait"], ["no", "sorry"], ["no"], ["wrong"], ["correction"]]


def measured_by_hand(text: str, unit: str) -> tuple[Fraction, str | None]:
    """Return value and hedge of ``text``, asked for in ``unit``."""
    words = _last_said(text.split())
    while words and words[0] in NOUNS.split():
        words = words[1:]
    hedge = None
    for guess in GUESSES:
        if words[: len(guess)] == guess:
            hedge, words = " ".join(guess), words[len(guess) :]
            break
    if words == ["calm"]:
        return Fraction(0), hedge
    return _signed(_without(words, BEHIND), unit), hedge


def _last_said(words: list[str]) -> list[str]:
    for at in reversed(range(len(words))):
        for mend in MENDS:
            if words[at : at + len(mend)] == mend:
                return words[at + len(mend) :]
    return words


def _without(words: list[str], endings: list[list[str]]) -> list[str]:
    for ending in endings:
        if words[-len(ending) :] == ending:
            return words[: -len(ending)]
    return words


def _signed(words: list[str], unit: str) -> Fraction:
    if unit not in ("F", "C"):
        return _size(words, unit)
    if words[:1] in (["minus"], ["negative"]):
        return -_size(words[1:], unit)
    words = _without(words, UNIT_WORDS[unit])
    less = _without(words, [["below", "zero"], ["below"]])
    return _size(words, unit) if less == words else -_size(less, unit)


def _size(words: list[str], unit: str) -> Fraction:
    words = _without(words, UNIT_WORDS[unit])
    if unit == "ft" and (foot := next((w for w in words if w in ("foot", "feet")), None)):
        at = words.index(foot)
        inches = _without(words[at + 1 :], [["inches"], ["inch"]])
        inches = inches[1:] if inches[:1] == ["and"] else inches
        return _number(words[:at]) + Fraction(_number(inches), 12)
    if unit == "AWG" and words[-1:] == ["three"] and words[0] not in TENS and len(words) > 1:
        words = words[:-1]
    if unit == "mark" and words in (["half"], ["a", "half"], ["one", "half"], ["point", "five"]):
        return Fraction(1, 2)
    return _number(words)


def _number(words: list[str]) -> Fraction:
    for mark in ("point", "decimal"):
        if mark in words:
            at = words.index(mark)
            (digit,) = words[at + 1 :]
            return _number(words[:at]) + Fraction(_digit(digit), 10)
    for half in (["and", "a", "half"], ["and", "one", "half"]):
        if words[-3:] == half:
            return _number(words[:-3]) + Fraction(1, 2)
    return Fraction(_whole(words))


def _whole(words: list[str]) -> int:
    if "hundred" in words:
        at = words.index("hundred")
        head = {"": 1, "a": 1}.get(" ".join(words[:at])) or _digit(" ".join(words[:at]))
        rest = words[at + 1 :]
        if rest[:1] == ["and"]:
            rest = rest[1:] or ["and"]
        return head * 100 + (_below_hundred(rest) if rest else 0)
    if words == ["zero"]:
        return 0
    try:
        return _below_hundred(words)
    except ValueError:
        pass
    try:
        behind = _below_hundred(words[1:])
    except ValueError:
        behind = 0
    if behind > 9:  # "one twenty five"
        return _digit(words[0]) * 100 + behind
    return int("".join(str(_digit(word)) for word in words))


def _below_hundred(words: list[str]) -> int:
    if len(words) == 1 and words[0] in SMALL:
        return SMALL.index(words[0])
    if words and words[0] in TENS and len(words) <= 2:
        rest = SMALL.index(words[1]) if len(words) == 2 else 0
        if len(words) == 1 or 1 <= rest <= 9:
            return (TENS.index(words[0]) + 2) * 10 + rest
    raise ValueError(f"no number below a hundred: {words}")


def _digit(word: str) -> int:
    found = 0 if word == "oh" else SMALL.index(word)
    if found > 9:
        raise ValueError(f"no digit: {word}")
    return found
