# ruff: noqa: RUF001  # phoneme signs look like other letters
"""Common English words for talk to be refused: those that voice and dictionary say alike.

The ear must know all sounds of English in all neighbourhoods, or what it refuses best is what it
was told to refuse. A word qualifies when the phonemes that the voices read are those of the
dictionary that training reads: otherwise it would learn wrong sounds.
"""

from __future__ import annotations

import re
from typing import Any

from pronounce import Pronunciations

_SOUNDS = {
    "ɜɹ": "ER", "əɹ": "ER", "A": "EY", "I": "AY", "O": "OW", "W": "AW", "Y": "OY", "ɑ": "AA",
    "æ": "AE", "ʌ": "AH", "ə": "AH", "ᵊ": "AH", "ɔ": "AO", "ɛ": "EH", "ɪ": "IH", "ᵻ": "IH",
    "i": "IY", "ʊ": "UH", "u": "UW", "b": "B", "d": "D", "f": "F", "ɡ": "G", "h": "HH", "j": "Y",
    "k": "K", "l": "L", "m": "M", "n": "N", "p": "P", "ɹ": "R", "s": "S", "t": "T", "T": "T",
    "v": "V", "w": "W", "z": "Z", "ʤ": "JH", "ʧ": "CH", "ð": "DH", "θ": "TH", "ŋ": "NG",
    "ʃ": "SH", "ʒ": "ZH", "ɾ": "T",
}  # fmt: skip
_SPLIT = re.compile("|".join(sorted(_SOUNDS, key=len, reverse=True)) + "|.")
_STRESS = re.compile("[ˈˌː]")
_USUAL = re.compile("[a-z]{3,9}")


def phones_of(signs: str) -> list[str] | None:
    """Return a word's phones, or None when a sign has none of its own."""
    parts = _SPLIT.findall(_STRESS.sub("", signs))
    return [_SOUNDS[part] for part in parts] if all(part in _SOUNDS for part in parts) else None


def agreed_words(english: Any, dictionary: Pronunciations) -> list[str]:  # noqa: ANN401
    """Return the words that the phonemiser's own dictionary and ``dictionary`` say alike, sorted.

    ``english`` is the phonemiser's lexicon: word -> signs.
    """
    found = []
    for word, signs in english.items():
        known = dictionary.get(word, []) if _USUAL.fullmatch(word) else []
        if known and isinstance(signs, str) and phones_of(signs) in known:
            found.append(word)
    return sorted(found)
