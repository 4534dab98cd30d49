"""What may be given to a voice, and where a long text is parted. Imports nothing of ours.

Voices disagree about figures and signs: espeak says "1 1/4 in" as "one one slash four in". A value
must therefore be written out in words before it comes here, and what is not is refused.
"""

from __future__ import annotations

import re
import unicodedata

_MARKS = frozenset(" ',.:;?!-")
_SENTENCE_END = re.compile(r"(?<=[.?!]) ")


def speakable(text: str) -> str:
    """Return ``text`` with single spaces and plain apostrophes, ready to be spoken.

    Letters, spaces and ``' , . : ; ? ! -`` pass.

    Raises:
        ValueError: there is a figure or a sign in it, or no word at all.
    """
    plain = " ".join(unicodedata.normalize("NFC", text).replace("\u2019", "'").split())
    for sign in plain:
        if not sign.isalpha() and sign not in _MARKS:
            raise ValueError(
                f"{sign!r} in {plain!r} cannot be spoken; write values and signs out in words, "
                "such as one and one quarter inches"
            )
    if not any(sign.isalpha() for sign in plain):
        raise ValueError(f"there is no word to speak in {text!r}")
    return plain


def sentences(text: str) -> list[str]:
    """Return ``text``, as ``speakable`` left it, parted behind each ``.``, ``?`` and ``!``."""
    return [part for part in _SENTENCE_END.split(text) if any(sign.isalpha() for sign in part)]
