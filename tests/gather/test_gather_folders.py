"""Folders from outside may hold anything, and the disk may fail: it is told, and harms nothing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from support.gathered import copied, device, merged, more, told, tree

from assistant.cli import main
from assistant.errors import UsageProblem
from assistant.gather import limits
from assistant.record import disk

MEGABYTE = 1 << 20


@pytest.fixture(autouse=True)
def _no_waiting_for_the_disk(monkeypatch):
    """Let nothing wait for the disk: what is believed is at stake here, not whether it lasts."""
    monkeypatch.setattr(disk.Disk, "sync", lambda *_: None)
    monkeypatch.setattr(disk.Disk, "sync_folder", lambda *_: None)


def test_pipes_links_and_giants(tmp_path, monkeypatch):
    """A pipe is not waited for, a link not followed, a giant not read."""
    monkeypatch.setattr("assistant.gather.merge.MOST_RECORD", 1000)
    for name in ("pipe", "link", "giant", "folder"):
        (tmp_path / "all" / name).mkdir(parents=True)
    os.mkfifo(tmp_path / "all/pipe/record.jsonl")
    (tmp_path / "all/link/record.jsonl").symlink_to("/etc/passwd")
    (tmp_path / "all/giant/record.jsonl").write_bytes(bytes(5000))
    (tmp_path / "all/loop").symlink_to(tmp_path / "all")
    said = told(tmp_path, tmp_path / "all")

    for why in ("is no file", "is a link", "is too large to be one", "was not followed"):
        assert why in said


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\0" * 100,
        b"\xff\xfe\xfa\n",
        b"{}\n" * 10,
        b"[" * 100_000 + b"\n",
        b'{"seq":' + b"9" * 5000 + b"}\n",
        b'"' + b"x" * (2 * MEGABYTE) + b'"\n',
        b"no line",
        b"\n\n\n",
    ],
)
def test_nonsense_is_kept_apart(tmp_path, content):
    """What is no record is told, and never lies among the records."""
    (tmp_path / "a").mkdir()
    (tmp_path / "a/record.jsonl").write_bytes(content)
    report = merged(tmp_path / "job", tmp_path / "a")

    assert report.serious
    assert not list((tmp_path / "job/records").iterdir())
    kept = [path.read_bytes() for path in (tmp_path / "job").rglob("broken/*/record.jsonl")]
    assert kept in ([], [content])


def test_names_do_not_steer_the_terminal(tmp_path, capsys):
    """Control characters in names are not printed."""
    folder = tmp_path / "a\x1b[2J\u202eb"
    folder.mkdir()
    (folder / "record.jsonl").write_bytes(b"x\n")
    main(["gather", str(folder), "--into", str(tmp_path / "job")])
    said = capsys.readouterr().out

    assert "\x1b" not in said
    assert "\u202e" not in said


def test_nothing_there_is_written_over(tmp_path):
    """The folder of a single record is refused as a job folder, and stays as it is."""
    one, other = device(tmp_path / "a", 1), device(tmp_path / "b", 2)
    before = tree(one)
    with pytest.raises(UsageProblem, match="is the folder of one record"):
        merged(one, other)

    assert tree(one) == before


@pytest.mark.parametrize("source", ["nowhere", "file"])
def test_what_is_no_source(tmp_path, source):
    """A missing file or one of another sort gets a sentence."""
    (tmp_path / "file").write_bytes(b"hello")
    with pytest.raises(UsageProblem, match=r"does not exist|neither a folder nor a zip"):
        merged(tmp_path / "job", tmp_path / source)


def test_a_job_inside_what_is_gathered(tmp_path):
    """A job folder that lies in the folder that is gathered is passed over."""
    device(tmp_path / "a")
    merged(tmp_path / "job", tmp_path)
    once = tree(tmp_path / "job")

    assert dict(merged(tmp_path / "job", tmp_path).counts) == {"there": 1}
    assert tree(tmp_path / "job") == once


def test_shown():
    """A long name is shortened and keeps both ends."""
    found = limits.shown("a" * 500 + "end")

    assert len(found) < 130
    assert found.endswith("end")


# ---- a disk that fails


def failing(monkeypatch: pytest.MonkeyPatch, after: int, problem: BaseException) -> None:
    """Let the disk fail at one write or name, and half of what was written be there."""
    left = [after]

    def due() -> bool:
        left[0] -= 1
        return left[0] < 0

    write, rename = disk.Disk.write, disk.Disk.rename

    def writing(self: disk.Disk, descriptor: int, data: bytes) -> None:
        if due():
            write(self, descriptor, data[: len(data) // 2])
            raise problem
        write(self, descriptor, data)

    def renaming(self: disk.Disk, old: Path, new: Path) -> None:
        if due():
            raise problem
        rename(self, old, new)

    monkeypatch.setattr(disk.Disk, "write", writing)
    monkeypatch.setattr(disk.Disk, "rename", renaming)


class PowerCut(BaseException):
    """Everything ends here."""


def test_the_power_goes_at_every_step(tmp_path, monkeypatch):
    """Wherever it ends, no line that was gathered is lost, and the next call makes it whole."""
    folder = device(tmp_path / "a", tests=2)
    branch = more(copied(folder, tmp_path / "b"), "held")
    first = copied(folder, tmp_path / "first")
    more(folder)
    merged(tmp_path / "good", first, folder, branch)
    for step in range(100):
        job = tmp_path / f"job-{step}"
        merged(job, first)
        with monkeypatch.context() as patch:
            failing(patch, step, PowerCut())
            try:
                merged(job, folder, branch)
            except PowerCut:
                ended = True
            else:
                ended = False
        kept = b"".join(path.read_bytes() for path in job.rglob("record.jsonl"))
        assert (first / "record.jsonl").read_bytes() in kept
        merged(job, folder, branch)
        assert tree(job) == tree(tmp_path / "good")
        if not ended:
            break

    assert step > 5
    assert not ended


def test_a_full_disk_is_told(tmp_path, monkeypatch, capsys):
    """A disk that is full in the middle is told, and the next call makes it whole."""
    folder = device(tmp_path / "a", tests=3)
    merged(tmp_path / "good", folder)
    with monkeypatch.context() as patch:
        failing(patch, 2, OSError(28, "No space left on device"))
        assert main(["gather", str(folder), "--into", str(tmp_path / "job")]) == 7
    assert "no room left" in capsys.readouterr().err
    merged(tmp_path / "job", folder)

    assert tree(tmp_path / "job") == tree(tmp_path / "good")
