"""Simulated shifts, small: the welder, the made ear, and what the table makes of them."""

from __future__ import annotations

import json

import pytest
from bench.conversation import report
from bench.conversation.hearing import clips_of
from bench.conversation.measured import READ_BACK, Pair, files_of_one_model
from bench.conversation.shift import Setting, Welder, shifts

from assistant.dialogue.state import Detail, Trust

POINT = Trust(answer=0.7, value=0.9, yes=0.9)
GOOD_ANSWERS = [
    Pair(READ_BACK, "5", "anna", "yes", "yes", 0.99),
    Pair(READ_BACK, "5", "anna", "no", "no", 0.99),
]
RIGHT = [
    Pair("widths", "5", "anna", said, said, 0.99)
    for said in ("inch and a quarter", "one and three eighths", "an inch", "three quarters")
]
WRONG = [
    Pair("widths", "5", "anna", "inch and a quarter", "a quarter", 0.99),
    Pair("widths", "5", "anna", "thirteen sixteenths", "fifteen sixteenths", 0.99),
]


def counted(pairs, welder, detail=Detail.STANDARD, unseen=0.0):
    """Return what two small shifts came to; without mistakes that nobody has seen."""
    clips = clips_of([*pairs, *GOOD_ANSWERS], "widths", "5", unseen)
    return shifts(clips, Setting(detail, POINT, welder), 2, 400, "test")[1]


def test_with_a_careful_welder_nothing_wrong_is_logged():
    """A third of the values is misheard; whoever listens lets none of them pass."""
    counts = counted(RIGHT + WRONG, Welder(careless=0.0, value_instead=0.0))

    assert counts.misread > 50
    assert counts.wrong == 0


def test_mistakes_that_nobody_has_seen_are_reckoned_with():
    """A handful of clips without a mistake does not prove an ear without mistakes."""
    counts = counted(RIGHT, Welder(careless=0.0), unseen=0.5)

    assert counts.misread > 0


def test_who_never_listens_logs_what_was_heard():
    """Each wrong read-back that gets a yes is a wrong value: the count is honest."""
    counts = counted(RIGHT + WRONG, Welder(careless=1.0, value_instead=0.0))

    assert counts.wrong == counts.misread > 50


def test_two_questions_are_the_least():
    """Where all is heard right Lapcall asks for the value and reads it back, hardly more."""
    counts = counted(RIGHT, Welder(careless=0.0, value_instead=0.0))

    assert 2.0 <= counts.asked / counts.values < 2.1
    assert counts.not_heard == 0


def test_what_is_heard_without_trust_is_asked_for_again():
    """Below the threshold a value costs a question and is never read back."""
    doubtful = [Pair(p.set, p.level, p.voice, p.said, p.heard, 0.5) for p in RIGHT + WRONG]
    counts = counted(doubtful, Welder())

    assert counts.not_heard == counts.values
    assert counts.wrong == counts.misread == 0


def test_the_same_value_again_is_a_worse_yes():
    """An ear that errs alike twice would confirm its own mistake."""
    says_it_again = Welder(careless=0.0, value_instead=1.0)
    would = Welder(careless=0.0, value_instead=1.0, again_is_yes=True)

    assert counted(RIGHT + WRONG, would).wrong > counted(RIGHT + WRONG, says_it_again).wrong + 50


@pytest.mark.parametrize("kind", ["wrong", "misread", "not_heard", "asked"])
def test_settings_differ_in_words_alone(kind):
    """In each setting the same shift has the same mistakes and the same questions."""
    found = {getattr(counted(RIGHT + WRONG, Welder(), detail=d), kind) for d in Detail}

    assert len(found) == 1


def test_brief_says_less_and_an_apprentice_hears_more():
    """Words behind the question, from brief to apprentice."""
    words = [
        counted(RIGHT, Welder(), detail=detail).words
        for detail in (Detail.BRIEF, Detail.STANDARD, Detail.APPRENTICE)
    ]

    assert words == sorted(words)
    assert words[0] < words[1]


def test_a_shift_can_be_repeated():
    """The same seed gives the same shift."""
    assert counted(RIGHT + WRONG, Welder()) == counted(RIGHT + WRONG, Welder())


def test_nought_is_not_never():
    """Where nothing went wrong the interval ends at what so many values can rule out."""
    mean, low, high = report.interval([0, 0], 5_000)

    assert (mean, low) == (0, 0)
    assert high == pytest.approx(3.0, abs=0.01)  # the rule of three: -ln 0.05 in 10,000


def test_the_cheapest_point_keeps_every_kind():
    """A point at which one kind of value goes wrong too often is not chosen, however cheap."""

    def row(kind, value, wrong, asked):
        point = {"table": "t", "level": "5", "detail": "standard", "answer": 0.7, "yes": 0.9}
        more = {"careless": 0.01, "again_is_yes": False, "words": 9.0, "misread": 0, "stopped": 0}
        counts = {"wrong": [wrong], "values": 10_000, "not_heard": 0}
        return {**point, **more, **counts, "kind": kind, "value": value, "asked": asked}

    grid = [
        row("widths", 0.9, 0, 2.5),
        row("seam numbers", 0.9, 2, 2.5),
        row("widths", 0.97, 0, 2.9),
        row("seam numbers", 0.97, 1, 3.0),
        row("widths", 0.99, 0, 3.9),
        row("seam numbers", 0.99, 0, 3.9),
    ]

    assert report.cheapest(grid, 1.0)["value"] == 0.97
    assert report.cheapest(grid[:2], 1.0) is None


def test_answers_of_another_model_are_left_out(tmp_path):
    """What an ear heard that is no longer in use says nothing about the one that is."""
    paths = []
    for name, model in (("ear", {"sha256": "a"}), ("same", "a"), ("other", "b")):
        paths.append(tmp_path / f"{name}.json")
        paths[-1].write_text(json.dumps({"model": model}), "utf-8")

    assert files_of_one_model(*paths, tmp_path / "none.json") == paths[:2]
