"""Any procedure made of the constructs of a flow, walked by anybody, ends and can be resumed."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timezone

from hypothesis import given, note, settings
from hypothesis import strategies as st
from support.talk import Talk

from assistant.dialogue.events import ReminderDue
from assistant.dialogue.prompts import grammar_for
from assistant.dialogue.state import Phase, Settings
from assistant.dialogue.today import Today
from assistant.procedure import flow
from assistant.procedure.model import (
    AskChoice,
    AskValue,
    AskYesNo,
    Cap,
    Choice,
    Judge,
    Look,
    Otherwise,
    Procedure,
    Remind,
    Step,
    Tell,
    Wait,
    Warn,
)

NEVER_SLEEPS = Settings(awake_s=None)
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=timezone.utc)
CHOICES = tuple(Choice(name, (name.replace("-", " "),)) for name in ("oak", "birch", "cherry"))
MODES = tuple(
    Choice(name, (name.replace("-", " "),)) for name in ("film-tearing", "clean-peel", "partly")
)
MOST_EVENTS = 3000
"""Three nested loops of three turns over eight steps come nowhere near it."""


@st.composite
def caps(draw: st.DrawFn, later: list[str]) -> Cap:
    """Return a cap whose way out is one of those there are."""
    outs = [flow.GO_ON, flow.END, flow.STOP, *later]
    return Cap(draw(st.integers(1, 3)), draw(st.sampled_from(outs)), "Enough.")


@st.composite
def steps(draw: st.DrawFn, place: int, count: int, before: list[Step]) -> Step:
    """Return one step that names others only as the loader lets it."""
    name, says = f"step-{place}", f"Say {chr(97 + place)}."
    later = [f"step-{other}" for other in range(place + 1, count)]
    earlier = [step.id for step in before]
    kinds = ["tell", "told", "warn", "yes-no", "choice", "value", "wait", "clock", "look", "judge"]
    kind = draw(st.sampled_from(kinds))
    asked = [step for step in before if flow.may_come_of(step)]
    only_if = None
    if asked and kind != "judge" and draw(st.booleans()):
        of = draw(st.sampled_from(asked))
        among = st.sampled_from(flow.may_come_of(of))
        only_if = (of.id, *draw(st.lists(among, min_size=1, max_size=2, unique=True)))
    once, every = draw(st.booleans()), Remind(600, "Still waiting.")
    then = draw(st.sampled_from([flow.AGAIN, flow.GO_ON, *earlier]))
    # What is asked again needs no cap: somebody who answers everything answers well at last.
    cap = draw(caps(later)) if then != flow.GO_ON else None
    instead = Otherwise("Mend it.", then, cap)
    common = {"id": name, "line": place + 1, "say": says, "only_if": only_if}
    if kind == "judge":
        at = before[0].id
        return Judge(
            name, place + 1, "", width="width", mode="mode", on_fail=at, on_fail_say="Weld again.",
            cap=draw(caps(later)),
        )  # fmt: skip
    made: dict[str, Step] = {
        "tell": Tell(**common, until_done=True, once=once, remind=every),
        "told": Tell(**common, once=once),
        "warn": Warn(**common, once=once, remind=every),
        "yes-no": AskYesNo(**common, otherwise=instead, once=once),
        "choice": AskChoice(
            **common, choices=CHOICES, hoped=("oak",), otherwise=instead, once=once
        ),
        "value": AskValue(
            **common, unit="number", plausible_from=1, plausible_to=20, hoped_from=9,
            otherwise=instead, called="count", once=once,
        ),
        "wait": Wait(**common, seconds=60),
        "clock": Wait(**common, until=draw(st.sampled_from(["11:00", "13:30"])), remind=every),
        "look": Look(**common, of=draw(st.sampled_from(["conditions", "tests", "suspects"]))),
    }  # fmt: skip
    return made[kind]


WIDTH = AskValue("width", 1, "How wide?", plausible_from=0, plausible_to=3)
MODE = AskChoice("mode", 2, "How did it fail?", choices=MODES)


@st.composite
def procedures(draw: st.DrawFn) -> Procedure:
    """Return a procedure of a few steps behind those that a verdict needs."""
    count = draw(st.integers(1, 7))
    made: list[Step] = [WIDTH, MODE]
    for place in range(count):
        made.append(draw(steps(place, count, made)))
    return Procedure("any", "Any", "1", "any.yaml", "1" * 64, tuple(made))


ANSWERS = {
    AskYesNo: ["yes", "no"],
    AskChoice: ["oak", "birch", "cherry"],
    AskValue: ["seven", "twelve"],
}


def answer(data: st.DataObject, talk: Talk) -> None:
    """Do what somebody does who answers everything, in one way or another."""
    step = talk.state.step
    if talk.phase is Phase.WAIT:
        talk.time_up()
    elif talk.phase is Phase.CONFIRM:
        talk.hear("yes")
    elif talk.phase in (Phase.BUSY, Phase.MEND):
        if step.remind and talk.phase is Phase.BUSY:
            talk.send(ReminderDue())
        talk.hear("ready")
    elif step.id == "width":
        talk.hear(data.draw(st.sampled_from(["inch and a quarter", "half an inch"])))
    elif step.id == "mode":
        talk.hear(data.draw(st.sampled_from(["film tearing", "clean peel"])))
    else:
        talk.hear(data.draw(st.sampled_from(ANSWERS[type(step)])))


def begun(procedure: Procedure, lines=(), today: Today | None = None) -> Talk:
    """Return a talk at noon, where nobody sleeps."""
    known = (today or Today()).knowing(procedure)
    talk = Talk(procedure, NEVER_SLEEPS, lines=lines, today=replace(known, now=NOON))
    talk.now = NOON
    return talk


def told(procedure: Procedure, lines) -> Today:
    """Return the shift that these lines tell of."""
    today = Today().knowing(procedure)
    for line in lines:
        today = today.after(line.kind, line.fields, line.seq, NOON)
    return today


@settings(max_examples=150, deadline=None)
@given(data=st.data(), procedure=procedures())
def test_any_flow_ends_and_resumes_where_it_stood(data, procedure):
    """It comes to its end or to the stop of a cap, and each line leads back to the same step."""
    note("\n".join(str(step) for step in procedure.steps))
    talk = begun(procedure)
    stood = []
    for _ in range(MOST_EVENTS):
        stood.append((len(talk.lines), talk.at, talk.state.progress))
        if talk.finished:
            break
        assert talk.listening is None or grammar_for(talk.state)
        answer(data, talk)

    assert talk.finished
    assert talk.lines[-1].kind == "ended" or talk.lines[-1].fields["because"] == "at-most"
    some = data.draw(st.lists(st.sampled_from(stood), max_size=6)) if stood else []
    for count, at, progress in some:
        lines = talk.lines[:count]
        if lines[-1].kind in ("ended", "stopped"):
            continue
        again = begun(procedure, lines, told(procedure, lines))
        assert again.at == at
        assert again.state.progress == progress


@settings(max_examples=100, deadline=None)
@given(data=st.data(), procedure=procedures())
def test_any_line_may_be_the_last(data, procedure):
    """Broken off behind any line, also between two of one turn, a run goes on and ends."""
    talk = begun(procedure)
    for _ in range(MOST_EVENTS):
        if talk.finished:
            break
        answer(data, talk)
    cut = data.draw(st.integers(1, len(talk.lines)))
    lines = talk.lines[:cut]
    if lines[-1].kind == "ended":
        return
    again = begun(procedure, lines, told(procedure, lines))
    for _ in range(MOST_EVENTS):
        if again.finished:
            break
        answer(data, again)

    assert again.finished
