"""Every fault that is found when a checklist is loaded: where it is, and what is said of it."""

from __future__ import annotations

import re

import pytest
from support.checklists import GOOD, broken

from assistant.errors import ProcedureProblem
from assistant.procedure.loader import load_job, load_procedure, load_procedures

# Old text, new text in its place, line of the fault, words of the message.
BREAKS = [
    # What YAML readers disagree about.
    ('hoped: "yes"', "hoped: yes", 13, ["'hoped'", "yes without quotes", 'Write "yes" in quotes']),
    ('hoped: "yes"', "hoped: off", 13, ["'hoped'", 'Write "off" in quotes']),
    ('answer: "no"', "answer: no", 35, ["'answer'", 'Write "no" in quotes']),
    ('version: "1"', "version: 1.50", 3, ["'version'", 'Write "1.50" in quotes']),
    ('version: "1"', "version: 010", 3, ["'version'", 'Write "010" in quotes']),
    ('version: "1"', "version: 1e3", 3, ["'version'", 'Write "1e3" in quotes']),
    ('version: "1"', "version: 2024-05-01", 3, ["'version'", 'Write "2024-05-01" in quotes']),
    ("wait: 10 min", "wait: 1:30", 49, ["'wait'", "such as 90 s"]),
    ("      none:", "      no:", 45, ["'no'", 'Write "no" in quotes']),
    ("    until: done", "    tell: Twice.", 8, ["'tell'", "second time (first in line 7)"]),
    ("    until: done", "\tuntil: done", 8, ["a tab", "Write spaces"]),
    ("title: Small", "title: Small: big", 2, ["second colon", "Write quotes"]),
    ("title: Small", 'title: "Small', 3, ["quote is missing", "line above"]),
    ("say: Let it cool.", 'say: "Let it cool.', 50, ["not closed", "one quote at each end"]),
    ("[partly]", "[partly", 21, ["bracket", "closing bracket"]),
    ("    answer: choice\n", "   answer: choice\n", 17, ["indented", "same number of spaces"]),
    ("title: Small", "title: &t Small", 2, ["'&t'", "Write the text without it"]),
    ("title: Small", "title: !!str Small", 2, ["tag", "without the tag"]),
    ("title: Small", "<<: {title: Small}", 2, ["'<<'", "copies other keys"]),
    ("limits:", "---\nlimits:", 4, ["second document", "one checklist in each file"]),
    # Keys.
    ("why: It is", "wyh: It is", 9, ["'wyh'", "no such key", "Write why"]),
    ("    until: done", "    untill: done", 8, ["'untill'", "Write until"]),
    ("    until: done", '    hoped: "yes"', 8, ["'hoped'", "a tell step has no such key"]),
    ("title: Small\n", "", 1, ["'title'", "lacks this key", "Write title: Finish weld"]),
    ("tell: Set", "tel: Set", 7, ["'tel'", "Write tell"]),
    ("    tell: Set the dial.\n", "", 6, ["does not say what it does", "Write one of tell:"]),
    ("    until: done", "    wait: 90 s", 8, ["'wait'", "one thing", "Write two steps"]),
    ("    hoped:", "    hopped:", 13, ["'hopped'", "Write hoped"]),
    ("    unit: in\n", "", 22, ["'unit'", "lacks this key"]),
    ("limits:", "limit:", 4, ["'limit'", "Write limits"]),
    ("rule: 1/16 in", "rule: 1/16 in, max: 2 in", 4, ["'max'", "'limits' has no such key"]),
    # Kinds.
    ('version: "1"', "version: 1", 3, ["'version'", "the number 1", 'Write version: "1"']),
    ("title: Small", "title: [Small]", 2, ["'title'", "a list stands where text belongs"]),
    ("title: Small", "title:", 2, ["'title'", "nothing stands where text belongs"]),
    ("title: Small", "title: true", 2, ["'title'", "the switch true"]),
    ("until: done", "until: later", 8, ["'until'", "'later' is not one of done"]),
    ("answer: yes-no", "answer: maybe", 12, ["'answer'", "'maybe' is not one of yes-no"]),
    ("answer: yes-no", "answer: null", 12, ["'answer'", "nothing stands where text"]),
    ("{say: Clean it., then: again}", "again", 14, ["'otherwise'", "Write otherwise: {say"]),
    ("  - id: dial\n", "  - dial\n  - id: dial\n", 6, ["the text 'dial'", "a step belongs"]),
    ("[clean peel]", "clean peel", 20, ["'clean-peel'", "not a list"]),
    ("[clean peel]", "[]", 20, ["'clean-peel'", "not a list"]),
    ("[clean peel]", "[12]", 20, ["'clean-peel'", "the number 12 is not a phrase"]),
    # Ids.
    ("id: roller", "id: Roller Check", 10, ["'Roller Check'", "Write roller-check"]),
    ("id: roller", "id: clean_roller", 10, ["'clean_roller'", "Write clean-roller"]),
    ("id: roller", "id: dial", 10, ["'dial' is already the id", "line 6"]),
    ("id: roller", "id: go-on", 10, ["'go-on' already means something"]),
    ("procedure: small", "procedure: Small One", 1, ["'procedure'", "Write small-one"]),
    # Words to speak.
    ("Set the dial.", "Set it near 7.", 7, ["'tell'", "'7' is a figure", "values in words"]),
    ("Set the dial.", "Weld ½ inch.", 7, ["'½' is a figure"]),
    ("Set the dial.", "Heat & roll.", 7, ["'&' is a sign", "in words"]),
    ("Set the dial.", '""', 7, ["'tell'", "empty"]),
    ("Set the dial.", '"..."', 7, ["'tell'", "no word"]),
    ("It is only a start.", "About 50% heat.", 9, ["'why'", "'5' is a figure"]),
    ("say: Clean it.", "say: Clean it by 9", 14, ["'say'", "'9' is a figure"]),
    ("called: width", "called: width 1", 28, ["'called'", "'1' is a figure"]),
    # Answers.
    ("[clean peel]", "[clean peel, partly]", 21, ["'partly'", "both 'clean-peel' and 'partly'"]),
    ("[partly]", "[partly, partly]", 21, ["'partly' stands here twice"]),
    ("[clean peel]", "[stop]", 20, ["'stop' holds 'stop'", "Write other words"]),
    ("[clean peel]", "[no film left]", 20, ["holds 'no'"]),
    ("[clean peel]", "[let us go back now]", 20, ["holds 'go back'"]),
    ("[clean peel]", "[Clean peel]", 20, ["lower-case words"]),
    ("[clean peel]", '["clean  peel"]', 20, ["single spaces"]),
    ("[clean peel]", '["peel 1"]', 20, ["lower-case words"]),
    # Measures and times.
    ("least: 1 in", "least: 2 in", 4, ["'least'", "not less than 'most'"]),
    ("least: 1 in", "least: 1", 4, ["'least'", "the number 1", "Write least: 1 in"]),
    ("least: 1 in", "least: 0 in", 4, ["'least'", "nought"]),
    ("least: 1 in", "least: -1 in", 4, ["'least'", "not a number with a unit"]),
    ("least: 1 in", "least: 2.5 cm", 4, ["'cm' is not a unit"]),
    ("least: 1 in", "least: one in", 4, ["not a number with a unit"]),
    ("most: 1 1/2 in", "most: 1 3/2 in", 4, ["fraction that is not less than one"]),
    ("most: 1 1/2 in", "most: 1 1/0 in", 4, ["divides by nought"]),
    ("most: 1 1/2 in", "most: 1.5in", 4, ["one space before the unit"]),
    ("most: 1 1/2 in", 'most: 1 1/2"', 4, ["one space before the unit"]),
    ("rule: 1/16 in", "rule: 3 in", 4, ["'rule'", "smallest mark"]),
    ("from: 1/4 in", "from: 3 in", 26, ["'from' is more than 'to'", "smaller value"]),
    ("from: 1/4 in", "from: 1 in", 26, ["1 in to 1 1/2 in do not lie inside this window"]),
    ("to: 2 1/2 in", "to: 1 1/4 in", 26, ["do not lie inside this window"]),
    ("from: 1/4 in", "from: 1/4", 26, ["'from'", "has no unit"]),
    ("wait: 10 min", "wait: 0 min", 49, ["'wait'", "nought"]),
    ("wait: 10 min", "wait: 13 h", 49, ["'wait'", "at most 12 h"]),
    ("wait: 10 min", "wait: 10", 49, ["'wait'", "the number 10", "Write wait: 10 min"]),
    ("wait: 10 min", "wait: 0.3 s", 49, ["'wait'", "whole seconds"]),
    ("wait: 10 min", "wait: 10 days", 49, ["'days' is not a unit of time"]),
    ("patience: 1.2 s", "patience: 2 min", 27, ["'patience'", "at most 10 s"]),
    # What steps say about each other.
    ("then: again", "then: rollers", 14, ["no step 'rollers'", "Write roller"]),
    ("then: again", "then: width", 14, ["'width' comes later", "only-if"]),
    ("then: again", "then: roller", 14, ["this step itself", "then: again"]),
    ("{step: whole,", "{step: hole,", 35, ["'step'", "no step 'hole'", "Write whole"]),
    ("{step: whole,", "{step: cool,", 35, ["'cool' does not come before"]),
    ("{step: whole,", "{step: dial,", 35, ["'dial' is not a question with answer"]),
    ('answer: "no"}', "answer: perhaps}", 35, ["'perhaps' is never the answer"]),
    ("{width: width,", "{width: weidth,", 52, ["no step 'weidth'", "Write width"]),
    ("{width: width,", "{width: failure,", 52, ["'failure' is not a question with answer"]),
    ("mode: failure", "mode: roller", 52, ["'mode'", "'roller' is not a question with"]),
    ("solid: solid", "solid: width", 52, ["same question as the width"]),
    ("heat: marks", "heat: failure", 18, ["'film-tearing' is not an answer that can be judged"]),
    ("{go-to: dial,", "{go-to: cool,", 53, ["'cool' comes after an answer that is judged"]),
    ("{go-to: dial,", "{go-to: verdict,", 53, ["does not come before this one"]),
    ("      partly: [partly]\n", "", 18, ["'partly' is missing", "partly: and its phrases"]),
    ("clean-peel: [", "clean-peal: [", 18, ["'clean-peal' is not an answer", "clean-peel"]),
    ("bleed-out: [", "bleeding: [", 44, ["'bleeding' is not an answer that can be judged as heat"]),
    ("  - id: width\n", '  - id: width\n    only-if: {step: roller, answer: "yes"}\n', 53,
     ["'width' may be left out"]),
    ("    judge:", '    only-if: {step: whole, answer: "yes"}\n    judge:', 52,
     ["never left out"]),
    ("limits: {least: 1 in, most: 1 1/2 in, rule: 1/16 in}\n", "", 1, ["'limits'", "judges"]),
]  # fmt: skip


