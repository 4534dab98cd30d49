from __future__ import annotations

import json

import pytest

from assistant.cli import main

WHOLE = ["judge", "--width", "inch and a quarter", "--mode", "film-tearing", "--heat", "none"]


@pytest.mark.parametrize(
    ("more", "outcome"),
    [
        ([], "pass"),
        (["--solid", "inch and an eighth"], "pass"),
        (["--solid", "inch"], "pass at limit"),
        # Shy of a minimum counts as below it (common practice, no source).
        (["--solid", "inch shy"], "fail"),
        (["--solid", "7/8 in"], "fail"),
    ],
)
def test_the_solid_part_is_judged_with_its_hedge(
    more: list[str], outcome: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is said of the solid part beside a void counts, a "shy" behind it too."""
    assert main([*WHOLE, *more]) == 0

    assert json.loads(capsys.readouterr().out)["outcome"] == outcome
