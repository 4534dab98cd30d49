"""The spelling alphabet of radiotelephony: letters as words that no noise mixes up.

Imports nothing of ours. Said by Lapcall and never listened for. The words are those of the
International Civil Aviation Organization and the International Telecommunication Union, in their
spelling (alfa, juliett).
"""

from __future__ import annotations

ALPHABET = (
    *("alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india"),
    *("juliett", "kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo"),
    *("sierra", "tango", "uniform", "victor", "whiskey", "x-ray", "yankee", "zulu"),
)

_A = ord("A")
_LETTERS = {word: chr(_A + place) for place, word in enumerate(ALPHABET)}
_AS_WRITTEN = {"alpha": "A", "juliet": "J", "whisky": "W", "xray": "X"}


def spelled(letters: str) -> str:
    """Return capital letters as words with a pause behind each: "alfa, bravo"."""
    return ", ".join(ALPHABET[ord(letter) - _A] for letter in letters)


def letters_of(text: str) -> str | None:
    """Return the letters that words of the alphabet spell, or None where there is another word."""
    known = {**_LETTERS, **_AS_WRITTEN}
    found = [known.get(word) for word in text.lower().replace(",", " ").split()]
    letters = [letter for letter in found if letter is not None]
    return "".join(letters) if letters and len(letters) == len(found) else None
