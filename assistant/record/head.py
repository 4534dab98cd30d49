"""The head of a record: what its last line is known by elsewhere. Imports nothing of ours; pure.

A chain of hashes cannot tell that whole lines were cut from its end, nor that all of it was written
anew. Only somebody who noted the head can. Six letters are enough to say aloud and to write on a
board: two records end in the same ones once in 26 to the 6th, some 309 million. That guards
against a slip and a wrong file, not against somebody with a computer and an evening, who can write
changed records until the letters fit. Against that stands the whole hash, which the review
prints, or a signature.
"""

from __future__ import annotations

import re

LETTERS = 6
_ALPHABET = 26
_HEX = re.compile(r"[0-9a-f]{6,64}")


def letters(digest: str) -> str:
    """Return the six letters of a hash given in hex.

    The hash as a whole number, what is left of it after division by 26 to the 6th, in six digits
    of base 26, the highest first, A for 0.
    """
    rest = int(digest, 16)
    found = []
    for _ in range(LETTERS):
        rest, place = divmod(rest, _ALPHABET)
        found.append(chr(ord("A") + place))
    return "".join(reversed(found))


def can_be(known: str) -> bool:
    """Tell whether a text can be a head: six letters, or the last six or more of the hash."""
    return _HEX.fullmatch(known.lower()) is not None or (
        len(known) == LETTERS and known.isascii() and known.isalpha()
    )


def fits(known: str, digest: str) -> bool:
    """Tell whether a line with this hash is what ``known`` names."""
    if len(known) == LETTERS and known.upper() == letters(digest):
        return True
    low = known.lower()
    return _HEX.fullmatch(low) is not None and digest.endswith(low)
