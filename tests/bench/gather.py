"""A hundred devices with a hundred shifts each, gathered in any order: the same bytes.

Run by hand: ``python tests/bench/gather.py [DEVICES] [SHIFTS]``; writes results/gather.md. Each
shift is a record of its own with five strips and their sound. Some devices were copied and both
copies used, some copies are old, some come twice, some as zip files. Three orders, and one job
folder that is gathered shift by shift in many calls, must give the same tree. Then all of it is
verified and exported twice.
"""

from __future__ import annotations

import hashlib
import json
import platform
import random
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta, timezone
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from support.records import JOB, LIMITS

from assistant.gather.files_out import write_csv
from assistant.gather.job import records_in
from assistant.gather.merge import gather
from assistant.gather.rows import shifts
from assistant.gather.sqlite_out import write_sqlite
from assistant.record import disk
from assistant.record.entry import GENESIS, digest, to_line
from assistant.record.verify import verify

RESULTS = Path(__file__).parent / "results" / "gather.md"
NOW = datetime(2027, 1, 1, tzinfo=timezone.utc)
STRIPS = 5


def shift(folder: Path, device: int, day: int, *, branch: str = "", short: bool = False) -> None:
    """Write one shift as a device would, without waiting for the disk."""
    start = datetime(2026, 3, 2, 12, device % 60, tzinfo=timezone.utc) + timedelta(days=day)
    lines: list[bytes] = []
    clips: dict[str, bytes] = {}

    def line(kind: str, fields: dict[str, object]) -> None:
        moment = start + timedelta(minutes=len(lines))
        prev = digest(lines[-1]) if lines else GENESIS
        lines.append(to_line(len(lines), moment, kind, fields, prev, up_ms=60_000 * len(lines)))

    job = {**JOB, "welder": f"welder {device}", "gun": f"gun {device}"}
    line("began", {"procedure": "finish-weld", "title": "Finish weld", "version": "1", "job": job})
    for strip in range(STRIPS - short):
        sound = b"RIFF" + bytes([device % 256, day % 256, strip]) * 200
        name = f"{hashlib.sha256(sound).hexdigest()}.wav"
        clips[name] = sound
        value = {"step": "width", "act": "value", "said": "inch and a quarter", "answer": "5/4"}
        more = {"unit": "in", "width_in": "5/4", "called": "width", "clip": name, "run": 0}
        line("answered", {**value, **more, "confirmed_by": "yes", "read_back": "Is that right?"})
        rest = {"width": "5/4", "said": "inch and a quarter", "limits": LIMITS, "clip": name}
        line("judged", {"outcome": "pass", "from": [len(lines) - 1], "run": 0, **rest})
    if branch:
        line("held", {"run": 0, "because": branch})
    elif not short:
        line("ended", {"run": 0})
    (folder / "clips").mkdir(parents=True)
    (folder / "record.jsonl").write_bytes(b"".join(each + b"\n" for each in lines))
    for name, sound in clips.items():
        (folder / "clips" / name).write_bytes(sound)


def sources(base: Path, devices: int, days: int) -> list[Path]:
    """Write everything that is to be gathered."""
    found = []
    for device in range(devices):
        for day in range(days):
            folder = base / f"device-{device}" / f"shift-{day}"
            shift(folder, device, day)
            found.append(folder)
            odd = (device * days + day) % 20
            if odd == 3:
                shift(base / "fork" / f"{device}-{day}", device, day, branch="asked")
                found.append(base / "fork" / f"{device}-{day}")
            if odd == 7:
                shift(base / "old" / f"{device}-{day}", device, day, short=True)
                found.append(base / "old" / f"{device}-{day}")
            if odd == 11:
                made = shutil.make_archive(str(base / f"zip-{device}-{day}"), "zip", folder)
                found.append(Path(made))
    return found


def fingerprint(job: Path) -> str:
    """Return one hash over every file's path and bytes, but for the lock."""
    whole = hashlib.sha256()
    for path in sorted(job.rglob("*")):
        if path.is_file() and not path.name.endswith(".lock"):
            whole.update(f"{path.relative_to(job).as_posix()}\n".encode())
            whole.update(hashlib.sha256(path.read_bytes()).digest())
    return whole.hexdigest()


