# ruff: noqa: RUF001  # phoneme signs look like other letters
"""Words for talk: only those that the voices and the dictionary say alike."""

import pytest
from vocabulary import agreed_words, phones_of


@pytest.mark.parametrize(
    ("signs", "phones"),
    [
        ("tˈɛn", "T EH N"),
        ("bˈɜɹd", "B ER D"),
        ("bˈʌTəɹ", "B AH T ER"),
        ("ʤˈʌmp", "JH AH M P"),
        ("ʧˈɪldɹᵊn", "CH IH L D R AH N"),
        ("kˌæməɹˈɑ", "K AE M ER AA"),
        ("bˈY", "B OY"),
        ("hˈWs", "HH AW S"),
        ("θˈɪŋ", "TH IH NG"),
        ("ðˈIz", "DH AY Z"),
        ("", ""),
    ],
)
def test_signs_become_phones(signs, phones):
    """Stress is dropped, a vowel before r is one phone where the dictionary has one."""
    assert phones_of(signs) == phones.split()


@pytest.mark.parametrize("signs", ["lˈɒx", "ten!", "tʰ"])
def test_a_sign_without_a_phone_makes_no_guess(signs):
    """A word with a sound that English lacks is left out."""
    assert phones_of(signs) is None


def test_only_agreed_plain_words_qualify():
    """Names, short words, words with several readings and disputed ones are no vocabulary."""
    english = {
        "ten": "tˈɛn",
        "bird": "bˈɜɹd",
        "Bird": "bˈɜɹd",
        "to": "tu",
        "read": {"DEFAULT": "ɹˈid", "VBD": "ɹˈɛd"},
        "route": "ɹˈut",
        "unknown": "ʌnnˈOn",
    }
    dictionary = {
        "ten": [["T", "EH", "N"]],
        "bird": [["B", "ER", "R", "D"], ["B", "ER", "D"]],
        "Bird": [["B", "ER", "D"]],
        "to": [["T", "UW"]],
        "read": [["R", "IY", "D"]],
        "route": [["R", "AW", "T"]],
    }

    assert agreed_words(english, dictionary) == ["bird", "ten"]
