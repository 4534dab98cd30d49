"""Which clip is heard under which grammar, and in which row of the table it counts."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant.dialogue.prompts import COMMAND_PATIENCE_MS, step_grammar
from assistant.dialogue.state import Phase
from assistant.procedure.loader import load_procedures
from assistant.procedure.model import AskValue, Step
from assistant.words import grammars
from assistant.words.commands import YES_NO
from assistant.words.meaning import Chosen, Measure
from assistant.words.phrase import Grammar, table

from .recordings_in import DIGITS, Recording

ROOT = Path(__file__).parents[3]
WIDTHS = "widths"
SEAMS = "seam numbers"
ANSWERS = "answers and commands"
PLAINLY = "widths, digit by digit"
NOT_OURS = "widths said in no way of ours"
NUMBER_WORDS = "number words alone"
UNASKED = "words and values no checklist asks for yet"
CHATTER_WIDTH = "chatter, width asked"
CHATTER_YES = "chatter, yes or no asked"
PEOPLES_DIGITS = "people's digits"
PEOPLES_WORDS = "people's single words"
READ_BACK = "yes or no after a read-back"
WIDTH_AGAIN = "widths said again after a read-back"
SEAM_AGAIN = "seam numbers said again after a read-back"
CHATTER_READ_BACK = "chatter after a read-back"
ORDER = (
    WIDTHS,
    PLAINLY,
    SEAMS,
    ANSWERS,
    NUMBER_WORDS,
    UNASKED,
    PEOPLES_DIGITS,
    PEOPLES_WORDS,
    READ_BACK,
    WIDTH_AGAIN,
    SEAM_AGAIN,
    NOT_OURS,
    CHATTER_WIDTH,
    CHATTER_YES,
    CHATTER_READ_BACK,
)


@dataclass(frozen=True)
class Asked:
    """One question to an engine: what is said in this sound, under this grammar?"""

    group: str
    grammar: Grammar
    said: str
    """Empty where nothing may be taken for an answer."""
    patience_ms: int


@lru_cache(maxsize=1)
def steps() -> tuple[Step, ...]:
    """Return the steps of all checklists that come with the program."""
    procedures = load_procedures(ROOT / "checklists").values()
    return tuple(step for procedure in procedures for step in procedure.steps)


@lru_cache(maxsize=1)
def answers() -> tuple[Grammar, ...]:
    """Return the grammars that commands and answers are heard under, plain ones first."""
    asked = [step_grammar(step, Phase.ANSWER) for step in steps() if not isinstance(step, AskValue)]
    found = {grammar.key: grammar for grammar in [grammars.yes_no(), grammars.done(), *asked]}
    found |= {grammar.key: grammar for grammar in (grammars.on_hold(), grammars.waiting())}
    return tuple(found.values())


def patience_of(unit: str) -> int:
    """Return the longest silence that the checklists allow inside a value."""
    spans = [s.patience_ms for s in steps() if isinstance(s, AskValue) and s.unit == unit]
    return max(spans, default=700)


def listed(name: str, phrases: Iterable[str], values: Iterable[str] = ()) -> Grammar:
    """Return a grammar made for measuring: each of ``phrases`` is an answer of its own.

    Each of ``values`` counts as a measured value, which must be surer.
    """
    rows: dict[str, Any] = {phrase: Chosen(phrase) for phrase in sorted(set(phrases))}
    for place, phrase in enumerate(sorted(set(values) - rows.keys())):
        rows[phrase] = Measure(Fraction(place), "number")
    return Grammar(name, table(rows))


@lru_cache(maxsize=1)
def ten_digits() -> Grammar:
    """Return the digits alone; "oh" is a zero."""
    rows = {word: Measure(Fraction(digit), "number") for digit, word in enumerate(DIGITS)}
    return Grammar("ten digits", table({**rows, "oh": rows["zero"]}))


def everything_listed(recordings: list[Recording]) -> Grammar:
    """Return a grammar with every word that only the bench's own lists hold."""
    loose = [one.text for one in recordings if _may_be_loose(one) or one.kind == "person's word"]
    return listed("all lists", loose)


