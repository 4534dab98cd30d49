"""The schema and the page of the format tell of all that is written, and of nothing else."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from support import crew
from support.checklists import SHIPPED
from support.records import MORNING, TickingClock, scribe
from support.short_strip import CHECKLIST
from support.talk import Talk

from assistant.day import Day
from assistant.dialogue.events import MicrophoneBack, MicrophoneLost
from assistant.dialogue.state import Phase, Settings
from assistant.ear.gate import FRAME_BYTES, Gate
from assistant.ear.ports import Clip, Heard
from assistant.ear.scripted import ScriptedEar
from assistant.mouth.scripted import ScriptedMouth
from assistant.procedure.loader import load_procedure, load_procedures
from assistant.record import kinds, older
from assistant.record.clips import is_name
from assistant.record.entry import GENESIS, OWN_KEYS, to_line
from assistant.record.journal import Record
from assistant.record.tidy import Rule, Then, carry_out, plan
from assistant.shift import Manner, Shift

HERE = Path(older.__file__).parent
SCHEMA = json.loads((HERE / "record.schema.json").read_text(encoding="utf-8"))
PAGE = (HERE / "FORMAT.md").read_text(encoding="utf-8")
PROCEDURES = load_procedures(SHIPPED)
VALID = Draft202012Validator(SCHEMA)
A, B = "a" * 64 + ".flac", "b" * 64 + ".wav"

VALUE = {
    "step": "width", "act": "value", "said": "inch shy", "answer": "1", "unit": "in",
    "width_in": "1", "called": "width", "hedge": "shy", "lean": "under", "read_back": "One inch?",
    "confirmed_by": "yes", "confirmed_clip": None, "confidence": 0.9, "clip": A,
}  # fmt: skip
EXAMPLES: dict[str, dict[str, object]] = {
    "began": {
        "procedure": "finish-weld", "title": "Finish weld", "version": "1", "digest": "ab" * 32,
        "detail": "standard", "rules": {"version": "1", "digest": "cd" * 32}, "software": "0.1.0",
        "rehearsal": False, "job": {"name": "Quill Street depot", "lot": "7714"},
    },
    "resumed": {"step": "width"},
    "done": {"step": "cool", "act": "wait", "said": None, "early": False},
    "answered": VALUE,
    "not-heard": {"step": "width", "act": "value", "said": ["[unk]", ""], "clips": [A]},
    "taken-back": {"step": "width", "entry": 3, "said": None, "reason": "hedge-decides"},
    "judged": {
        "step": "verdict", "outcome": "fail", "finding": "narrow", "reasons": ["Too narrow."],
        "width": "15/16", "said": "fifteen sixteenths", "hedge": None, "mode": "film-tearing",
        "solid": None, "heat": "none", "pull": None, "rule": "peel-strip 1", "from": [3, 4],
        "limits": {"least_in": "1", "most_in": "3/2", "rule_step_in": "1/16", "edges": 1},
        "clip": None,
    },
    "corrected": {**VALUE, "judged": 9, "entry": None, "asked_by": "change it", "reason": "asked"},
    "mark": {
        "step": "weld", "seam": "12", "what": "void", "position_ft": "25/2", "said": "mark a void",
        "said_at": "twelve and a half feet", "read_back": "A void?", "confirmed_by": "yes",
        "confirmed_clip": None, "confidence": 1, "clip": A, "clips": [B],
    },
    "mark-not-heard": {
        "step": "weld", "seam": None, "what": "void", "said": [""], "clips": [], "because": "quiet",
    },
    "note": {
        "step": None, "seam": None, "clip": A, "length_ms": 900, "said": None,
        "ended_by": "words", "damaged": False,
    },
    "event": {
        "step": "weld", "seam": None, "what": "changing", "part": "gun", "said": "changing the gun",
        "confidence": 0.8, "clip": None,
    },
    "held": {"step": "weld", "because": "asked"},
    "carried-on": {"step": "weld", "said": "carry on"},
    "stopped": {"step": "weld", "said": None},
    "ear-lost": {"step": "weld", "message": "It is gone."},
    "ear-back": {"step": "weld", "message": ""},
    "ended": {},
    "closed": {"lines": 7, "said": "stop"},
    "tidied": {"rule": "drop", "dropped": [A], "shortened": [{"clip": B, "now": A}]},
    "reviewed": {
        "about": 9, "by": "B. Ortiz", "decision": "test again", "reason": None, "head": "ef" * 32,
    },
    "drill-began": {"seed": 1, "count": 10},
    "drill-answered": {"question": "why-cold", "answer": None, "wanted": "dew", "right": None},
    "drill-taken-back": {"entry": 3},
    "drill-ended": {"right": 1, "asked": 2, "again": ["why-cold"]},
}  # fmt: skip
NO_RUN = {kinds.BEGAN, kinds.CLOSED, *kinds.AFTERWARDS, *kinds.DRILL}


def line(kind: str, fields: Mapping[str, object]) -> dict[str, object]:
    """Return a line as it stands in a file."""
    run = {} if kind in NO_RUN else {"run": 0}
    stored = to_line(0, MORNING, kind, {**run, **fields}, GENESIS, up_ms=0)
    found: dict[str, object] = json.loads(stored)
    return found


def faults(lines: Iterable[Mapping[str, object]]) -> list[str]:
    """Return what the schema says against lines."""
    return [
        f"{row.get('kind')}: {fault.message}" for row in lines for fault in VALID.iter_errors(row)
    ]


def test_schema_is_one():
    """The file is a JSON Schema, of the format that is written."""
    Draft202012Validator.check_schema(SCHEMA)

    assert SCHEMA["properties"]["v"] == {"description": "Format.", "const": older.FORMAT}
    assert set(SCHEMA["properties"]) == {*OWN_KEYS, "kind"} | OWN_KEYS


def test_every_kind_is_told():
    """Schema, page and examples know every kind of line, and no other."""
    told = re.findall(r"^### `([a-z-]+)`$", PAGE, re.MULTILINE)

    assert set(SCHEMA["properties"]["kind"]["enum"]) == kinds.ALL
    assert set(told) == kinds.ALL
    assert set(EXAMPLES) == kinds.ALL


@pytest.mark.parametrize("kind", sorted(kinds.ALL))
def test_page_tells_every_field(kind):
    """Under its heading the page tells each field that the schema allows, and no other."""
    section = re.split(r"^##", PAGE.split(f"### `{kind}`\n")[1], maxsplit=1, flags=re.MULTILINE)[0]
    told = set(re.findall(r"^\| `([a-z_]+)`", section, re.MULTILINE))

    assert told == set(SCHEMA["$defs"][kind]["properties"]) - {"run"}


@pytest.mark.parametrize("kind", sorted(kinds.ALL))
def test_each_kind_is_held_to_its_fields(kind):
    """A line of each kind passes; one with a field more, or without a field it needs, does not."""
    good = line(kind, EXAMPLES[kind])

    assert faults([good]) == []
    assert faults([{**good, "guess": 1}]) != []
    for name in (*SCHEMA["$defs"][kind]["required"], *SCHEMA["required"]):
        assert faults([{key: what for key, what in good.items() if key != name}]) != [], name


@pytest.mark.parametrize(
    ("kind", "wrong"),
    [
        ("answered", {"answer": "1.25"}),
        ("answered", {"clip": "../../etc/passwd"}),
        ("answered", {"act": "yes-no"}),
        ("judged", {"outcome": "fine"}),
        ("judged", {"corrects": 3}),
        ("judged", {"limits": {"least_in": "1"}}),
        ("mark", {"what": "hole"}),
        ("taken-back", {"reason": "because"}),
        ("tidied", {"shortened": [{"clip": A}]}),
    ],
)
def test_wrong_values_are_refused(kind, wrong):
    """The schema holds values, not only names."""
    assert faults([line(kind, {**EXAMPLES[kind], **wrong})]) != []


def test_record_of_a_rehearsal_is_as_told(tmp_path):
    """All that a shift writes through shell and record, with sound, and tidied later, validates."""
    (tmp_path / "short-strip.yaml").write_text(CHECKLIST, encoding="utf-8")
    procedure = load_procedure(tmp_path / "short-strip.yaml")
    folder = tmp_path / "record"
    strip = ["scrim showing", sound("inch and a quarter"), sound("yes"), "none"]
    script = [
        sound("twelve"), "yes", "ready", "no", "ready", "scratch that", "yes",
        sound("mark a void at nine feet"), "yes", "it is raining", "make a note", sound("[unk]"),
        "hold", "carry on", "done", *strip,
    ]  # fmt: skip
    change = ["change the last test", "how wide it was", sound("seven eighths"), sound("yes")]
    for said in (script, [*change, "twelve", "mumble", "hm", "mumble", "hm", "stop"], ["stop"]):
        record = Record.open(folder, TickingClock())
        shift = Shift(
            ScriptedEar(said), ScriptedMouth(), record, Manner(pretend_time=True, echo_tail_s=0)
        )
        shift.start()
        about = {"software": "0.1.0", "rehearsal": True, "job": {"name": "Quill Street depot"}}
        Day(shift, record, Settings(), about).work([procedure], None, fresh=False)
        record.close()
    later = MORNING + timedelta(days=99)
    record = Record.open(folder, TickingClock(later))
    rule = Rule(Then.DROP, failed_too=True, notes_too=True)
    carry_out(record, folder, plan(record.entries, later, rule), lambda pcm, _: pcm)
    record.close()
    rows = [json.loads(row) for row in (folder / "record.jsonl").read_bytes().splitlines()]
    seen = {row["kind"] for row in rows}

    assert faults(rows) == []
    assert seen >= {
        "began", "resumed", "done", "answered", "taken-back", "judged", "corrected", "mark", "note",
        "event", "held", "carried-on", "stopped", "ended", "tidied",
    }  # fmt: skip


@pytest.mark.parametrize("name", PROCEDURES)
@pytest.mark.parametrize(
    "who", [crew.all_well, crew.nothing_well, crew.mended_once, crew.never_heard]
)
def test_shipped_checklists_are_as_told(name, who):
    """Whatever a shipped checklist writes, well or badly answered or not heard, validates."""
    talk = crew.worked(PROCEDURES[name], who)
    rows = [
        line(each.kind, {"rehearsal": True, **each.fields} if each.kind == "began" else each.fields)
        for each in talk.lines
    ]

    assert rows
    assert faults(rows) == []


def sound(text: str) -> Heard:
    """Return something heard, with a recording of its own."""
    return Heard(text, confidence=0.9, clip=Clip(text.encode()[:2] * 4_000, 8_000))


SAID = [
    "seam twelve", "yes", "no", "ready", "done", "film tearing", "inch and a quarter", "inch shy",
    "seven eighths", "none", "mumble", "[unk]", "", "go back", "scratch that", "hold", "carry on",
    "mark a void at nine feet", "mark a void", "nine feet", "make a note", "it is raining",
    "changing the gun", "change the last test", "how wide it was", "okay lapcall", "stop",
]  # fmt: skip
GOOD = ["twelve", "yes", "ready", "yes", "done", "scrim showing", "inch and a quarter", "yes"]


@pytest.fixture(scope="module")
def short(tmp_path_factory):
    """The short checklist."""
    path = tmp_path_factory.mktemp("short") / "short-strip.yaml"
    path.write_text(CHECKLIST, encoding="utf-8")
    return load_procedure(path)


@settings(max_examples=120, deadline=None)
@given(
    well=st.integers(0, len(GOOD)),
    moves=st.lists(st.sampled_from([*SAID, "quiet", "time up", "lost"]), max_size=40),
    clip=st.sampled_from([None, A]),
)
def test_any_conversation_is_as_told(short, well, moves, clip):
    """Whatever is said, in whatever order, each line that comes of it validates."""
    talk = Talk(short)
    for move in [*GOOD[:well], *moves]:
        if talk.finished:
            break
        if move == "quiet":
            talk.quiet()
        elif move == "time up":
            if talk.phase is Phase.WAIT and talk.clock_s is not None:
                talk.time_up()
        elif move == "lost":
            talk.send(MicrophoneLost("It is gone.")).send(MicrophoneBack())
        else:
            talk.hear(move, clip=clip, confidence=0.93)
    about = {"rehearsal": True}
    rows = [
        line(each.kind, {**about, **each.fields} if each.kind == "began" else each.fields)
        for each in talk.lines
    ]

    assert faults(rows) == []


def test_example_of_the_page_checks(tmp_path):
    """A reader made by what the page says finds lines sound, and a changed byte."""
    with scribe(tmp_path) as made:
        made.begin()
        made.yes_no("power")
    rows = (tmp_path / "record.jsonl").read_bytes().split(b"\n")[:-1]

    assert [sound_as_told(row) for row in rows] == [True, True]
    assert not sound_as_told(rows[1].replace(b"yes", b"yea", 1))


def sound_as_told(row: bytes) -> bool:
    """Check a line in the page's own words: the last 74 bytes, a brace in their place."""
    import hashlib  # noqa: PLC0415 - nothing of ours

    return hashlib.sha256(row[:-74] + b"}").hexdigest() == json.loads(row)["sum"]


class Silence:
    """Hears speech where bytes are not zero."""

    def __call__(self, frame: bytes) -> float:
        """Return 1 for speech."""
        return float(any(frame))

    def reset(self) -> None:
        """Forget nothing."""


def test_recording_holds_the_utterance_and_a_small_margin():
    """Of long silence around speech no more is kept than the page says."""
    gate, spoken = Gate(Silence()), b"\1" * FRAME_BYTES * 20
    quiet = bytes(FRAME_BYTES * 60)
    kept = gate.push(quiet + spoken + quiet).clip.pcm
    before, _, behind = kept.partition(spoken)

    assert spoken in kept
    assert len(before) / 32_000 <= 0.32
    assert len(behind) / 32_000 <= 0.13
    assert "at most 0.32 s before the first speech that is found and 0.13 s behind" in PAGE


@pytest.mark.parametrize(
    "name", ["", "a", "../x.wav", A[:-5], A + "\n", A.upper(), A + "/..", "\0"]
)
def test_clip_names_lead_nowhere(name):
    """What is no name of a clip is none, whatever it looks like."""
    assert not is_name(name)
