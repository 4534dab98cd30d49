"""The printable card of what can be said, made from the definitions that are heard.

Imports the modules of ``words``.
"""

from __future__ import annotations

from assistant.words.commands import COMMANDS, DONE, MEANS_WHAT, YES_NO
from assistant.words.marks import DEFECTS, END_OF_NOTE, HAPPENED, called_out
from assistant.words.meaning import Command
from assistant.words.widths import EXACT, GUESSES, HEDGES, LEADING_EXACT, LEADING_HEDGES, RANGES

WIDTH_EXAMPLES = (
    "inch and a quarter",
    "one and three eighths",
    "inch three eighths",
    "fifteen sixteenths",
    "three quarters of an inch",
    "one point two five",
    "one decimal two five",
    "thirty two millimeters",
    "inch and a half no one and an eighth",
)
"""Shown on the card; a test reads each of them back."""
MEASURED_EXAMPLES = {
    "air-temperature": "minus five degrees",
    "sheet-temperature": "one forty five",
    "humidity": "sixty five percent",
    "wind": "about ten miles an hour",
    "volts": "one eighteen volts",
    "cord-length": "hundred foot cord",
    "cord-gauge": "twelve gauge",
    "seam-length": "forty two feet of seam",
    "seam-place": "at ten foot six",
    "dial": "six and a half",
}
"""One for each quantity that a checklist may ask for."""
PLACE_EXAMPLE = "twelve and a half feet"


def _either(phrases: list[str]) -> str:
    return " / ".join(f'"{phrase}"' for phrase in phrases)


def cue_card() -> str:
    """Return the card as plain text of at most 78 columns."""
    yes = [text for text, answer in YES_NO.items() if answer.yes]
    no = [text for text, answer in YES_NO.items() if not answer.yes]
    lines = [
        "LAPCALL: WHAT YOU CAN SAY",
        "",
        "Answers",
        f"  {_either(yes)}",
        f"  {_either(no)}",
        f"  {_either(list(DONE))} when your hands are free again",
        "",
        "At any time",
    ]
    for command in Command:
        said = [text for text, what in COMMANDS.items() if what is command]
        lines += [f"  {_either(said)}", f"      {MEANS_WHAT[command]}"]
    lines += ["", "Marks on the seam, at any time; each is read back and needs a yes"]
    lines += [f'  "{called_out(what)}"' for what in DEFECTS]
    lines += [f'      and behind it where: "at {PLACE_EXAMPLE}"; else you are asked']
    lines += ["", "What may end a set-up, at any time", f"  {_either(list(HAPPENED))}"]
    lines += [f'      logged at once; "{Command.SCRATCH_THAT.value}" takes it back']
    lines += ["", f'A note is ended by silence, or by a pause and then "{END_OF_NOTE}".']
    lines += ["", "Widths, for example", *(f'  "{text}"' for text in WIDTH_EXAMPLES), ""]
    lines += _wrapped("Hedges are kept as said: ", [*HEDGES, *LEADING_HEDGES])
    lines += _wrapped("These change nothing: ", list(dict.fromkeys([*EXACT, *LEADING_EXACT])))
    lines += _wrapped("Lapcall asks for a reading after: ", [*GUESSES, *RANGES])
    lines += ["", "Other values, in the unit that is asked for, for example"]
    lines += [f'  "{text}"' for text in MEASURED_EXAMPLES.values()]
    lines += ["", 'In a drill: an answer that was read out, or "i do not know".']
    lines += ["", "A width counts only after you hear it back and say yes.", ""]
    return "\n".join(lines)


def _wrapped(lead: str, words: list[str], width: int = 78) -> list[str]:
    lines = [lead]
    for word in words:
        piece = word + ("" if word == words[-1] else ", ")
        if len(lines[-1]) + len(piece) > width:
            lines[-1] = lines[-1].rstrip()
            lines.append("  ")
        lines[-1] += piece
    return lines
