"""A checklist with every kind of step, short enough to be walked through in a test."""

CHECKLIST = """\
procedure: short-strip
title: Short strip
version: "1"
limits: {least: 1 in, most: 1 1/2 in, rule: 1/16 in}
steps:
  - id: seam
    ask: "Which seam?"
    answer: value
    unit: number
    plausible: {from: 1, to: 999}
    called: seam
  - id: burns
    warn: "The nozzle burns."
  - id: roller
    ask: "Is the roller clean?"
    answer: yes-no
    hoped: "yes"
    otherwise: {say: "Clean it.", then: again}
  - id: weld
    tell: "Weld."
    until: done
  - id: cool
    wait: 2 s
    say: "Let it cool."
  - id: failure
    ask: "How did it fail?"
    answer: choice
    choices:
      film-tearing: [film tearing, scrim showing]
      clean-peel: [clean peel, let go]
      partly: [partly, half and half]
  - id: width
    ask: "How wide?"
    answer: value
    unit: in
    plausible: {from: 1/4 in, to: 2 1/2 in}
    called: width
  - id: heat-marks
    ask: "Heat marks?"
    answer: choice
    choices:
      none: [none]
      bleed-out: [bleed out]
      burn: [burn]
  - id: verdict
    judge: {width: width, mode: failure, heat: heat-marks}
    on-fail: {go-to: weld, say: "Weld a new piece."}
"""
