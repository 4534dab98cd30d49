"""Measure what a record withstands and what it costs.

Run by hand, some minutes on a free machine: ``python tests/bench/record_crashes.py`` writes
``results/record.md``. Power cuts are those of ``support.power_cut``: a disk in memory that keeps no
more than was synced, sector by sector and name by name. ``--quick`` tries a hundredth.
"""

from __future__ import annotations

import argparse
import io
import os
import platform
import random
import statistics
import sys
import tempfile
import time
from datetime import datetime, timedelta, timezone
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from support.crashes import a_crash

from assistant.record.chain import Walk
from assistant.record.entry import GENESIS, digest, to_line
from assistant.record.journal import Record
from assistant.record.verify import verify

RESULTS = Path(__file__).parent / "results" / "record.md"
START = datetime(2026, 5, 4, 7, 0, tzinfo=timezone(timedelta(hours=-5)))
CUTS, ROWS, LONG, APPENDS = 10_000, 1_000, 1_000_000, 1_000
FIELDS = {
    "step": "width",
    "act": "value",
    "said": "inch and a quarter",
    "answer": "5/4",
    "unit": "in",
    "width_in": "5/4",
    "called": "width",
    "hedge": None,
    "lean": None,
    "read_back": "Inch and a quarter. One decimal two five. Is that right?",
    "confidence": 0.97,
    "clip": None,
    "confirmed_by": "yes",
    "confirmed_clip": None,
    "run": 0,
}


def crashes(cuts: int) -> str:
    """Cut the power so often; return a row."""
    done = lines = clips = seed = 0
    began = time.perf_counter()
    while done < cuts:
        told = a_crash(seed)
        done, lines, seed = done + told.cuts, lines + len(told.lines), seed + 1
        clips += len(told.clips)
    return (
        f"| power cuts at random moments | {done} in {seed} records | lost: 0 of {lines} lines "
        f"and {clips} clips that were acknowledged; acknowledged twice: 0; "
        f"{time.perf_counter() - began:.0f} s |"
    )


def rows_of(count: int) -> list[bytes]:
    """Return the lines of a record, each with its end."""
    rows, prev = [], GENESIS
    for number in range(count):
        at = START + timedelta(seconds=number)
        row = to_line(number, at, "answered", FIELDS, prev, up_ms=1000 * number)
        prev = digest(row)
        rows.append(row + b"\n")
    return rows


def named(rows: list[bytes], heads: list[str], place: int, changed: bytes) -> bool:
    """Tell whether a change of one line is told as a problem of that line.

    The lines before it are not touched, so the walk begins at it, and a few behind it are enough.
    """
    walk = Walk(
        io.BytesIO(changed + b"".join(rows[place + 1 : place + 4])), place + 1, heads[place]
    )
    first = next((line.number for line in walk if line.problem), None)
    return first == place + 1 or (first is None and bool(walk.torn))


def byte_changes(rows: list[bytes]) -> str:
    """Change every byte of a record in four ways; return a row."""
    draw = random.Random(7)  # noqa: S311 - no secret
    heads, prev = [], GENESIS
    for row in rows:
        heads.append(prev)
        prev = digest(row[:-1])
    tried = missed = 0
    for place, row in enumerate(rows):
        for at, old in enumerate(row):
            for new in {old ^ draw.randint(1, 255), old ^ 0x20, 0, 0x0A} - {old}:
                tried += 1
                changed = row[:at] + bytes([new]) + row[at + 1 :]
                missed += not named(rows, heads, place, changed)
    return (
        f"| changes of a single byte, every byte of {len(rows)} lines | {tried} | "
        f"not named by its line: {missed} |"
    )


def whole_files(rows: list[bytes], times: int) -> str:
    """Change a random byte of a whole file and verify it; return a row."""
    draw = random.Random(8)  # noqa: S311 - no secret
    data, missed = b"".join(rows), 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.jsonl"
        for _ in range(times):
            at = draw.randrange(len(data))
            path.write_bytes(data[:at] + bytes([data[at] ^ draw.randint(1, 255)]) + data[at + 1 :])
            found = verify(Path(folder))
            line = data.count(b"\n", 0, at) + 1
            torn = line == len(rows) and found.first_broken is None
            missed += not found.problems or not (torn or found.first_broken == line)
    what = "a byte changed at random, whole files by `verify`"
    return f"| {what} | {times} | not named by its line: {missed} |"


def speed(count: int) -> str:
    """Verify a long record; return a row."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.jsonl"
        prev = GENESIS
        with path.open("wb") as file:
            for number in range(count):
                at = START + timedelta(seconds=number)
                row = to_line(number, at, "answered", FIELDS, prev, up_ms=1000 * number)
                prev = digest(row)
                file.write(row + b"\n")
        size = path.stat().st_size
        began, processor = time.perf_counter(), time.process_time()
        found = verify(Path(folder))
        took, busy = time.perf_counter() - began, time.process_time() - processor
    told = "sound" if not found.problems and found.lines == count else "NOT SOUND"
    return (
        f"| verify {count} lines ({size / 1e6:.0f} MB, {told}) | {took:.1f} s, "
        f"{busy:.1f} s of processor | {count / took:,.0f} lines a second; of processor time "
        f"{count / busy:,.0f} (wanted: 50,000) |"
    )


def appending(count: int, folder: Path) -> str:
    """Append with every sync; return a row."""
    took = []
    with tempfile.TemporaryDirectory(dir=folder) as place:
        record = Record.open(Path(place), lambda: datetime.now(timezone.utc))
        for _ in range(count):
            began = time.perf_counter()
            record.append("answered", FIELDS)
            took.append(1000 * (time.perf_counter() - began))
        record.close()
    took.sort()
    return (
        f"| append with fsync | {count} | median {statistics.median(took):.2f} ms, of a hundred "
        f"the slowest {took[int(len(took) * 0.99)]:.2f} ms (wanted: median 5 ms at most) |"
    )


def main() -> None:
    """Measure, and write the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--quick", action="store_true", help="a hundredth of it, nothing written")
    options.add_argument("--folder", type=Path, default=Path.cwd(), help="a place on the disk")
    chosen = options.parse_args()
    part = 100 if chosen.quick else 1
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    rows = rows_of(ROWS // part)
    table: list[str] = []
    for measure in (
        lambda: appending(APPENDS // part, chosen.folder),
        lambda: speed(LONG // part),
        lambda: crashes(CUTS // part),
        lambda: whole_files(rows, 200 // min(part, 10)),
        lambda: byte_changes(rows),
    ):
        table.append(measure())
        print(table[-1], flush=True)
        if not chosen.quick:
            RESULTS.write_text(_page(table, load), encoding="utf-8")


def _page(table: list[str], load: float) -> str:
    machine = f"Python {platform.python_version()} on {platform.system()} {platform.machine()}"
    return (
        "# What a record withstands, and what it costs\n\n"
        f"`python tests/bench/record_crashes.py`, {datetime.now(timezone.utc):%Y-%m-%d}, "
        f"{machine}, "
        f"{os.cpu_count()} cores with a load of {load:.1f} from others at the start. Power cuts on "
        "a disk in memory that keeps no more than was synced, sector by sector and name by name, "
        "a quarter of them with a refused write or sync as well; up to four in one record, also "
        "while the last is mended. After each: all that was acknowledged is there and once, "
        "`verify` finds no problem, and writing goes on.\n\n"
        "| what | how much | found |\n|---|---|---|\n" + "\n".join(table) + "\n"
    )


if __name__ == "__main__":
    main()
