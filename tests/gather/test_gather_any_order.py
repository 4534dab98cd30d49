"""Records of many devices: the same result in any order, any number of times."""

from __future__ import annotations

import shutil
import tempfile
from datetime import timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.gathered import DAY, copied, device, merged, more, tree

from assistant.gather.signatures import Signature
from assistant.record import chain, disk
from assistant.record.verify import verify


def spoiled(folder: Path) -> Path:
    """Change one byte in the middle of a record."""
    path = folder / "record.jsonl"
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(bytes(data))
    return folder


def all_sorts(base: Path) -> list[Path]:
    """Return copies of everything that can happen: old, new, forked, spoiled, torn, incomplete."""
    first = device(base / "first", 1, tests=2)
    early = copied(first, base / "early")
    more(first)
    one, other = copied(first, base / "one"), copied(first, base / "other")
    more(one, "held")
    more(other, "stopped")
    deep = copied(other, base / "deep")
    more(deep, "resumed", start=DAY + timedelta(hours=3))
    more(other, "ended", start=DAY + timedelta(hours=3))
    without_sound = copied(deep, base / "without-sound")
    shutil.rmtree(without_sound / "clips")
    cut = copied(one, base / "cut")
    (cut / "record.jsonl").write_bytes((cut / "record.jsonl").read_bytes()[:-9])
    lacks_end = copied(one, base / "lacks-end")
    (lacks_end / "record.jsonl").write_bytes((lacks_end / "record.jsonl").read_bytes()[:-1])
    (lacks_end / "record.torn-1").write_bytes(b'{"seq":7')
    head = head_of(one)
    signed = copied(one, base / "signed")
    signature = Signature(*head, "ab" * 32, "cd" * 64)
    (signed / signature.file_name).write_bytes(signature.content)
    bad_clip = copied(device(base / "third", 3), base / "bad-clip")
    next((bad_clip / "clips").iterdir()).write_bytes(b"RIFF")
    return [
        *(first, early, one, other, deep, without_sound, cut, lacks_end, signed, bad_clip),
        *(device(base / "second", 2), base / "third"),
        *(spoiled(copied(first, base / "spoiled")), spoiled(device(base / "lost", 4))),
    ]


def head_of(folder: Path) -> tuple[int, str]:
    """Return number of lines and the fingerprint of the last."""
    found = chain.read((folder / "record.jsonl").read_bytes())
    return len(found.lines), found.head


