"""Writing a record: what is acknowledged lasts, what is broken is not built on."""

from __future__ import annotations

import errno
import hashlib
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile
from support.records import MORNING, TickingClock, scribe

from assistant.errors import RecordBroken, RecordFull, RecordInUse, RecordProblem
from assistant.record import chain
from assistant.record.clips import unpacked
from assistant.record.disk import Disk
from assistant.record.entry import GENESIS, digest, to_line
from assistant.record.journal import Record
from assistant.record.verify import verify


def opened(folder: Path) -> Record:
    """Open a record with a clock that ticks."""
    return Record.open(folder, TickingClock())


def stored(folder: Path) -> Path:
    """Return the file with the lines."""
    return folder / "record.jsonl"


def filled(folder: Path, lines: int = 3) -> Path:
    """Make a record of a few lines; return its file."""
    with scribe(folder) as made:
        made.begin()
        for number in range(lines - 1):
            made.yes_no(f"step-{number}")
    return stored(folder)


def test_entries_are_what_is_stored(tmp_path):
    """What ``append`` returns is what the next one to open the record reads."""
    with scribe(tmp_path / "new" / "shift") as made:
        written = [made.begin(), made.yes_no("power"), made.line("ended")]
        assert made.record.entries == tuple(written)
    again = opened(tmp_path / "new" / "shift")
    read = again.entries
    again.close()

    assert read == tuple(written)
    assert again.notes == ()
    assert [entry.seq for entry in read] == [0, 1, 2]


def test_chain_names_the_bytes_before(tmp_path):
    """Each line names the SHA-256 of the stored bytes before it; the first names zeros."""
    rows = filled(tmp_path).read_bytes().splitlines()
    names = [entry.prev for entry in chain.read(stored(tmp_path).read_bytes()).entries]

    assert names == [GENESIS, *(hashlib.sha256(row).hexdigest() for row in rows[:-1])]


def test_line_is_synced_before_it_is_acknowledged(tmp_path, monkeypatch):
    """Each line goes whole to the file and then to the disk before ``append`` returns."""
    events = []
    sync, write = Disk.sync, Disk.write
    monkeypatch.setattr(Disk, "sync", lambda d, fd: (events.append("sync"), sync(d, fd)))
    monkeypatch.setattr(Disk, "write", lambda d, fd, b: (events.append(b[-1:]), write(d, fd, b)))
    with scribe(tmp_path) as made:
        events.clear()
        made.begin()

        assert events == [b"\n", "sync"]


def test_second_writer_is_refused(tmp_path):
    """Two writers would fork the chain, so the second is told that the record is in use."""
    first = opened(tmp_path)
    with pytest.raises(RecordInUse, match="Another Lapcall"):
        opened(tmp_path)
    first.close()

    opened(tmp_path).close()