def problem_of(tmp_path, text: str | bytes) -> str:
    """Return what is said of a checklist with this text."""
    path = tmp_path / "broken.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(ProcedureProblem) as caught:
        load_procedure(path)
    return str(caught.value)


def test_there_is_nothing_wrong_with_the_checklist_that_is_broken_below(tmp_path):
    """The checklist that the rows break loads as it is."""
    path = tmp_path / "good.yaml"
    path.write_text(GOOD, encoding="utf-8")

    assert len(load_procedure(path).steps) == 9


@pytest.mark.parametrize(("old", "new", "line", "words"), BREAKS)
def test_a_fault_is_told_with_its_line_and_what_to_write(tmp_path, old, new, line, words):
    """Each fault names file, line and key, and says what to write instead."""
    told = problem_of(tmp_path, broken(old, new)).splitlines()
    here = [one for one in told if re.match(rf"broken\.yaml, line {line}[,:]", one)]

    assert here, told
    for word in words:
        assert any(word in one for one in here), (word, told)
    assert all(". Write " in one and one.endswith(".") for one in told)


ASKED = "procedure: p\ntitle: P\nversion: v\nsteps:\n- id: a\n  ask: How much?\n  answer: value\n"
WHOLE_FILES = [
    ("", 1, ["the file holds nothing"]),
    ("# only a comment\n", 1, ["the file holds nothing"]),
    ("- a\n- b\n", 1, ["does not begin with a key"]),
    ("just words\n", 1, ["does not begin with a key"]),
    ("a: 1\nb: " + "[" * 40 + "]" * 40, 2, ["too deep"]),
    (b"a: 1\nb: \xff\n", 2, ["UTF-8"]),
    (b"a: 1\nb: \x07\n", 2, ["control character"]),
    ("a: *x\n", 1, ["'*x' copies another place"]),
    ('a: "\\UFFFFFFFF"\n', 1, ["is no letter"]),
    ("a: " + "x" * 300_000, 1, ["larger than 256 kilobytes"]),
    ("12: a\n", 1, ["a key must be text"]),
    ("? [a, b]\n: c\n", 1, ["as a key"]),
    ("procedure: p\ntitle: P\nversion: v\nsteps: []\n", 4, ["'steps'", "the list is empty"]),
    ("procedure: p\ntitle: P\nversion: v\nsteps: none\n", 4, ["where a list belongs"]),
    ("procedure: p\ntitle: P\nversion: v\nlimits: {least: 1 in, most: 2 in, rule: 1/16 in}\n"
     "steps: [{id: a, tell: Hello.}]\n", 4, ["no judge step uses these limits"]),
    ("procedure: p\ntitle: P\nversion: v\nsteps:\n- id: a\n  ask: What?\n  answer: choice\n"
     "  choices: {one: [one]}\n", 8, ["at least two answers"]),
    ("procedure: p\ntitle: P\nversion: v\nsteps:\n- id: a\n  ask: Seam?\n  answer: value\n"
     "  unit: number\n  plausible: {from: 0, to: 9}\n  called: seam\n", 9, ["not above nought"]),
    ("procedure: p\ntitle: P\nversion: v\nsteps:\n- id: a\n  ask: Seam?\n  answer: value\n"
     "  unit: number\n  plausible: {from: 1 in, to: 9}\n  called: seam\n", 9, ["whole number"]),
    ("procedure: p\ntitle: P\nversion: v\nsteps:\n- id: a\n  ask: Seam?\n  answer: value\n"
     "  unit: number\n  plausible: {from: true, to: 9}\n  called: seam\n", 9, ["the switch true"]),
    (f"{ASKED}  unit: F\n", 8, ["'F' is not a unit of a question without 'of'"]),
    (f"{ASKED}  of: wnid\n  unit: mph\n", 8, ["'wnid' is not one of air-temperature"]),
    (f"{ASKED}  of: wind\n  unit: F\n", 9, ["'F' is not a unit of 'wind'", "unit: mph or"]),
    (f"{ASKED}  of: wind\n  unit: in\n", 9, ["'in' is not a unit of 'wind'"]),
    (f"{ASKED}  of: wind\n", 5, ["'unit'", "lacks this key"]),
    (f"{ASKED}  of: dial\n  unit: mark\n  plausible: {{from: 9 mark, to: 1 mark}}\n", 10,
     ["'from' is more than 'to'"]),
    (f"{ASKED}  of: dial\n  unit: mark\n  plausible: {{from: 1 F, to: 9 mark}}\n", 10,
     ["'F' is not the unit that is asked for here", "from: 1 mark"]),
    (f"{ASKED}  of: dial\n  unit: mark\n  plausible: {{from: 1, to: 9 mark}}\n", 10,
     ["the number 1 stands where text belongs"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "words"), WHOLE_FILES)
def test_a_file_that_is_no_checklist_is_told_as_such(tmp_path, text, line, words):
    """Files that are wrong as a whole are refused with a line as well."""
    told = problem_of(tmp_path, text)

    assert f"broken.yaml, line {line}" in told
    for word in words:
        assert word in told


def test_all_faults_of_a_file_are_told_together_in_the_order_of_the_file(tmp_path):
    """Three mistakes in one file make three lines, first mistake first."""
    text = GOOD.replace("until: done", "until: never")
    text = text.replace("then: again", "then: nowhere").replace("wait: 10 min", "wait: 0 s")
    told = problem_of(tmp_path, text).splitlines()

    assert [one.split(",")[1] for one in told] == [" line 8", " line 14", " line 49"]


VALUES = ("", "~", "7", "-1", "true", "[]", "{}", "[a, b]", "{a: b}", "x", "1 in", '"yes"')


@pytest.mark.parametrize("line", range(GOOD.count("\n")))
def test_no_single_change_gets_past_the_loader_in_another_way(tmp_path, line):
    """With a line left out, doubled or given another value, a file loads or is refused in words."""
    lines = GOOD.splitlines()
    key = lines[line].partition(":")[0]
    rows = [[], [lines[line]] * 2, *([f"{key}: {value}"] for value in VALUES)]
    path = tmp_path / "changed.yaml"
    for row in rows:
        path.write_text("\n".join([*lines[:line], *row, *lines[line + 1 :]]), encoding="utf-8")
        try:
            procedure = load_procedure(path)
        except ProcedureProblem as problem:
            told = str(problem).splitlines()

            assert all(
                re.match(r"changed\.yaml, line \d+.*: .+\. Write .+\.$", one) for one in told
            )
        else:
            assert all(step.id for step in procedure.steps)


def test_a_choice_may_hold_a_word_that_only_begins_like_a_command(tmp_path):
    """A phrase holds a command only as a whole word: none is not no."""
    path = tmp_path / "good.yaml"
    path.write_text(broken("[clean peel]", "[none holding, unstopped]"), encoding="utf-8")

    assert load_procedure(path).steps[2].choices[1].said == ("none holding", "unstopped")


def test_the_caller_may_reserve_other_phrases(tmp_path):
    """Phrases that the caller reserves cannot be answers."""
    path = tmp_path / "good.yaml"
    path.write_text(GOOD, encoding="utf-8")

    with pytest.raises(ProcedureProblem, match="'partly' holds 'partly'"):
        load_procedure(path, reserved=frozenset({"partly"}))


def test_a_file_that_is_not_there_is_told_by_name(tmp_path):
    """A missing file is named, with what to look at."""
    with pytest.raises(ProcedureProblem, match=r"none\.yaml: this file cannot be read .* Check"):
        load_procedure(tmp_path / "none.yaml")


def test_a_folder_tells_the_faults_of_all_its_files(tmp_path):
    """Faults of two files are told together, and a third good file does not hide them."""
    (tmp_path / "a.yaml").write_text(broken("until: done", "until: x"), encoding="utf-8")
    (tmp_path / "b.yml").write_text(broken("wait: 10 min", "wait: 0 s"), encoding="utf-8")
    (tmp_path / "c.yaml").write_text(GOOD, encoding="utf-8")

    with pytest.raises(ProcedureProblem, match=r"a\.yaml, line 8.*\nb\.yml, line 49"):
        load_procedures(tmp_path)


def test_two_checklists_of_one_name_are_refused(tmp_path):
    """Two files of a folder cannot be the same checklist."""
    for name in ("a.yaml", "b.yaml"):
        (tmp_path / name).write_text(GOOD, encoding="utf-8")

    with pytest.raises(ProcedureProblem, match=r"b\.yaml.*'small' is already the name of a\.yaml"):
        load_procedures(tmp_path)


def test_an_empty_folder_and_no_folder_are_refused(tmp_path):
    """A folder without checklists is a fault, and so is one that is not there."""
    with pytest.raises(ProcedureProblem, match="no checklist is here"):
        load_procedures(tmp_path)
    with pytest.raises(ProcedureProblem, match="cannot be read"):
        load_procedures(tmp_path / "none")


JOB_BREAKS = [
    ("wleder: A. Lee\n", ["line 1, key 'wleder'", "Write welder"]),
    ("name: Hall\ngun: 3\n", ["line 2, key 'gun'", 'Write gun: "3" in quotes']),
    ("name: Hall\narea:\n", ["line 2, key 'area'", "nothing stands where text belongs"]),
    ('name: Hall\nsheet: ""\n', ["line 2, key 'sheet'", "empty"]),
    ("name: Hall\nname: Barn\n", ["line 2, key 'name'", "second time"]),
    ("- name\n", ["does not begin with a key"]),
]


@pytest.mark.parametrize(("text", "words"), JOB_BREAKS)
def test_a_job_file_is_read_as_strictly(tmp_path, text, words):
    """A fault of a job file names its line and key too."""
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ProcedureProblem) as caught:
        load_job(path)

    for word in words:
        assert word in str(caught.value)


def test_a_job_file_gives_only_what_it_says(tmp_path):
    """Keys that a job file leaves out stay left out: nothing is invented for them."""
    path = tmp_path / "job.yaml"
    path.write_text("name: Hall roof, east\ngun: '3'\n", encoding="utf-8")

    assert load_job(path) == {"name": "Hall roof, east", "gun": "3"}
