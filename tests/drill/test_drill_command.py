"""`lapcall drill` from end to end: typed, and what it leaves in the record."""

from __future__ import annotations

from datetime import datetime, timezone
from pathlib import Path

import pytest
from support.drills import SHIPPED

from assistant import cli
from assistant.drill.loader import load_bank
from assistant.drill.model import Told
from assistant.drill.order import next_question
from assistant.drill.practice import answers
from assistant.record import kinds
from assistant.record.entry import Entry
from assistant.record.journal import FILE_NAME, Record
from assistant.record.state import open_run, runs
from assistant.record.verify import verify
from assistant.review.reading import read

ONE_LIST = Path(__file__).parents[2] / "checklists" / "next-seam.yaml"


def drill(folder: Path, script: list[str], *more: str) -> int:
    """Hold a drill with typed answers."""
    path = folder / "said.txt"
    path.write_text("\n".join(script) + "\n", encoding="utf-8")
    options = [str(ONE_LIST), "--from", str(path), "--record", str(folder / "record")]
    return cli.main(["drill", *options, "--seed", "1", *more])


def entries(folder: Path) -> tuple[Entry, ...]:
    """Return the lines of the record."""
    record = Record.open(folder / "record", lambda: datetime.now(timezone.utc))
    record.close()
    return record.entries


def test_a_drill_by_typed_answers_keeps_its_score(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Three unknown, and it says what to look at again; every line is sound."""
    assert drill(tmp_path, ["i do not know"] * 3, "--questions", "3") == 0
    found = entries(tmp_path)
    told = capsys.readouterr().out

    assert [entry.kind for entry in found] == [
        kinds.DRILL_BEGAN,
        *[kinds.DRILL_ANSWERED] * 3,
        kinds.DRILL_ENDED,
    ]
    assert (found[-1].fields["right"], found[-1].fields["asked"]) == (0, 3)
    assert "Zero of three right." in told
    assert "Look again at:" in told
    assert verify(tmp_path / "record").problems == ()


def test_every_question_can_be_walked_rightly(tmp_path: Path) -> None:
    """Who always gives the right answer goes through the whole bank with a full score."""
    bank = load_bank(SHIPPED)
    folder, total = tmp_path, len(bank.questions)
    seen: set[str] = set()
    rights = {one.id: one.answer.said[0] for one in bank.questions}
    for _ in range(12):
        before = len(answers(entries(folder), None)) if (folder / "record").exists() else 0
        script = _right_answers(folder, rights, 12)
        assert drill(folder, script, "--silent") == 0
        kept = answers(entries(folder), None)
        assert len(kept) == before + 12
        assert all(one.right for one in kept)
        seen |= {one.question for one in kept}
        if len(seen) == total:
            break

    assert seen == set(rights)


def _right_answers(folder: Path, rights: dict[str, str], count: int) -> list[str]:
    told = list(answers(entries(folder), None)) if (folder / "record").exists() else []
    script = []
    for _ in range(count):
        name = next_question(tuple(rights), told, 1)
        told.append(Told(name, True))
        script.append(rights[name])
    return script


def test_what_was_wrong_comes_first_next_time(tmp_path: Path) -> None:
    """The next drill begins with the questions that this one left open, for this learner alone."""
    drill(tmp_path, ["i do not know"] * 3, "--questions", "3", "--learner", "Ana")
    drill(tmp_path, ["i do not know"], "--questions", "1", "--learner", "Ana")
    drill(tmp_path, ["i do not know"], "--questions", "1", "--learner", "Ben")
    found = entries(tmp_path)
    ana = [one.question for one in answers(found, "Ana")]
    ben = [one.question for one in answers(found, "Ben")]

    assert ana[3] == ana[0]
    assert ben == [ana[0]]
    assert answers(found, None) == ()


def test_a_drill_is_no_work(tmp_path: Path) -> None:
    """In the folder of a shift too, no run, no walk and no strip comes of a drill."""
    drill(tmp_path, ["i do not know", "stop"])
    found = entries(tmp_path)
    review = read(tmp_path / "record").review

    assert (runs(found), open_run(found)) == ((), None)
    assert (review.walks, review.strips, review.not_heard, review.breaks) == ((), (), (), ())


def test_a_script_that_is_too_short_is_a_fault_and_a_stop_is_none(tmp_path: Path) -> None:
    """The exit code tells them apart; the score is kept in both."""
    assert drill(tmp_path, ["i do not know"]) == 1
    assert drill(tmp_path, ["i do not know", "stop"]) == 0
    ends = [entry for entry in entries(tmp_path) if entry.kind == kinds.DRILL_ENDED]

    assert [entry.fields["asked"] for entry in ends] == [1, 1]
    assert (tmp_path / "record" / FILE_NAME).exists()