def test_second_process_is_refused(tmp_path):
    """The lock holds between processes, and goes when its holder dies."""
    code = (
        "import sys,pathlib,datetime\n"
        "from assistant.record.journal import Record\n"
        "Record.open(pathlib.Path(sys.argv[1]), datetime.datetime.now)\n"
        "print('open', flush=True); sys.stdin.read()"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", code, str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout.readline() == "open\n"
    with pytest.raises(RecordInUse):
        opened(tmp_path)
    child.kill()
    child.communicate()

    opened(tmp_path).close()


def test_closed_record_writes_nothing(tmp_path):
    """After ``close``, which may be called twice, nothing is written."""
    record = opened(tmp_path)
    record.close()
    record.close()

    with pytest.raises(RecordProblem, match="closed"):
        record.append("ended", {})


def test_unknown_kind_is_refused(tmp_path):
    """A kind that the format does not know is a mistake of the program."""
    with scribe(tmp_path) as made, pytest.raises(ValueError, match="no kind"):
        made.line("guessed")


# ---- torn and broken


@pytest.mark.parametrize("kept", [1, 40, -2])
def test_torn_line_is_set_aside(tmp_path, kept):
    """A line cut short is kept in a file of its own, and all before it stays whole."""
    path = filled(tmp_path)
    whole = path.read_bytes()
    torn = to_line(3, MORNING, "ended", {"run": 0}, digest(whole.splitlines()[-1]))[:kept]
    path.write_bytes(whole + torn)
    record = opened(tmp_path)
    record.append("ended", {"run": 0})
    record.close()

    assert (tmp_path / "record.torn-1").read_bytes() == torn
    assert path.read_bytes().startswith(whole)
    assert len(path.read_bytes().splitlines()) == 4
    assert "record.torn-1" in record.notes[0]
    assert verify(tmp_path).problems == ()
    assert "record.torn-1" in verify(tmp_path).notes[0]


def test_each_torn_line_is_kept(tmp_path):
    """A second torn line does not overwrite the first."""
    path = filled(tmp_path)
    for torn in (b'{"one', b'{"two'):
        path.write_bytes(path.read_bytes() + torn)
        opened(tmp_path).close()

    assert (tmp_path / "record.torn-1").read_bytes() == b'{"one'
    assert (tmp_path / "record.torn-2").read_bytes() == b'{"two'


def test_zeros_from_a_power_loss_are_set_aside(tmp_path):
    """A last line whose beginning never reached the disk is torn too, newline or not."""
    path = filled(tmp_path)
    whole = path.read_bytes()
    path.write_bytes(whole + b"\0" * 100 + b'"sum":"00"}\n')
    opened(tmp_path).close()

    assert path.read_bytes() == whole


def test_lost_newline_is_put_back(tmp_path):
    """A last line that lacks only its end was acknowledged, perhaps: it is kept."""
    path = filled(tmp_path)
    whole = path.read_bytes()
    path.write_bytes(whole[:-1])
    record = opened(tmp_path)
    entries = record.entries
    record.close()

    assert path.read_bytes() == whole
    assert len(entries) == 3
    assert record.notes


def broken_by_change(rows):
    """Change a letter of the second line."""
    rows[1] = rows[1].replace(b"yes", b"yea", 1)
    return 2


def broken_by_removal(rows):
    """Take the second line away."""
    del rows[1]
    return 2


def broken_by_swap(rows):
    """Put the second line behind the third."""
    rows[1], rows[2] = rows[2], rows[1]
    return 2


def broken_by_repeat(rows):
    """Write the last line twice."""
    rows.append(rows[-1])
    return len(rows)


def broken_by_last_line(rows):
    """Change the last line, which no other names."""
    rows[-1] = rows[-1].replace(b"yes", b"yea", 1)
    return len(rows)


def broken_by_forgery(rows):
    """Put in a line that is sound in itself, with the number of another."""
    rows.append(to_line(7, MORNING, "ended", {}, digest(rows[-1])))
    return len(rows)


@pytest.mark.parametrize(
    "spoil",
    [
        broken_by_change,
        broken_by_removal,
        broken_by_swap,
        broken_by_repeat,
        broken_by_last_line,
        broken_by_forgery,
    ],
)
def test_broken_chain_is_not_built_on(tmp_path, spoil):
    """A changed record is refused with the number of its first bad line, and left as it is."""
    path = filled(tmp_path, 4)
    rows = path.read_bytes().splitlines()
    number = spoil(rows)
    path.write_bytes(b"".join(row + b"\n" for row in rows))
    before = path.read_bytes()

    with pytest.raises(RecordBroken, match=f"Line {number} of .*--record"):
        opened(tmp_path)
    assert path.read_bytes() == before
    assert verify(tmp_path).problems[0].startswith(f"Line {number} ")


def test_refused_record_is_let_go(tmp_path):
    """A record that could not be opened is not held."""
    path = filled(tmp_path)
    good = path.read_bytes()
    path.write_bytes(good.replace(b"yes", b"yea", 1))
    with pytest.raises(RecordBroken):
        opened(tmp_path)
    path.write_bytes(good)

    opened(tmp_path).close()


# ---- a disk that refuses

FULL = """
import pathlib, resource, secrets, sys
from datetime import datetime
from assistant.errors import RecordFull
from assistant.record.journal import Record
folder = pathlib.Path(sys.argv[1])
record = Record.open(folder, datetime.now)
record.append("began", {"procedure": "x"})
room = (folder / "record.jsonl").stat().st_size + int(sys.argv[2])
resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
fulls = 0
for step in range(50):
    try:
        record.append("done", {"step": f"step-{step}", "run": 0})
    except RecordFull as problem:
        fulls += 1
try:
    record.keep_clip(secrets.token_bytes(2 * room), 16_000)  # noise cannot be packed
except RecordFull as problem:
    print(problem)
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY,) * 2)
record.append("ended", {"run": 0})
record.close()
print(fulls, len(record.entries))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no limit of a file's size")
@pytest.mark.parametrize("room", [0, 1, 200, 1000])
def test_no_room(tmp_path, room):
    """A full disk loses nothing that was confirmed, and writing goes on once there is room."""
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(tmp_path), str(room)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    *told, counts = done.stdout.splitlines()
    fulls, entries = map(int, counts.split())

    assert fulls > 0
    assert "There is no room left" in told[0]
    assert fulls + entries == 52  # began, fifty steps of which some were refused, ended
    assert verify(tmp_path).problems == ()
    assert verify(tmp_path).lines == entries
    assert list((tmp_path / "clips").iterdir()) == []


def failing(error_number: int, times: int):
    """Return a ``sync`` that fails so often, then works."""
    left = [times]
    real = Disk.sync

    def sync(disk: Disk, descriptor: int) -> None:
        if left[0] > 0:
            left[0] -= 1
            raise OSError(error_number, os.strerror(error_number))
        real(disk, descriptor)

    return sync


@pytest.mark.parametrize(
    ("number", "error"), [(errno.ENOSPC, RecordFull), (errno.EIO, RecordProblem)]
)
def test_line_that_did_not_last_is_taken_away(tmp_path, monkeypatch, number, error):
    """A line that the disk refused to keep is gone, and the next has its number."""
    with scribe(tmp_path) as made:
        made.begin()
        before = stored(tmp_path).read_bytes()
        monkeypatch.setattr(Disk, "sync", failing(number, 1))
        with pytest.raises(error):
            made.yes_no("power")
        assert stored(tmp_path).read_bytes() == before
        assert made.yes_no("power").seq == 1

    assert verify(tmp_path).problems == ()


def test_disk_that_fails_twice_is_given_up(tmp_path, monkeypatch):
    """When not even the cutting back lasts, nothing more is written behind the doubtful place."""
    with scribe(tmp_path) as made:
        made.begin()
        monkeypatch.setattr(Disk, "sync", failing(errno.EIO, 2))
        for _ in range(2):
            with pytest.raises(RecordProblem):
                made.yes_no("power")

        assert len(made.record.entries) == 1


def test_interrupt_leaves_no_half_line(tmp_path, monkeypatch):
    """An interrupt between writing and syncing leaves the chain as if nothing had been written."""

    def interrupted(disk, descriptor, data):
        del disk
        os.write(descriptor, data[:20])
        raise KeyboardInterrupt

    with scribe(tmp_path) as made:
        made.begin()
        with monkeypatch.context() as patched:
            patched.setattr(Disk, "write", interrupted)
            with pytest.raises(KeyboardInterrupt):
                made.yes_no("power")
        made.yes_no("power")

    assert verify(tmp_path).problems == ()
    assert verify(tmp_path).lines == 2


def test_folder_that_cannot_be_made(tmp_path):
    """A place that cannot hold a record is told with what to do."""
    (tmp_path / "file").write_text("not a folder")

    with pytest.raises(RecordProblem, match="--record FOLDER"):
        opened(tmp_path / "file" / "shift")


def test_file_that_cannot_be_opened(tmp_path):
    """A record whose file is something else is told, and its folder let go."""
    stored(tmp_path).mkdir()
    with pytest.raises(RecordProblem, match="cannot be written"):
        opened(tmp_path)
    stored(tmp_path).rmdir()

    opened(tmp_path).close()


# ---- clips


def test_same_clip_is_one_file(tmp_path):
    """A clip is named by its content, so the same sound twice is one file."""
    record = opened(tmp_path)
    names = [record.keep_clip(pcm, 16_000) for pcm in (b"\1\0" * 80, b"\1\0" * 80, b"\2\0" * 80)]
    record.close()
    files = sorted((tmp_path / "clips").iterdir())

    assert names[0] == names[1] != names[2]
    assert [file.name for file in files] == sorted(set(names))
    assert all(file.stem == hashlib.sha256(file.read_bytes()).hexdigest() for file in files)


def test_clip_is_a_flac_file(tmp_path):
    """A clip can be played by any browser: mono, 16 bit, at its own rate, not one sample lost."""
    record = opened(tmp_path)
    name = record.keep_clip(b"\1\0\2\0", 8_000)
    record.close()
    path = tmp_path / "clips" / name
    kept = soundfile.info(str(path))

    assert (kept.format, kept.subtype, kept.channels) == ("FLAC", "PCM_16", 1)
    assert unpacked(name, path.read_bytes()) == (b"\1\0\2\0", 8_000)


def test_clip_at_another_rate_is_another_clip(tmp_path):
    """The rate is part of what was heard."""
    record = opened(tmp_path)
    names = {record.keep_clip(b"\1\0", rate) for rate in (8_000, 16_000)}
    record.close()

    assert len(names) == 2


def test_half_written_clip_is_swept(tmp_path):
    """What a sudden end left of a clip is no clip, and goes at the next start."""
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "ab.wav.part").write_bytes(b"RIFF")
    opened(tmp_path).close()

    assert list((tmp_path / "clips").iterdir()) == []


def test_clip_that_fails_leaves_nothing(tmp_path, monkeypatch):
    """A clip that the disk refuses has no name, and no part of it stays."""
    record = opened(tmp_path)
    monkeypatch.setattr(Disk, "sync", failing(errno.ENOSPC, 1))
    with pytest.raises(RecordFull):
        record.keep_clip(b"\1\0", 16_000)
    record.close()

    assert list((tmp_path / "clips").iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="Windows keeps rights elsewhere")
def test_voices_are_for_the_owner_alone(tmp_path):
    """Lines and clips hold people's voices and words: nobody else on the machine reads them."""
    record = opened(tmp_path)
    name = record.keep_clip(b"\1\0", 16_000)
    record.close()
    rights = {
        stat.S_IMODE(path.stat().st_mode) & 0o077
        for path in (stored(tmp_path), tmp_path / "clips" / name)
    }

    assert rights == {0}
