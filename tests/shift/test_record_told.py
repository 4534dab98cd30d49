"""What the disk does is said aloud, and a shift is closed with the letters of its end."""

from __future__ import annotations

import errno
import io
import random
from contextlib import redirect_stdout
from datetime import datetime, timezone
from pathlib import Path

import pytest
from support.crashes import FOLDER
from support.power_cut import ForgetfulDisk

from assistant.cli import main
from assistant.dialogue import lines
from assistant.errors import RecordBroken, RecordFull, RecordInUse, RecordProblem, RecordReadOnly
from assistant.mouth.scripted import ScriptedMouth
from assistant.record.journal import Record
from assistant.record.verify import verify
from assistant.shift_record import at_work, close_shift, open_record
from assistant.words.spelling import spelled


def now() -> datetime:
    """Return the time."""
    return datetime.now(timezone.utc)


def empty_disk() -> ForgetfulDisk:
    """Return a disk with nothing on it."""
    return ForgetfulDisk(random.Random(1))  # noqa: S311 - no secret


@pytest.mark.parametrize(
    ("number", "error", "said"),
    [
        (errno.ENOSPC, RecordFull, lines.RECORD_FULL),
        (errno.EROFS, RecordReadOnly, lines.RECORD_READ_ONLY),
        (errno.EACCES, RecordReadOnly, lines.RECORD_READ_ONLY),
        (errno.EIO, RecordProblem, lines.RECORD_REFUSED),
    ],
)
def test_disk_that_refuses_is_told_before_work(
    number: int, error: type[RecordProblem], said: str
) -> None:
    """At whichever step of opening the disk refuses, work does not start, and that is said."""
    disk = empty_disk()
    open_record(FOLDER, now, ScriptedMouth(), disk).close()
    for place in range(1, disk.done + 1):
        disk, mouth = empty_disk(), ScriptedMouth()
        disk.fail_at = {place: number}
        with pytest.raises(error):
            open_record(FOLDER, now, mouth, disk)

        assert mouth.said == [f"{said} {lines.CANNOT_START}"]


def test_record_in_use_is_told(tmp_path: Path) -> None:
    """Who starts a second Lapcall hears why it does not start."""
    mouth = ScriptedMouth()
    record = Record.open(tmp_path, now)
    with pytest.raises(RecordInUse, match=r"process [0-9]+"):
        open_record(tmp_path, now, mouth)
    record.close()

    assert mouth.said == [f"{lines.RECORD_IN_USE} {lines.CANNOT_START}"]


def test_changed_record_is_told(tmp_path: Path) -> None:
    """Nothing is written after a changed line, and that is said."""
    mouth = ScriptedMouth()
    (tmp_path / "record.jsonl").write_bytes(b"hello\n")
    with pytest.raises(RecordBroken):
        open_record(tmp_path, now, mouth)

    assert mouth.said == [f"{lines.RECORD_BROKEN} {lines.CANNOT_START}"]


def test_sudden_end_is_told(tmp_path: Path) -> None:
    """Who comes back after a sudden end hears that what was confirmed is kept."""
    mouth = ScriptedMouth()
    (tmp_path / "record.jsonl").write_bytes(b'{"seq":')
    open_record(tmp_path, now, mouth).close()

    assert mouth.said == [lines.RECORD_CUT_SHORT]


def test_little_room_is_told() -> None:
    """A disk that may be full before evening is told in the morning."""
    mouth, disk = ScriptedMouth(), empty_disk()
    disk.free = 1000
    open_record(FOLDER, now, mouth, disk).close()

    assert mouth.said == [lines.RECORD_LITTLE_ROOM]


def test_close_that_fails_is_told() -> None:
    """A disk that fills up at the last line is told too."""
    mouth, disk = ScriptedMouth(), empty_disk()
    record = open_record(FOLDER, now, mouth, disk)
    disk.fail_at = {disk.done + 1: errno.ENOSPC}
    with pytest.raises(RecordFull) as told:
        close_shift(record, mouth)

    assert mouth.said == [at_work(told.value)]


def run(*argv: str) -> tuple[int, str]:
    """Run a command; return its exit code and what it printed."""
    out = io.StringIO()
    with redirect_stdout(out):
        code = main(argv)
    return code, out.getvalue()


@pytest.fixture(scope="module")
def stopped(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A rehearsal that was stopped: its folder, and what was said."""
    folder = tmp_path_factory.mktemp("stopped")
    script = folder / "said.txt"
    script.write_text("twelve\nyes\nstop\nstop\n", encoding="utf-8")
    _, out = run("rehearse", "finish-weld", "--from", str(script), "--record", str(folder))
    return folder, out


def test_shift_ends_with_its_letters(stopped: tuple[Path, str]) -> None:
    """The last line closes the shift, and its letters are the last that is said."""
    folder, out = stopped
    found = verify(folder)

    assert (found.problems, found.closed) == ((), True)
    assert out.splitlines()[-1].endswith(f"{lines.RECORD_CLOSED} {spelled(found.letters)}.")


@pytest.mark.parametrize("how", ["letters", "words", "hash", "end"])
def test_verify_takes_the_head_as_it_was_noted(stopped: tuple[Path, str], how: str) -> None:
    """Letters, their words, the hash or its end: each is found as the end of the record."""
    folder, _ = stopped
    found = verify(folder)
    known = {
        "letters": [found.letters.lower()],
        "words": spelled(found.letters).split(),
        "hash": [found.digest],
        "end": [found.head],
    }[how]
    code, out = run("verify", "--record", str(folder), "--head", *known)

    assert code == 0
    assert "as was noted." in out
    assert f"Its letters are {found.letters}: {spelled(found.letters)}." in out
    assert "The last line closes a shift." in out


def test_verify_misses_a_head(stopped: tuple[Path, str]) -> None:
    """A head that no line has makes the record one that is not whole."""
    code, out = run("verify", "--record", str(stopped[0]), "--head", "0" * 64)

    assert code == 7
    assert "No line ends in" in out


def test_verify_refuses_what_is_no_head(
    stopped: tuple[Path, str], capsys: pytest.CaptureFixture[str]
) -> None:
    """A word that is not of the alphabet is asked for again and not guessed."""
    code, _ = run("verify", "--record", str(stopped[0]), "--head", "alfa", "banana")

    assert code == 2
    assert "alfa banana cannot be the end of a record" in capsys.readouterr().err


def test_stopped_shift_goes_on_behind_its_close(stopped: tuple[Path, str]) -> None:
    """Work that goes on later the same day follows the closing line, and closes again."""
    folder, _ = stopped
    before = verify(folder)
    script = folder / "more.txt"
    script.write_text("stop\nstop\n", encoding="utf-8")
    _, out = run("rehearse", "finish-weld", "--from", str(script), "--record", str(folder))
    after = verify(folder, before.letters)

    assert lines.GOING_ON in out
    assert (after.problems, after.closed) == ((), True)
    assert f"Line {before.lines} ends in {before.letters}, as was noted." in after.notes[-1]


def test_review_spells_the_head(stopped: tuple[Path, str]) -> None:
    """The review prints the letters as the words that were spoken."""
    folder, _ = stopped
    found = verify(folder)
    _, out = run("review", "--record", str(folder))
    page = (folder / "review.html").read_text(encoding="utf-8")

    assert spelled(found.letters) in " ".join(out.split())
    assert spelled(found.letters) in page
    assert found.digest in page