def gathered(base: Path, every: list[Path], order: str) -> tuple[str, float]:
    """Gather in one order into a fresh job folder; return its fingerprint and the seconds."""
    job = base / f"job-{order}"
    chance = random.Random(order)  # noqa: S311 - an order, not a secret
    listed = list(every)
    if order == "backwards":
        listed.reverse()
    elif order != "as made":
        chance.shuffle(listed)
    start = time.perf_counter()
    step = max(1, len(listed) // 50) if order == "in fifty calls" else len(listed)
    for place in range(0, len(listed), step):
        gather(listed[place : place + step], job, NOW)
    taken = time.perf_counter() - start
    found = fingerprint(job)
    if order != "as made":
        shutil.rmtree(job)
    return found, taken


def main(devices: int = 100, days: int = 100) -> int:
    """Run everything and write the table."""
    # The bytes are at stake here, not the disk: waiting for it would measure the disk alone.
    disk.Disk.sync = lambda *_: None  # type: ignore[method-assign]
    disk.Disk.sync_folder = lambda *_: None  # type: ignore[method-assign]
    with tempfile.TemporaryDirectory() as folder:
        base = Path(folder)
        every = sources(base, devices, days)
        rows = []
        orders = ("as made", "backwards", "shuffled", "in fifty calls")
        found = {}
        for order in orders:
            found[order], taken = gathered(base, every, order)
            rows.append((f"gather {len(every)} copies, {order}", f"{taken:.1f} s"))
            print(*rows[-1], found[order][:16], flush=True)
        job = base / "job-as made"
        start = time.perf_counter()
        report = gather(every, job, NOW)
        rows.append(("gather them all again", f"{time.perf_counter() - start:.1f} s"))
        same = fingerprint(job) == found["as made"] and len(set(found.values())) == 1
        start = time.perf_counter()
        folders = records_in(job)
        problems = sum(bool(verify(each).problems) for each in folders)
        rows.append((f"verify {len(folders)} records", f"{time.perf_counter() - start:.1f} s"))
        for what in ("first", "again"):
            start = time.perf_counter()
            done = write_sqlite(base / "db", shifts(folders))
            told = f"SQLite, {what}: {done.lines} lines and {done.tests} tests added"
            rows.append((told, f"{time.perf_counter() - start:.1f} s"))
        start = time.perf_counter()
        tests = [row for each in shifts(folders) for row in each.tests.values()]
        new, _ = write_csv(base / "csv", tests)
        rows.append((f"CSV: {new} tests", f"{time.perf_counter() - start:.1f} s"))
    for row in rows:
        print(*row)
    text = told_as_page(devices, days, rows, same=same, problems=problems, again=report.counts)
    RESULTS.write_text(text, encoding="utf-8")
    print(json.dumps({"same": same, "problems": problems, "again": dict(report.counts)}))
    return 0 if same and not problems else 1


def told_as_page(
    devices: int,
    days: int,
    rows: list[tuple[str, str]],
    *,
    same: bool,
    problems: int,
    again: dict[str, int],
) -> str:
    """Return the page."""
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False
    ).stdout.strip()
    table = "\n".join(f"| {what} | {taken} |" for what, taken in rows)
    return (
        "# Records of many devices\n\n"
        f"{devices} devices with {days} shifts each; one in twenty forked, one in twenty also as "
        "an older copy, one in twenty also as a zip file. Written by `tests/bench/gather.py` on "
        f"{datetime.now(timezone.utc):%Y-%m-%d} at {commit}, {platform.machine()}, Python "
        f"{platform.python_version()}, with other work on the same two cores and without waiting "
        "for the disk: the bytes are at stake, so times say little.\n\n"
        f"All four orders gave the same bytes: {'yes' if same else 'NO'}. Gathered again, "
        f"{again.get('new', 0) + again.get('grown', 0) + again.get('fork', 0)} records were new or "
        f"changed. Records that verify names as not whole: {problems}.\n\n"
        f"| what | time |\n|---|---|\n{table}\n"
    )


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))
