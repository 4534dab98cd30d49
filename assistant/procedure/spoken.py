"""What may be spoken and what may be heard in a checklist.

Imported by ``fields`` and ``steps``. Imports nothing of ours.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

_PUNCTUATION = frozenset(" .,?!'-:;")
_HEARD = re.compile(r"[a-z]+(?:'[a-z]+)?(?: [a-z]+(?:'[a-z]+)?)*")


def unspeakable(text: str) -> tuple[str, str] | None:
    """Tell what in ``text`` no voice says reliably, and what to write; None when all is well.

    Voices differ on figures and signs ("1/2" is "one slash two" to some), so values stand in words.
    """
    for sign in text:
        if unicodedata.category(sign).startswith("N"):
            return f"'{sign}' is a figure, which voices read in different ways", _IN_WORDS
        if sign not in _PUNCTUATION and not unicodedata.category(sign).startswith(("L", "M")):
            return f"'{sign}' is a sign that cannot be spoken", "it in words, or leave it out"
    if not any(sign.isalpha() for sign in text):
        return "there is no word in it", "what is to be said"
    return None


_IN_WORDS = "values in words, such as one and one quarter inches"


def unhearable(phrase: str, reserved: Iterable[str]) -> tuple[str, str] | None:
    """Tell why ``phrase`` cannot be an answer, and what to write; None when it can."""
    if not _HEARD.fullmatch(phrase):
        return f"'{phrase}' is not a phrase as it is heard", "lower-case words with single spaces"
    for command in sorted(reserved):
        # Whole words only: "none" is not "no".
        if f" {command} " in f" {phrase} ":
            wrong = f"'{phrase}' holds '{command}', which already means something"
            return wrong, "other words for this answer"
    return None
