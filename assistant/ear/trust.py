"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer. Confidence is the chance
that what is understood is what was said, as far as synthetic voices tell; it proves nothing:
read-back, ranges and the strict grammars carry the safety, and this only asks sooner.

models/recipe/calibrate.py hears dev clips and prints what each threshold costs: four voices that
neither network was trained on and blends of them, half beside a vacuum cleaner, half in other noise
that was not trained on, 130 widths and 120 seam numbers at each level; in percent right / wrong,
and other talk taken for a width:

    threshold             0.5         0.7         0.9         0.95        0.97        0.98
    widths, clean         98.5 / 0.0  98.5 / 0.0  96.2 / 0.0  96.2 / 0.0  94.6 / 0.0  92.3 / 0.0
    widths, 10 dB         96.9 / 1.5  95.4 / 1.5  90.0 / 1.5  89.2 / 0.8  81.5 / 0.8  76.2 / 0.8
    widths, 5 dB          95.4 / 2.3  93.8 / 2.3  86.2 / 1.5  81.5 / 0.8  73.8 / 0.8  66.9 / 0.8
    widths, 0 dB          81.5 / 5.4  77.7 / 5.4  68.5 / 2.3  63.8 / 0.8  53.8 / 0.8  46.9 / 0.0
    seam numbers, 5 dB    91.7 / 4.2  90.0 / 1.7  86.7 / 1.7  82.5 / 0.8  75.8 / 0.0  68.3 / 0.0
    talk, all levels      2.5         0.8         0.2         0.2         0.2
    answers, all levels   94.7 / 0.0  93.8 / 0.0  92.8 / 0.0  92.3 / 0.0  92.3 / 0.0  91.8 / 0.0

A wrong width is worse than several questions. Which thresholds keep wrong values out of the record
is told by simulated shifts that mishear as the test clips did (tests/bench/conversation): with 0.98
for values and 0.95 for a yes to a read-back at most one value in 10,000 is logged wrong at 5 dB;
with 0.97 two or three were. Believed from 0.7 on, one person's "no" passes for a yes in noise.
Other answers lose nothing at 0.7.
"""

from __future__ import annotations

ANSWER_TRUST = 0.7
"""For commands and plain answers."""
VALUE_TRUST = 0.98
"""For measured values."""
YES_TRUST = 0.95
"""For a yes to a read-back, which makes a value count."""
