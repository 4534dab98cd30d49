"""What comes in from outside may be anything: it is told in a sentence, and harms nothing."""

from __future__ import annotations

import io
import os
import stat
import struct
import tracemalloc
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.gathered import copied, device, merged, tree
from support.records import scribe

from assistant.cli import main
from assistant.errors import UsageProblem
from assistant.gather import limits, zipped
from assistant.record import disk

MEGABYTE = 1 << 20


@pytest.fixture(scope="module", autouse=True)
def _no_waiting_for_the_disk():
    """Let nothing wait for the disk: what is believed is at stake here, not whether it lasts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(disk.Disk, "sync", lambda *_: None)
        patch.setattr(disk.Disk, "sync_folder", lambda *_: None)
        yield


def packed(path: Path, files: dict[str, bytes], **how: int) -> Path:
    """Write a zip file."""
    with zipfile.ZipFile(path, "w", how.get("way", zipfile.ZIP_DEFLATED)) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def files_of(folder: Path, under: str = "shift") -> dict[str, bytes]:
    """Return a record's files as they stand in a zip."""
    return {
        f"{under}/{path.relative_to(folder).as_posix()}": path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def told(tmp_path: Path, source: Path) -> str:
    """Gather a source, and return what was said; nothing may lie outside the job folder."""
    before = {path for path in tmp_path.rglob("*") if "job" not in path.parts}
    report = merged(tmp_path / "job", source)
    after = {path for path in tmp_path.rglob("*") if "job" not in path.parts}
    assert before == after
    return " ".join(report.lines())


def test_a_zip_is_as_good_as_its_folder(tmp_path):
    """A record comes out of a zip just as out of its folder, wherever it lies in it."""
    folder = device(tmp_path / "a", tests=2)
    for number, under in enumerate(("", "deep/down/shift")):
        files = {name.lstrip("/"): data for name, data in files_of(folder, under).items()}
        merged(tmp_path / str(number), packed(tmp_path / f"{number}.zip", files))
    merged(tmp_path / "plain", folder)

    assert tree(tmp_path / "0") == tree(tmp_path / "1") == tree(tmp_path / "plain")


@pytest.mark.parametrize(
    "name",
    [
        "../../record.jsonl",
        "/etc/record.jsonl",
        "shift/../../record.jsonl",
        "C:\\shift\\record.jsonl",
        "..\\record.jsonl",
        "c:/record.jsonl",
    ],
)
def test_names_that_lead_out(tmp_path, name):
    """A name that points out of the zip is left out and told."""
    record = (device(tmp_path / "a") / "record.jsonl").read_bytes()
    path = packed(tmp_path / "x.zip", {name: record})

    assert "points out of its folder" in told(tmp_path, path)
    assert not list((tmp_path / "job").rglob("record.jsonl"))


def test_clip_names_that_lead_out(tmp_path):
    """A clip name in a line that leads elsewhere is never opened nor written."""
    (tmp_path / "secret").write_bytes(b"secret")
    with scribe(tmp_path / "a") as writer:
        writer.begin()
        for name in ("../../secret", "/etc/hostname", "..", "con", "a" * 5000, "\0"):
            writer.value("width", "inch", "1", clip=name)
    told(tmp_path, tmp_path / "a")
    names = [path.name for path in (tmp_path / "job").rglob("*") if path.is_file()]

    assert sorted(names) == ["gather.lock", "record.jsonl"]


def test_zip_of_death(tmp_path):
    """A mass of noughts packed small is refused before it is unpacked, at little memory."""
    path = tmp_path / "x.zip"
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
        archive.open("shift/record.jsonl", "w", force_zip64=True) as file,
    ):
        for _ in range(64):
            file.write(bytes(MEGABYTE))
    tracemalloc.start()
    said = told(tmp_path, path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert "packed smaller than a record can be" in said
    assert peak < 16 * MEGABYTE


def test_zip_that_lies_about_sizes(tmp_path):
    """A header that gives a smaller size than what comes out lets out no more than it says."""
    content = bytes(4 * MEGABYTE)
    path = packed(tmp_path / "x.zip", {"shift/record.jsonl": content})
    data = path.read_bytes().replace(struct.pack("<L", len(content)), struct.pack("<L", 100))
    path.write_bytes(data)

    assert "damaged in the zip file" in told(tmp_path, path)


def test_all_that_comes_out_of_a_zip_is_bounded(tmp_path, monkeypatch):
    """Many large clips together come up against a limit as well."""
    folder = device(tmp_path / "a", tests=4)
    monkeypatch.setattr(zipped, "_FREE", 1000)
    monkeypatch.setattr(zipped, "_PER_BYTE", 0)
    path = packed(tmp_path / "x.zip", files_of(folder))

    assert "is too large to be one" in told(tmp_path, path)


@pytest.mark.parametrize("way", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_other_ways_of_packing(tmp_path, way):
    """Ways of packing whose burst cannot be bounded are not opened."""
    path = packed(tmp_path / "x.zip", files_of(device(tmp_path / "a")), way=way)

    assert "plain zip only" in told(tmp_path, path)


def test_zip_in_a_zip_and_links(tmp_path):
    """A zip in a zip stays shut, a link is not followed, and a name that is there twice is left."""
    record = (device(tmp_path / "a") / "record.jsonl").read_bytes()
    path = tmp_path / "x.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("inner.zip", b"PK")
        link = zipfile.ZipInfo("shift/record.jsonl")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")
        archive.writestr("two/record.jsonl", record)
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr("two/record.jsonl", record[:50])
    said = told(tmp_path, path)

    assert all(why in said for why in ("zip file inside", "is a link", "more than once"))
    assert not list((tmp_path / "job").rglob("record.jsonl"))


def test_locked_zip(tmp_path):
    """A file with a password is told."""
    path = packed(tmp_path / "x.zip", {"shift/record.jsonl": b"x"})
    data = bytearray(path.read_bytes())
    for head, place in ((b"PK\3\4", 6), (b"PK\1\2", 8)):
        data[data.index(head) + place] |= 1
    path.write_bytes(bytes(data))

    assert "locked with a password" in told(tmp_path, path)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.data())
def test_any_spoiled_zip(tmp_path_factory, data):
    """A zip with any byte changed or its end cut off gives sentences, never a trace of Python."""
    base = tmp_path_factory.mktemp("zip")
    whole = GOOD_ZIP if GOOD_ZIP else _make_good(base)
    spoiled = bytearray(whole)
    for _ in range(data.draw(st.integers(1, 4))):
        spoiled[data.draw(st.integers(0, len(spoiled) - 1))] = data.draw(st.integers(0, 255))
    path = base / "x.zip"
    path.write_bytes(bytes(spoiled[: data.draw(st.integers(1, len(spoiled)))]))
    try:
        report = merged(base / "job", path)
    except UsageProblem:
        return

    assert report.seen or report.refused


GOOD_ZIP = bytearray()


def _make_good(base: Path) -> bytearray:
    GOOD_ZIP.extend(packed(base / "good.zip", files_of(device(base / "a"))).read_bytes())
    return GOOD_ZIP


# ---- folders and lines


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


def test_a_full_disk_is_told(tmp_path, monkeypatch):
    """A disk that is full in the middle is told, and the next call makes it whole."""
    folder = device(tmp_path / "a", tests=3)
    good = copied(folder, tmp_path / "b")
    merged(tmp_path / "good", good)
    write = disk.Disk.write
    left = [2]

    def failing(self: disk.Disk, descriptor: int, data: bytes) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise OSError(28, "No space left on device")
        write(self, descriptor, data)

    monkeypatch.setattr(disk.Disk, "write", failing)
    assert main(["gather", str(folder), "--into", str(tmp_path / "job")]) == 7
    monkeypatch.undo()
    merged(tmp_path / "job", folder)

    assert tree(tmp_path / "job") == tree(tmp_path / "good")


def test_zip_of_nothing(tmp_path):
    """A zip without a record is told."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("photo.jpg", b"x")
    (tmp_path / "x.zip").write_bytes(buffer.getvalue())

    assert "There is no record in" in told(tmp_path, tmp_path / "x.zip")
