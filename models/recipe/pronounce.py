"""How words sound, in the 39 phones of the CMU dictionary, with the ways they are said on a roof.

The dictionary comes with the package pocketsphinx; words it lacks, and words that are clipped or
flapped when said fast, are below.
"""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

Pronunciations = dict[str, list[list[str]]]
_MOST = 4
"""Pronunciations kept of one word."""

_OURS = """\
a = AH | EY
amps = AE M P S
and = AH N D | AE N D | AH N
eighth = EY T TH | EY TH
eighths = EY T TH S | EY TH S | EY T S
eighty = EY T IY | EY D IY
fishmouth = F IH SH M AW TH
forty = F AO R T IY | F AO R D IY
fourths = F AO R TH S | F AO R S
hundred = HH AH N D R AH D | HH AH N D R IH D | HH AH N ER D
hundredths = HH AH N D R AH D TH S | HH AH N D R IH D TH S | HH AH N D R IH TH S
millimeter = M IH L AH M IY T ER | M IH L AH M IY D ER
millimeters = M IH L AH M IY T ER Z | M IH L AH M IY D ER Z
lapcall = L AE P K AO L | L AE P K AA L
mils = M IH L Z
ninety = N AY N T IY | N AY N D IY
oh = OW
preweld = P R IY W EH L D
quarter = K W AO R T ER | K W AO R D ER | K AO R T ER
quarters = K W AO R T ER Z | K W AO R D ER Z | K AO R T ER Z
scrim = S K R IH M
seventy = S EH V AH N T IY | S EH V AH N D IY
sixteenth = S IH K S T IY N TH
sixteenths = S IH K S T IY N TH S | S IH K S T IY N S
tear = T EH R
tearing = T EH R IH NG
thirty = TH ER T IY | TH ER D IY
twenty = T W EH N T IY | T W EH N IY
wind = W IH N D
"""


class UnknownWordError(Exception):
    """Words without a pronunciation, which would be trained on as nothing."""

    def __init__(self, words: list[str]) -> None:
        super().__init__(f"No pronunciation for: {', '.join(words)}. Add them to pronounce.py.")


def _ours() -> Pronunciations:
    table: Pronunciations = {}
    for line in _OURS.splitlines():
        word, _, ways = line.partition(" = ")
        table[word] = [way.split() for way in ways.split("|")]
    return table


def dictionary() -> Pronunciations:
    """Return the CMU dictionary with our own words in front of it."""
    from pocketsphinx import get_model_path  # noqa: PLC0415  # only needed for planning

    found: Pronunciations = defaultdict(list)
    source = Path(get_model_path()) / "en-us" / "cmudict-en-us.dict"
    for line in source.read_text("utf-8").splitlines():
        word, *phones = line.split()
        ways = found[re.sub(r"\(\d+\)$", "", word)]
        if phones not in ways and len(ways) < _MOST:
            ways.append(phones)
    return {**found, **_ours()}


def write_lexicon(path: Path, words: list[str], table: Pronunciations) -> None:
    """Write one line for each way to say each word.

    Raises:
        UnknownWordError: a word is in neither table.
    """
    unknown = [word for word in words if word not in table]
    if unknown:
        raise UnknownWordError(unknown)
    path.write_text("".join(lines_of(words, table)), encoding="utf-8")


def lines_of(words: list[str], table: Pronunciations) -> list[str]:
    """Return the lexicon's lines for words, ends of line and all."""
    return [f"{word} {' '.join(way)}\n" for word in words for way in table[word]]