@pytest.fixture(scope="module", autouse=True)
def _no_waiting_for_the_disk():
    """Let nothing wait for the disk: what is written is at stake here, not whether it lasts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(disk.Disk, "sync", lambda *_: None)
        patch.setattr(disk.Disk, "sync_folder", lambda *_: None)
        yield


@pytest.fixture(scope="module")
def sorts(tmp_path_factory) -> list[Path]:
    """Make the copies once."""
    return all_sorts(tmp_path_factory.mktemp("devices"))


@pytest.fixture(scope="module")
def expected(sorts, tmp_path_factory) -> dict[str, str]:
    """Gather them once, as they stand."""
    job = tmp_path_factory.mktemp("job") / "job"
    merged(job, *sorts)
    return tree(job)


@settings(max_examples=8, deadline=None)
@given(st.data())
def test_any_order_any_number_of_times(sorts, expected, data):
    """Whatever the order, however often each comes, in one call or many: the same bytes."""
    order = data.draw(st.permutations(sorts))
    again = data.draw(st.lists(st.sampled_from(sorts), max_size=4))
    calls = data.draw(st.integers(1, 4))
    every = [*order, *again]
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "job"
        for start in range(0, len(every), -(-len(every) // calls)):
            merged(job, *every[start : start + -(-len(every) // calls)])

        assert tree(job) == expected


@settings(max_examples=4, deadline=None)
@given(st.data())
def test_jobs_gather_too(sorts, expected, data):
    """Two job folders, each with a part of it all, make one like the whole."""
    part = data.draw(st.lists(st.sampled_from(sorts), unique=True, min_size=1))
    with tempfile.TemporaryDirectory() as folder:
        one, other, job = (Path(folder) / name for name in ("one", "other", "job"))
        merged(one, *part)
        merged(other, *[source for source in sorts if source not in part] or sorts)
        merged(job, other, one)

        assert tree(job) == expected


def test_what_is_in_it(expected):
    """Three branches of a fork, two other devices, two spoiled records apart, one key."""
    records = [path for path in expected if path.endswith("record.jsonl")]
    forks = [path for path in records if "-fork-" in path]
    broken = [path for path in records if path.startswith("broken/")]

    assert (len(forks), len(broken), len(records)) == (3, 2, 7)
    assert sum(path.startswith("keys/") for path in expected) == 1


def test_every_gathered_record_is_whole(sorts, tmp_path):
    """Each record in the job folder verifies by itself, clips and all."""
    merged(tmp_path / "job", *sorts)
    folders = list((tmp_path / "job" / "records").iterdir())

    assert {verify(folder).problems for folder in folders} == {()}


def test_no_acknowledged_line_is_missing(sorts, tmp_path):
    """Every whole line of every sound copy is in some record of the job folder."""
    merged(tmp_path / "job", *sorts)
    kept = {
        line for path in tmp_path.rglob("record.jsonl") for line in path.read_bytes().splitlines()
    }
    came = {
        line
        for folder in sorts
        for line in (folder / "record.jsonl").read_bytes().splitlines(keepends=True)
    }

    assert {line[:-1] for line in came if line.endswith(b"\n")} <= kept


# ---- what is said


def test_counts(tmp_path):
    """A record is new once, then there; a longer copy brings it up to date; a shorter is told."""
    first = device(tmp_path / "a")
    early = copied(first, tmp_path / "early")
    job = tmp_path / "job"
    found = [merged(job, first), merged(job, first), merged(job, more(first)), merged(job, early)]

    assert [dict(report.counts) for report in found] == [
        {"new": 1},
        {"there": 1},
        {"grown": 1},
        {"shorter": 1},
    ]
    assert [report.serious for report in found] == [False] * 4
    assert "lines were cut from its end" in found[3].notes[0]


def test_fork_is_told(tmp_path):
    """Two continuations of one record are both kept, and called a fork."""
    first = device(tmp_path / "a")
    other = more(copied(first, tmp_path / "b"), "held")
    report = merged(tmp_path / "job", more(first), other)

    assert report.serious
    assert "goes on otherwise" in report.forks[0]
    assert len(list((tmp_path / "job" / "records").iterdir())) == 2


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda clip: clip.write_bytes(b"RIFF"), "is not as it was kept"),
        (lambda clip: clip.unlink(), "did not come along"),
        (lambda clip: (clip.unlink(), clip.symlink_to("/etc/hostname")), "is a link"),
    ],
)
def test_clips_are_checked(tmp_path, spoil, told):
    """A clip that is missing, changed or a link is told, and comes in once a good copy does."""
    good = device(tmp_path / "a")
    bad = copied(good, tmp_path / "b")
    spoil(next((bad / "clips").iterdir()))
    report = merged(tmp_path / "job", bad)

    assert any(told in line for line in report.lines())
    assert not list((tmp_path / "job").rglob("clips/*"))
    assert merged(tmp_path / "job", good).clips == 1


def test_what_no_line_names_is_told(tmp_path):
    """A recording that no line names is left out, and not silently."""
    folder = device(tmp_path / "a")
    (folder / "clips" / ("0" * 64 + ".wav")).write_bytes(b"RIFF")
    report = merged(tmp_path / "job", folder)

    assert "no line names" in report.notes[0]
    assert not list((tmp_path / "job").rglob("000*"))


# ---- clocks


def told_of_clocks(tmp_path: Path, *devices: Path) -> str:
    """Return what gathering says of clocks."""
    return " ".join(merged(tmp_path / "job", *devices).clocks)


def test_clock_set_back(tmp_path):
    """A clock that was set back within a shift is told."""
    folder = more(device(tmp_path / "a"), start=DAY - timedelta(hours=1))

    assert "The clock was set back" in told_of_clocks(tmp_path, folder)


def test_clock_ahead(tmp_path):
    """Times that are still to come are told."""
    folder = device(tmp_path / "a", start=DAY + timedelta(days=400))

    assert "still to come" in told_of_clocks(tmp_path, folder)


def test_two_at_once(tmp_path):
    """One welder with two devices at one time is told; two welders are not."""
    one, same = (
        device(tmp_path / "a", 1),
        device(tmp_path / "b", 1, start=DAY + timedelta(seconds=90)),
    )
    other = device(tmp_path / "c", 2, start=DAY + timedelta(seconds=90))

    assert "both name the welder “welder 1”" in told_of_clocks(tmp_path, one, same)
    assert told_of_clocks(tmp_path / "else", one, other) == ""


def test_other_zone(tmp_path):
    """A device set to another zone than the others of that day is told."""
    away = device(tmp_path / "z", 9, start=DAY.astimezone(timezone.utc))
    others = [device(tmp_path / str(n), n) for n in (1, 2)]

    assert "in the zone +00:00" in told_of_clocks(tmp_path, away, *others)
