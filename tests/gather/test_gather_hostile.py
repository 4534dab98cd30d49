"""Zip files from outside may be anything: it is told in a sentence, and harms nothing."""

from __future__ import annotations

import io
import stat
import struct
import tracemalloc
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.gathered import device, merged, told, tree
from support.records import scribe

from assistant.errors import UsageProblem
from assistant.gather import zipped
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


def test_zip_of_nothing(tmp_path):
    """A zip without a record is told."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("photo.jpg", b"x")
    (tmp_path / "x.zip").write_bytes(buffer.getvalue())

    assert "There is no record in" in told(tmp_path, tmp_path / "x.zip")
