"""Weather and supply are asked for, at the start of a shift and later, and the cautions said."""

from __future__ import annotations

import pytest
from support.checklists import SHIPPED
from support.seam import LOOK, MILD_START, procedure
from support.talk import Talk, walk

from assistant.dialogue.conditions import every_sentence, in_sentences
from assistant.dialogue.prompts import sentences
from assistant.dialogue.state import Settings
from assistant.mouth.wording import sentences as parted
from assistant.procedure.loader import load_procedure
from assistant.weld import cautions, power_cautions, weather_cautions

START = load_procedure(SHIPPED / "conditions.yaml")


def looked(**answers: str | list[str]) -> Talk:
    """Walk the start of a shift, with other answers where they are given; return the talk."""
    other = {step.replace("_", "-"): answer for step, answer in answers.items()}
    return walk(Talk(START), {**MILD_START, **other})


def cautions_logged(talk: Talk) -> list[str]:
    """Return the cautions that the record says were spoken."""
    (line,) = (line for line in talk.of("done") if line.fields["act"] == "look")
    return list(line.fields["cautions"])


def test_mild_weather_promises_nothing():
    """With nothing to caution of that is said, and that it is no promise."""
    talk = looked()

    assert talk.finished.ended
    assert cautions_logged(talk) == []
    assert weather_cautions.NOTHING_CAUGHT in " ".join(talk.said)


@pytest.mark.parametrize(
    ("answers", "cautions_due"),
    [
        # 68 F and 80 percent: dew point 61.6 F, so 66 F is 4.4 F above it and less than 5.4 F.
        (
            {
                "air": "sixty eight degrees",
                "humidity": "eighty percent",
                "sheet": "sixty six degrees",
            },
            [weather_cautions.NEAR_DEW],
        ),
        ({"wind": "twenty five miles an hour"}, [weather_cautions.LOOSE_SHEET_WIND]),
        # 108 of 120 V is 81 percent of the heat; 50 ft of 12 AWG do not explain it.
        ({"volts": "one oh eight"}, [power_cautions.LESS_HEAT, power_cautions.LOSS_UNEXPLAINED]),
        # 100 ft of 16 AWG leave 81 percent (table of cords).
        (
            {"cord_length": "hundred feet", "cord_gauge": "sixteen gauge", "measured": "no"},
            [power_cautions.LESS_HEAT, power_cautions.VOLTS_LOST_MUCH, power_cautions.THIN_CORD],
        ),
        (
            {"air": "twenty below", "sheet": "minus ten", "wind": "thirty miles an hour"},
            [
                weather_cautions.COLD_AIR,
                weather_cautions.CHILL_MINUTES,
                weather_cautions.HANDLING_WIND,
            ],
        ),
    ],
)
def test_what_was_answered_is_looked_at(answers, cautions_due):
    """Each answer counts in its unit; the cautions are spoken with their limits, and recorded."""
    talk = looked(**answers)

    assert cautions_logged(talk) == [each.say for each in cautions_due]
    for each in cautions_due:
        assert any(each.say in said and each.about in said for said in talk.said)


def test_without_a_question_nothing_is_looked_at():
    """A checklist that asks neither for weather nor for supply gets no word about them."""
    talk = walk(Talk(procedure(LOOK)), {})

    assert weather_cautions.NOTHING_CAUGHT not in " ".join(talk.said)
    assert cautions_logged(talk) == []


def test_what_was_not_heard_is_named():
    """Four answers that no humidity can be leave it unknown, and that is said."""
    talk = looked(humidity=["zero percent", "five hundred", "zero percent", "five zero zero"])

    assert [line.fields["step"] for line in talk.of("not-heard")] == ["humidity"]
    assert weather_cautions.NO_HUMIDITY in " ".join(talk.said)


def test_an_answer_changed_on_the_way_counts():
    """What was taken back and said anew is what is looked at."""
    talk = Talk(START)
    talk.hear("seventy degrees", "yes", "go back", "sixty eight degrees", "yes")
    talk.hear("eighty percent", "yes", "sixty six degrees", "yes")
    walk(talk, MILD_START)

    assert weather_cautions.NEAR_DEW.say in cautions_logged(talk)


def test_going_back_goes_past_the_cautions():
    """They needed no word, so "go back" asks the question before; then they come anew."""
    talk = walk(Talk(START), MILD_START, to="dry")
    talk.hear("go back")

    assert talk.at == "volts"
    talk.hear("one oh eight", "yes")
    assert power_cautions.LESS_HEAT.say in " ".join(talk.said[-3:])


def test_where_a_rule_comes_from_is_said_once():
    """Two cautions of one rule name it behind the first."""
    said = in_sentences((weather_cautions.HIGH_WIND, weather_cautions.HANDLING_WIND), ())

    assert said.count(cautions.WIND_RULE) == 1


def test_all_of_it_is_rendered_ahead():
    """Every sentence of a look is known to the voice before it is needed."""
    ahead = {part for text in sentences(START) for part in parted(text)}
    talk = looked(wind="twenty five miles an hour", volts="one oh eight")

    assert {part for text in every_sentence() for part in parted(text)} <= ahead
    (line,) = (said for said in talk.said if weather_cautions.LOOSE_SHEET_WIND.say in said)
    assert set(parted(line)) <= ahead


def test_a_resumed_shift_does_not_look_twice():
    """After a crash behind the cautions the run goes on at the question after them."""
    talk = looked()
    (place,) = (place for place, line in enumerate(talk.lines) if line.fields.get("act") == "look")
    again = Talk(START, Settings(), talk.lines[: place + 1])

    assert again.at == "dry"