def hearable(recordings: list[Recording], lacking: frozenset[str]) -> list[Recording]:
    """Leave out those clips of the bench's own lists that hold a word which the model lacks.

    Words of the product's own grammars are never left out: a model without them is no model.
    """
    listed_kinds = [one for one in recordings if _may_be_loose(one) or one.kind == "person's word"]
    gone = {one.id for one in listed_kinds if lacking & set(one.text.split())}
    return [one for one in recordings if one.id not in gone]


def questions(recordings: list[Recording]) -> Callable[[Recording], list[Asked]]:
    """Return what each recording is asked for; needs all of them, to list what no grammar has."""
    words = {one.text for one in recordings if one.kind == "person's word"}
    single = listed("people's words", words)
    loose = [one for one in recordings if _may_be_loose(one) and _answer_grammar(one) is None]
    values = {one.text for one in loose if one.kind == "measured"}
    answers = {one.text for one in loose} - values
    others = listed("not asked for yet", answers, values)

    def asked(one: Recording) -> list[Asked]:
        if one.kind == "chatter":
            span = patience_of("in")
            return [
                Asked(CHATTER_WIDTH, grammars.value("in"), "", span),
                Asked(CHATTER_YES, grammars.yes_no(), "", span),
                Asked(CHATTER_READ_BACK, grammars.confirm("in"), "", COMMAND_PATIENCE_MS),
            ]
        if one.kind == "person's word":
            alone = Asked(PEOPLES_WORDS, single, one.text, COMMAND_PATIENCE_MS)
            return [alone, *_after_a_read_back(one)]
        found = _fixed(one) or _answer_grammar(one)
        if found is not None:
            return [found, *_after_a_read_back(one)]
        if not _may_be_loose(one):
            return []
        return [Asked(UNASKED, others, one.text, patience_of("in"))]

    return asked


def _may_be_loose(one: Recording) -> bool:
    return one.kind in ("command", "word", "measured")


def _fixed(one: Recording) -> Asked | None:
    if one.kind == "digit":
        return Asked(PEOPLES_DIGITS, ten_digits(), one.text, COMMAND_PATIENCE_MS)
    if one.kind == "seam":
        return Asked(SEAMS, grammars.value("number"), one.text, patience_of("number"))
    if one.kind == "width":
        return _width(one)
    return None


def is_yes_or_no(text: str) -> bool:
    """Tell whether this is all that a read-back needs."""
    return text in YES_NO


def _after_a_read_back(one: Recording) -> list[Asked]:
    """Return what is asked of a clip while a value waits for its yes: the grammar is wider then."""
    groups = {"width": WIDTH_AGAIN, "seam": SEAM_AGAIN}
    if one.kind in ("command", "person's word") and is_yes_or_no(one.text):
        groups = {one.kind: READ_BACK}
    group = groups.get(one.kind)
    grammar = grammars.confirm("number" if group == SEAM_AGAIN else "in")
    if group is None or not grammar.readings(one.text):
        return []
    return [Asked(group, grammar, one.text, COMMAND_PATIENCE_MS)]


def _width(one: Recording) -> Asked:
    span = patience_of("in")
    if grammars.value("in").readings(one.text):
        return Asked(WIDTHS, grammars.value("in"), one.text, span)
    if grammars.value_plainly("in").readings(one.text):
        return Asked(PLAINLY, grammars.value_plainly("in"), one.text, span)
    return Asked(NOT_OURS, grammars.value("in"), "", span)


def _answer_grammar(one: Recording) -> Asked | None:
    if one.kind == "command":
        for grammar in answers():
            if grammar.readings(one.text):
                return Asked(ANSWERS, grammar, one.text, COMMAND_PATIENCE_MS)
    if one.kind == "word":
        for unit in ("in", "number"):
            if grammars.value(unit).readings(one.text):
                return Asked(NUMBER_WORDS, grammars.value(unit), one.text, patience_of(unit))
    return None
