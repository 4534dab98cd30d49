"""The card of a checklist shows its steps, and what can be said at each."""

from __future__ import annotations

import html
import re

import pytest
from support.checklists import GOOD, SHIPPED

from assistant.card.card import anytime, card, rows
from assistant.dialogue.prompts import step_grammar
from assistant.procedure.loader import JOB_FILE, load_procedure
from assistant.procedure.model import Tell, Wait
from assistant.words import grammars
from assistant.words.understand import Ask, understand

CHECKLISTS = sorted(path for path in SHIPPED.glob("*.yaml") if path.name != JOB_FILE)


def text_of(page: str) -> str:
    """Return the words of a page."""
    body = page[page.index("<body") :]
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", body)).split())


@pytest.mark.parametrize("path", CHECKLISTS, ids=lambda path: path.stem)
def test_every_step_that_speaks_is_on_the_card(path):
    """Nothing that is asked or told is missing, and nothing is fetched from elsewhere."""
    procedure = load_procedure(path)
    page = card(procedure)

    assert all(step.say in text_of(page) for step in procedure.steps)
    assert "http" not in page
    assert "src=" not in page


@pytest.mark.parametrize("path", CHECKLISTS, ids=lambda path: path.stem)
def test_what_the_card_says_can_be_said_is_understood(path):
    """Each answer on the card is understood at its step."""
    procedure = load_procedure(path)
    spoken = {step.say: step for step in procedure.steps if step.say}
    for row in rows(procedure):
        step = spoken.get(row.text)
        if step is None:
            continue
        grammar = grammars.waiting() if isinstance(step, Wait) else step_grammar(step)
        for phrase in (one for said in row.say for one in said.split(" / ")):
            assert not isinstance(understand(phrase, grammar), Ask), (step.id, phrase)


def test_commands_on_the_card_are_understood():
    """Each command on the card is a command anywhere."""
    assert "stop" in anytime()
    assert not [one for one in anytime() if isinstance(understand(one, grammars.done()), Ask)]


def test_a_step_without_an_answer_shows_none(tmp_path):
    """What is only told, or judged, has nothing to say to it; a condition is told in words."""
    path = tmp_path / "good.yaml"
    path.write_text(GOOD, encoding="utf-8")
    procedure = load_procedure(path)
    by_text = {row.text: row for row in rows(procedure)}

    assert by_text["Lapcall judges the strip."].say == ()
    assert by_text["Lapcall judges the strip."].else_ == "Weld again."
    assert by_text["Lapcall judges the strip."].else_lead == "Unless it passes"
    assert by_text["Is it whole?"].else_lead == "If no"
    assert by_text["How wide is the solid part?"].only_if == "Only after no to: Is it whole?"
    assert any(isinstance(step, Tell) for step in procedure.steps)


def test_words_of_a_checklist_are_no_markup(tmp_path):
    """Signs that mean something in a page are shown as they are."""
    path = tmp_path / "good.yaml"
    path.write_text(GOOD.replace("title: Small", "title: Bob's"), encoding="utf-8")

    assert "Bob&#39;s" in card(load_procedure(path))
