"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer. Confidence proves
nothing: read-back, ranges and the strict grammars carry the safety; this only asks sooner.

From tests/bench/results/ear.md (which has the newest figures): synthetic voices that were not
trained on, right / wrong in percent of 150 widths, clean and beside a vacuum cleaner; and other
talk taken for a width, in percent of 60.

    threshold          0.5         0.7         0.8         0.9
    widths, clean      99.3 / 0.7  96.7 / 0.7  95.3 / 0.7  94.7 / 0.0
    widths, 10 dB      98.7 / 1.3  96.7 / 0.7  94.7 / 0.7  92.0 / 0.0
    widths, 5 dB       96.0 / 4.0  95.3 / 2.0  92.7 / 1.3  90.0 / 1.3
    widths, 0 dB       81.3 / 11   75.3 / 6.7  74.0 / 5.3  70.7 / 4.0
    talk, 5 dB         8.3         3.3         1.7         0.0
    talk, 0 dB         25          8.3         6.7         3.3

A wrong width is worse than several questions, so values take the highest of these. It was chosen
with these figures in sight: the next test needs fresh clips.
"""

from __future__ import annotations

ANSWER_TRUST = 0.7
"""For commands and plain answers."""
VALUE_TRUST = 0.9
"""For measured values."""
