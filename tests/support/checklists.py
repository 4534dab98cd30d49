"""Checklists for tests: where the shipped ones lie, and a small good one to break."""

from __future__ import annotations

from pathlib import Path

SHIPPED = Path(__file__).parents[2] / "checklists"

GOOD = """\
procedure: small
title: Small
version: "1"
limits: {least: 1 in, most: 1 1/2 in, rule: 1/16 in}
steps:
  - id: dial
    tell: Set the dial.
    until: done
    why: It is only a start.
  - id: roller
    ask: Is the roller clean?
    answer: yes-no
    hoped: "yes"
    otherwise: {say: Clean it., then: again}
  - id: failure
    ask: How did it fail?
    answer: choice
    choices:
      film-tearing: [film tearing, scrim showing]
      clean-peel: [clean peel]
      partly: [partly]
  - id: width
    ask: How wide?
    answer: value
    unit: in
    plausible: {from: 1/4 in, to: 2 1/2 in}
    patience: 1.2 s
    called: width
  - id: whole
    ask: Is it whole?
    answer: yes-no
    hoped: "yes"
    otherwise: {say: Measure the solid part., then: go-on}
  - id: solid
    only-if: {step: whole, answer: "no"}
    ask: How wide is the solid part?
    answer: value
    unit: in
    plausible: {from: 1/16 in, to: 2 1/2 in}
    called: solid width
  - id: marks
    ask: Which heat marks?
    answer: choice
    choices:
      none: [none]
      bleed-out: [bleed out]
      burn: [burn]
  - id: cool
    wait: 10 min
    say: Let it cool.
  - id: verdict
    judge: {width: width, mode: failure, solid: solid, heat: marks}
    on-fail: {go-to: dial, say: Weld again.}
"""
"""A checklist with a step of every kind and no fault."""


def line_of(text: str, part: str) -> int:
    """Return the line, from 1, where ``part`` first stands in ``text``."""
    return text[: text.index(part)].count("\n") + 1


def broken(old: str, new: str) -> str:
    """Return the good checklist with the first ``old`` replaced by ``new``."""
    if old not in GOOD:
        raise ValueError(f"{old!r} does not stand in the good checklist")
    return GOOD.replace(old, new, 1)
