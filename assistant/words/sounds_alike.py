"""Value words that sound alike. Imports nothing of ours.

Made by tests/bench/conversation/alike.py; make it anew instead of changing it here.
"""

from __future__ import annotations

BY_PHONES: dict[tuple[str, str], float] = {
    ("eight", "eighth"): 0.33,
    ("eight", "eighths"): 0.33,
    ("eight", "eighty"): 0.33,
    ("eighteen", "eighty"): 0.25,
    ("eighteen", "ten"): 0.38,
    ("eighteen", "thirteen"): 0.3,
    ("eighth", "eighths"): 0.25,
    ("eighth", "eighty"): 0.33,
    ("eighths", "eighty"): 0.33,
    ("eighty", "thirty"): 0.38,
    ("eleven", "seven"): 0.33,
    ("fifteen", "fifty"): 0.17,
    ("fifteen", "fourteen"): 0.25,
    ("fifteen", "thirteen"): 0.33,
    ("fifty", "forty"): 0.3,
    ("fifty", "thirty"): 0.4,
    ("forty", "four"): 0.4,
    ("forty", "fourteen"): 0.17,
    ("forty", "fourth"): 0.4,
    ("forty", "fourths"): 0.4,
    ("forty", "quarter"): 0.3,
    ("forty", "thirty"): 0.4,
    ("four", "fourth"): 0.25,
    ("four", "fourths"): 0.25,
    ("fourteen", "thirteen"): 0.33,
    ("fourth", "fourths"): 0.2,
    ("half", "halves"): 0.38,
    ("nine", "ninety"): 0.4,
    ("nineteen", "ninety"): 0.17,
    ("quarter", "quarters"): 0.14,
    ("second", "seconds"): 0.14,
    ("second", "seven"): 0.33,
    ("second", "seventy"): 0.29,
    ("seconds", "seventy"): 0.29,
    ("seven", "seventeen"): 0.38,
    ("seven", "seventy"): 0.29,
    ("seventeen", "seventy"): 0.12,
    ("six", "sixty"): 0.33,
    ("sixteen", "sixteenth"): 0.12,
    ("sixteen", "sixteenths"): 0.12,
    ("sixteen", "sixty"): 0.14,
    ("sixteenth", "sixteenths"): 0.11,
    ("sixteenth", "sixty"): 0.25,
    ("sixteenths", "sixty"): 0.25,
    ("ten", "twenty"): 0.4,
    ("thirteen", "thirty"): 0.2,
    ("twelve", "twenty"): 0.4,
}
"""How far apart the nearest pronunciations of models/ear/lexicon.txt are: edits over phones, a
vowel for a vowel or a like consonant being half an edit. Up to 0.4."""
BY_EAR: dict[tuple[str, str], int] = {
    ("eight", "oh"): 2,
    ("eighteen", "nineteen"): 3,
    ("eighth", "eighths"): 4,
    ("fifty", "forty"): 2,
    ("five", "seven"): 2,
    ("forty", "thirty"): 2,
    ("forty", "twenty"): 3,
    ("four", "two"): 2,
    ("sixteen", "sixteenth"): 2,
}
"""How often our own ear took one for the other, all else in the phrase being heard as said: clips
of voices that training did not use, clean to 0 dB, from confidence 0.3 on. At least
2 times."""
