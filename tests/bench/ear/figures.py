"""From a general recogniser's figures to words: "1 3/8 in." -> "one and three eighths inches".

Made to be fair: whatever names the same value is read, and single words that sound alike count as
the number word. What still is no phrase of the grammar is counted as asked again.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from assistant.words.numbers import digits_in_words, in_words

_PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second"}
_SOUNDS_LIKE = {
    "to": "two",
    "too": "two",
    "for": "four",
    "fore": "four",
    "won": "one",
    "ate": "eight",
    "sicks": "six",
    "o": "oh",
    "know": "no",
    "write": "right",
    "of": "off",
}
_ANYWHERE = {
    "seem": "seam",
    "seems": "seam",
    "scene": "seam",
    "seams": "seam",
    "theme": "seam",
    "eights": "eighths",
    '"': "inches",
    "”": "inches",
    "in": "inches",
    "mm": "millimeters",
    "millimeter": "millimeters",
    "millimetres": "millimeters",
    "millimetre": "millimeters",
    "centimetres": "centimeters",
    "%": "percent",
    "°": "degrees",
}
_NUMBER = re.compile(r"(?:(\d+)[\s-]+)?(\d+)\s*/\s*(\d+)(?:ths?|nds?|rds?)?|(\d*)\.(\d+)|(\d+)")
_ORDINAL = re.compile(r"\b(\d+)\s*(?:st|nd|rd|th)(s?)\b")
_ORDINALS = {"2": "second", "3": "third", "4": "fourth", "8": "eighth", "10": "tenth"}
_ORDINALS |= {"16": "sixteenth", "32": "thirty second"}


def in_our_words(text: str) -> str:
    """Return ``text`` in lower-case words parted by single spaces, without figures and marks."""
    plain = text.lower().replace("½", " 1/2").replace("¼", " 1/4").replace("¾", " 3/4")
    plain = unicodedata.normalize("NFKC", re.sub(r"([⅐-⅞])", r" \1", plain))
    plain = plain.replace("\N{FRACTION SLASH}", "/")
    plain = re.sub(r"(?<=\d),(?=\d{3}\b)", "", plain)
    plain = re.sub(r'(?<=\d)\s*(["”%°])', lambda m: f" {m[1]} ", plain)
    plain = re.sub(r"(?<=\d)(?=(mm|in)\b)", " ", plain)
    plain = _ORDINAL.sub(lambda m: f" {_ORDINALS.get(m[1], m[1])}{m[2]} ", plain)
    plain = _NUMBER.sub(lambda m: f" {_said(m)} ", plain)
    # The apostrophe parts no words: "that's right" was said in three, which the grammar knows.
    plain = plain.replace("that's", "that is").replace("it's", "it is").replace("'", "")
    words = re.sub(r'[^\w"”%°]|_', " ", plain).split()
    words = [_ANYWHERE.get(word, word) for word in words]
    if len(words) == 1:
        words = [_SOUNDS_LIKE.get(words[0], words[0])]
    return " ".join(words)


def _said(found: re.Match[str]) -> str:
    whole, over, under, ones, behind, plain = found.groups()
    if under:
        parts = fraction_in_words(int(over), int(under))
        return f"{_counted(whole)} and {parts}" if whole else parts
    if behind:
        return _decimal(ones, behind)
    return _counted(plain)


def _counted(figures: str) -> str:
    """A leading zero or more than six figures can only be digits one by one."""
    if (figures[0] == "0" and len(figures) > 1) or len(figures) > 6:
        return digits_in_words(figures)
    return in_words(int(figures))


def _decimal(ones: str, behind: str) -> str:
    """Decimals that are inches of a rule become its fraction; others are said digit by digit."""
    part = Fraction(int(behind), 10 ** len(behind))
    whole = int(ones or 0)
    if part == 0:
        return in_words(whole)
    if part.denominator in _PARTS:
        name = fraction_in_words(part.numerator, part.denominator)
        return f"{in_words(whole)} and {name}" if whole else name
    return f"{in_words(whole)} point {digits_in_words(behind)}"


def fraction_in_words(over: int, under: int) -> str:
    """Return a fraction as it is counted: "three eighths"; digits with "over" where none fits."""
    if under not in _PARTS:
        return f"{in_words(over)} over {in_words(under)}"
    if over == 1:
        return f"one {_PARTS[under]}"
    return f"{in_words(over)} " + ("halves" if under == 2 else f"{_PARTS[under]}s")
