"""The questions that ship: one right answer each, of words that can be heard and told apart."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest
from support.drills import SHIPPED
from support.nearness import read_ways

from assistant.dialogue import lines
from assistant.drill import hearing, telling
from assistant.drill.loader import Bank, load_bank
from assistant.drill.model import NOT_KNOWN, Question
from assistant.drill.practice import grammars_of
from assistant.errors import ProcedureProblem
from assistant.mouth.wording import speakable
from assistant.procedure.model import Judge, Procedure, Tell, Warn
from assistant.weld.advice import REMEDIES
from assistant.weld.limits import WidthLimits
from assistant.words.commands import phrases_of
from assistant.words.cue_card import cue_card
from assistant.words.meaning import Chosen
from assistant.words.phones import phrases_alike

WARNED = Procedure(
    "cutting",
    "Cutting",
    "1",
    "cutting.yaml",
    "",
    (
        Warn("blades", 1, "Close the blade.", danger=("sharp",)),
        Warn("all", 2, "Mind the heat and the edge.", danger=("hot", "edge", "sharp")),
        Tell("cut", 3, "Cut the strip.", danger=("sharp",), until_done=True),
        Tell("both", 4, "Cut at the edge.", danger=("sharp", "edge"), until_done=True),
        Tell("current", 5, "Plug in.", danger=("electric",), until_done=True),
    ),
)


@pytest.fixture(scope="module")
def bank() -> Bank:
    """Everything that ships, and a checklist that is asked about."""
    return load_bank(SHIPPED, [WARNED])


def by_id(bank: Bank, name: str) -> Question:
    """Return one question."""
    return next(question for question in bank.questions if question.id == name)


def test_every_question_has_exactly_one_right_answer(bank: Bank) -> None:
    """Its right answer is one of its choices, and each phrase means one choice alone."""
    assert len(bank.questions) >= 45
    for question in bank.questions:
        assert [choice.id for choice in question.choices].count(question.right) == 1, question.id
        grammar = hearing.answers(question.choices)
        for choice in (*question.choices, NOT_KNOWN):
            for phrase in choice.said:
                assert grammar.readings(phrase) == [Chosen(choice.id)], (question.id, phrase)


def test_answers_of_a_question_do_not_sound_alike(bank: Bank) -> None:
    """By the checker's own measure, no answer sounds like another one or like a command."""
    ways = read_ways()
    commands = [phrase for command in hearing.COMMANDS for phrase in phrases_of(command)]
    found = []
    for question in bank.questions:
        choices = (*question.choices, NOT_KNOWN)
        for one, other in combinations(choices, 2):
            found += [
                (question.id, a, b)
                for a in one.said
                for b in other.said
                if phrases_alike(a, b, ways)
            ]
        found += [
            (question.id, phrase, command)
            for choice in choices
            for phrase in choice.said
            for command in commands
            if phrases_alike(phrase, command, ways)
        ]

    assert found == []


def test_the_model_knows_every_word_that_may_be_said(bank: Bank) -> None:
    """No answer and no command of a drill holds a word without a pronunciation."""
    ways = read_ways()
    words = {word for one in grammars_of(bank.questions) for word in one.automaton.vocabulary()}

    assert {word for word in words if word not in ways} == set()


def test_everything_said_can_be_spoken(bank: Bank) -> None:
    """Questions, answers, reasons and topics are words without figures."""
    for question in bank.questions:
        for text in (telling.asked(question), question.because, question.topic):
            assert speakable(text) == text
        for choice in (*question.choices, NOT_KNOWN):
            assert speakable(telling.judged(question, choice))


@pytest.mark.parametrize(
    ("name", "right"),
    [
        # The verdict table of a hand weld, limits one inch and one and a half: common practice.
        ("strip-plain", "passes"),
        ("strip-narrow", "fails"),
        ("strip-wide", "too-wide"),
        ("strip-clean", "fails"),
        ("strip-bled", "fails"),
        ("strip-void", "fails"),
        # What defects tell: common practice, no source.
        ("dark-bead", "hot"),
        ("glossy-bead", "normal"),
        ("cold-weld", "cold-weld"),
        ("proof", "tearing"),
        ("check-dark-bead", "slow"),
        ("check-stitch-marks", "roller"),
        ("check-wrinkle", "raised"),
        ("check-fishmouth", "lap"),
        ("check-clean-peel", "fast"),
    ],
)
def test_right_is_what_the_trade_says(bank: Bank, name: str, right: str) -> None:
    """Made or written, the right answer agrees with the tables of the trade."""
    assert by_id(bank, name).right == right


