"""The table of phrases beside a general library of number words, where one is installed.

None reads spoken measurements well enough to be used: nearly half of the table is misread or not
read at all. Where it does read one number, it is ours, but for the ways to speak listed here.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
import yaml

GROUPS = yaml.safe_load(Path(__file__).with_name("phrases.yaml").read_text(encoding="utf-8"))
MISREAD = [
    r"(?<!one )(?<!two )\binch (and )?\w",  # a bare inch is one inch
    r"thirty seconds?$|thirty seconds? of",  # thirty seconds are a time to it
    r"\bone three eighths$",  # eight halves
    r"three eighth inch|three quarter inch|five quarter$",
    r"\bhundredths$",  # a part of a hundredth
    r"^(point|oh|nought|decimal)\b",  # a point without a zero
    r"\bbelow$",
]
"""Ways to speak that the library was seen to misread (recognizers-text-number 1.0.2a2)."""


def test_a_library_that_reads_one_number_reads_ours():
    """Two readers that know nothing of each other agree on two hundred phrases."""
    library = pytest.importorskip("recognizers_number", reason="no number library is installed")
    agree, differ = 0, []
    for rows in GROUPS.values():
        for said, must in rows.items():
            if must.startswith(("ask", "now")):
                continue
            value = float(Fraction(must.split(",")[0].split()[0]))
            found = library.recognize_number(said, library.Culture.English)
            read = [one.resolution.get("value") for one in found if one.resolution]
            if len(read) != 1 or read[0] is None:
                continue
            if float(read[0]) == pytest.approx(value):
                agree += 1
            elif not any(re.search(form, said) for form in MISREAD):
                differ.append((said, must, read[0]))

    assert not differ
    assert agree >= 200
