"""A small procedure with a step of every kind, built by hand, and how it is walked."""

from __future__ import annotations

from fractions import Fraction

from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Choice,
    Judge,
    Look,
    Otherwise,
    Procedure,
    Step,
    Tell,
    Wait,
    Warn,
)

GUN = Warn("gun", 1, "The nozzle burns.", why="It is very hot.")
SEAM = AskValue(
    "seam",
    2,
    "Which seam is this?",
    unit="number",
    plausible_from=Fraction(1),
    plausible_to=Fraction(999),
    called="seam",
)
DIAL = Tell("dial", 3, "Set the dial.", why="It is only a start.", until_done=True)
CLEAN = AskYesNo(
    "clean",
    4,
    "Is the roller clean?",
    why="Dirt leaves voids.",
    otherwise=Otherwise("Clean it.", "again"),
)
LOOSE = AskYesNo(
    "loose", 5, "Is anything loose?", hoped=False, otherwise=Otherwise("Set it anew.", "dial")
)
NOTE = Tell("note", 6, "Weld slowly.")
LOOK = Look("look", 6, "Mind the weather.")
COOL = Wait("cool", 7, "Let it cool.", why="A warm strip peels falsely.", seconds=600)
FAILURE = AskChoice(
    "failure",
    8,
    "How did it fail?",
    why="It tells whether the weld held.",
    choices=(
        Choice("film-tearing", ("film tearing", "tore the sheet")),
        Choice("clean-peel", ("clean peel", "let go")),
        Choice("partly", ("partly",)),
    ),
)
WIDTH = AskValue(
    "width",
    9,
    "How wide?",
    why="Water finds the narrowest place.",
    unit="in",
    plausible_from=Fraction(1, 4),
    plausible_to=Fraction(5, 2),
)
WHOLE = AskYesNo(
    "whole", 10, "Is it whole?", otherwise=Otherwise("Then only the solid part counts.", "go-on")
)
SOLID = AskValue(
    "solid",
    11,
    "How wide is the solid part?",
    only_if=("whole", "no"),
    unit="in",
    plausible_from=Fraction(1, 16),
    plausible_to=Fraction(5, 2),
    called="solid width",
)
MARKS = AskChoice(
    "marks",
    12,
    "Which heat marks?",
    choices=(
        Choice("none", ("none",)),
        Choice("bleed-out", ("bleed out",)),
        Choice("burn", ("burn",)),
    ),
)
VERDICT = Judge(
    "verdict",
    13,
    "",
    width="width",
    mode="failure",
    solid="solid",
    heat="marks",
    on_fail="dial",
    on_fail_say="Set it anew, and weld again.",
)
LAST = Tell("last", 14, "Weld the seam.", until_done=True)

ALL_STEPS = (
    GUN,
    SEAM,
    DIAL,
    CLEAN,
    LOOSE,
    NOTE,
    LOOK,
    COOL,
    FAILURE,
    WIDTH,
    WHOLE,
    SOLID,
    MARKS,
    VERDICT,
    LAST,
)
GOOD_STRIP = {
    "seam": "fourteen",
    "loose": "no",
    "failure": "film tearing",
    "width": "inch and a quarter",
    "whole": "yes",
    "marks": "none",
}
"""What is said at each step of a run that passes; yes where nothing stands here."""
MILD_START = {
    "thunder": "no",
    "air": "seventy degrees",
    "humidity": "fifty percent",
    "sheet": "seventy five degrees",
    "wind": "five miles an hour",
    "cord-length": "fifty feet",
    "cord-gauge": "twelve gauge",
    "volts": "one eighteen",
    "cut-at": "at twenty feet",
    "from": "at nineteen feet",
    "to": "at twenty one feet",
    "place": "at twenty feet",
    "feet": "sixty feet",
}
"""What is said for measured values that call for no caution; yes where nothing stands here."""


def procedure(*steps: Step) -> Procedure:
    """Return a procedure of ``steps``, or of all there are."""
    return Procedure("seam", "Seam", "1", "seam.yaml", "0" * 64, steps or ALL_STEPS)