def test_a_sign_offers_no_second_right_answer(bank: Bank) -> None:
    """Beside the first cause of a clean peel stand only causes that it does not speak for."""
    offered = {choice.id for choice in by_id(bank, "check-clean-peel").choices}

    assert "fast" in offered
    assert offered <= {"fast", "roller", "lap", "slow"}
    assert by_id(bank, "check-clean-peel").because in REMEDIES.values()


def test_limits_of_the_job_decide_a_strip() -> None:
    """With other limits the same strip fails: nothing of them is written into the questions."""
    wide = WidthLimits(Fraction(3, 2), Fraction(2))
    job = Procedure("wide", "Wide", "1", "", "", (Judge("verdict", 1, "", limits=wide),))
    strip = by_id(load_bank(SHIPPED, [job]), "strip-plain")

    assert strip.right == "fails"
    assert "one and one half inches to two inches" in strip.ask


def test_dangers_come_from_a_checklist(bank: Bank) -> None:
    """An act with one danger and its caution is asked about; the closest caution is the reason."""
    made = [question for question in bank.questions if question.id.startswith("danger-")]

    assert [(one.id, one.right, one.because) for one in made] == [
        ("danger-cutting-cut", "sharp", "Close the blade.")
    ]


GOOD = """\
drill: small
version: "1"
answers:
  causes: {fast: [a a], pinched: [b b], power: [c c], dirt: [d d], damp: [e e], roller: [f f],
           raised: [g g], lap: [h h], slow: [i i]}
  verdicts: {passes: [a pass], fails: [did fail], too-wide: [too wide]}
  dangers: {hot: [the heat], sharp: [a blade], edge: [the edge], electric: [current]}
questions:
  - id: bead
    topic: Heat
    ask: What is it?
    choices: {hot: [too hot], cold: [too cold]}
    right: hot
    because: It is dark.
signs: [{id: peel, topic: Heat, sign: clean-peel, ask: What first?}]
strips: [{id: strip, topic: Heat, mode: film-tearing, width: 1 in, heat: none}]
"""


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("right: hot", "right: warm", "there is no choice 'warm'. Write right: hot or cold."),
        ("cold: [too cold]", "cold: [too hot]", "'too hot' stands here twice"),
        ("[too cold]", "[stop that]", "'stop that' holds 'stop', which already means something"),
        ("[too cold]", "[i do not know]", "'i do not know' holds"),
        ("{hot: [too hot], cold: [too cold]}", "{hot: [too hot]}", "at least two answers"),
        ("sign: clean-peel", "sign: rust", "'rust' is not one of"),
        ("id: peel", "id: bead", "there is a question 'bead' already"),
        ("because: It is dark.", "because: It is 1.", "'1' is a figure"),
        ("slow: [i i]", "slo: [i i]", "'causes' lacks slow"),
        ("ask: What is it?", "asks: What is it?", "has no such key"),
        ("sharp: [a blade], ", "", "'dangers' lacks sharp"),
    ],
)
def test_a_wrong_file_is_told_with_its_line(tmp_path: Path, old: str, new: str, told: str) -> None:
    """Each fault is told with file and line, and the file is not used."""
    path = tmp_path / "small.yaml"
    path.write_text(GOOD, encoding="utf-8")
    assert len(load_bank(path).questions) == 3
    assert old in GOOD
    path.write_text(GOOD.replace(old, new), encoding="utf-8")

    with pytest.raises(ProcedureProblem, match=r"small\.yaml, line \d+") as caught:
        load_bank(path)
    assert told in str(caught.value)


def test_what_may_be_said_is_told(bank: Bank) -> None:
    """The help of a drill and the card name only what can be said in one."""
    grammar = hearing.answers(bank.questions[0].choices)
    for phrase in ("say again", "why", "scratch that", "where are we", "hold", "stop"):
        assert phrase in lines.SAYABLE_DRILL
        assert grammar.readings(phrase)
    assert f'"{NOT_KNOWN.said[0]}"' in cue_card()
