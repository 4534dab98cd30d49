"""A drill answered by recordings, through the real gate and recogniser."""

from __future__ import annotations

from datetime import datetime, timezone
from pathlib import Path

from support.ear import ROOT

from assistant import cli
from assistant.record import kinds
from assistant.record.journal import Record

AUDIO = ROOT / "demo" / "audio"
BANK = """\
drill: strip
version: "1"
answers:
  causes: {fast: [too cold], pinched: [nozzle too close], power: [low power], dirt: [dirty sheet],
           damp: [a wet lap], roller: [roller on its edge], raised: [gun raised],
           lap: [lap pulled], slow: [too hot]}
  verdicts: {passes: [a pass], fails: [it did fail], too-wide: [too wide]}
  dangers: {hot: [the heat], sharp: [a blade], edge: [the roof edge], electric: [the current]}
questions:
  - id: proof
    topic: The peel test
    ask: Which strip shows a good weld?
    choices: {tearing: [film tearing, scrim showing], clean: [clean peel], glossy: [a glossy edge]}
    right: tearing
    because: The skin left the scrim.
"""


def test_recorded_answers_are_heard_and_judged(tmp_path: Path) -> None:
    """A clean voice, another beside noise, and a spoken stop: two right of two."""
    bank = tmp_path / "bank.yaml"
    bank.write_text(BANK, encoding="utf-8")
    clips = ("first-film-tearing", "second-scrim-showing", "first-stop")
    files = [str(AUDIO / f"{name}.wav") for name in clips]
    more = ["--bank", str(bank), "--record", str(tmp_path / "record"), "--silent"]
    code = cli.main(["drill", str(ROOT / "checklists" / "next-seam.yaml"), *more, "--wav", *files])
    record = Record.open(tmp_path / "record", lambda: datetime.now(timezone.utc))
    record.close()
    found = [(one.kind, one.fields.get("said")) for one in record.entries[1:]]

    assert code == 0
    assert found == [
        (kinds.DRILL_ANSWERED, "film tearing"),
        (kinds.DRILL_ANSWERED, "scrim showing"),
        (kinds.DRILL_ENDED, "stop"),
    ]
    assert record.entries[-1].fields["right"] == 2
