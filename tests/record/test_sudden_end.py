"""A record whose writer is killed at any moment keeps all that it acknowledged."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from datetime import datetime

import pytest

from assistant.record.journal import Record
from assistant.record.verify import verify

WRITER = """
import pathlib, sys
from datetime import datetime
from assistant.record.journal import Record
record = Record.open(pathlib.Path(sys.argv[1]), datetime.now)
record.keep_clip(bytes(800), 16_000)  # the first one loads a library
print("open", flush=True)
while True:
    number = len(record.entries)
    clip = record.keep_clip(number.to_bytes(4, "little") * 400, 16_000)
    entry = record.append("answered", {"step": "width" * 50, "run": 0, "clip": clip})
    print(entry.seq, entry.digest, flush=True)
"""

ROUNDS = 8


@pytest.mark.skipif(sys.platform == "win32", reason="the kill of other systems is what is tested")
def test_kill_at_any_moment(tmp_path):
    """Every line that was acknowledged is there, round after round, and the chain holds."""
    rng = random.Random(20260504)  # noqa: S311 - when to kill is no secret
    acknowledged = {}
    for _ in range(ROUNDS):
        child = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(tmp_path)], stdout=subprocess.PIPE, text=True
        )
        assert child.stdout.readline() == "open\n"
        time.sleep(rng.uniform(0.0, 0.15))
        child.kill()
        told, _ = child.communicate()
        whole = [row.split() for row in told.splitlines(keepends=True) if row.endswith("\n")]
        acknowledged |= {int(seq): digest for seq, digest in whole}
        record = Record.open(tmp_path, datetime.now)
        entries = {entry.seq: entry.digest for entry in record.entries}
        record.close()

        assert acknowledged.items() <= entries.items()
        assert verify(tmp_path).problems == ()
    assert len(acknowledged) > ROUNDS
