"""A checklist in which the checker finds nothing, and what it finds in a changed one."""

from __future__ import annotations

from pathlib import Path

from support.nearness import read_ways

from assistant.check.checking import Report, check_files
from assistant.check.hearing import Ear

NOTHING_FOUND = """\
procedure: small
title: Small
version: "1"
steps:
  - id: burns
    warn: The nozzle burns. Gloves on.
    danger: hot
    why: It is hot.
  - id: blades
    warn: Blades cut. Close them.
    danger: sharp
    why: A blade slips.
  - id: whole
    ask: Is it whole?
    answer: yes-no
    hoped: "yes"
    otherwise: {say: Mark it., then: go-on}
    why: A gap leaks.
  - id: dial
    tell: Set the dial.
    until: done
    why: It is a start.
  - id: weld
    tell: Weld the seam.
    until: done
    danger: hot
    why: It must hold.
  - id: trim
    tell: Trim the flap.
    until: done
    danger: sharp
    why: It hangs over.
  - id: failure
    ask: How did it fail?
    answer: choice
    choices:
      film-tearing: [film tearing, scrim showing]
      clean-peel: [clean peel]
    hoped: film-tearing
    otherwise:
      say: Turn the dial.
      then: dial
      at-most: {times: 3, then: go-on, say: Call the foreman.}
    why: It tells how well it holds.
"""
EAR = Ear(read_ways())


def check_text(folder: Path, text: str | bytes, name: str = "small.yaml") -> Report:
    """Write a checklist and return what is found in it."""
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return check_files([path], EAR)
