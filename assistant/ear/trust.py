"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer. Confidence is the chance
that what is understood is what was said, as far as synthetic voices tell; it proves nothing:
read-back, ranges and the strict grammars carry the safety, and this only asks sooner.

models/recipe/calibrate.py hears dev clips and prints what each threshold costs: four voices that
neither network was trained on and blends of them, half beside a vacuum cleaner, half in other noise
that was not trained on, 125 widths and 120 seam numbers at each level; in percent right / wrong,
and other talk taken for a width:

    threshold             0.5         0.7         0.9         0.95        0.97        0.98
    widths, clean         99.2 / 0.0  98.4 / 0.0  97.6 / 0.0  96.8 / 0.0  96.0 / 0.0  92.8 / 0.0
    widths, 10 dB         96.0 / 2.4  93.6 / 2.4  92.0 / 1.6  86.4 / 1.6  84.0 / 0.8  82.4 / 0.0
    widths, 5 dB          92.0 / 4.8  88.0 / 2.4  84.8 / 0.8  79.2 / 0.8  73.6 / 0.0  69.6 / 0.0
    widths, 0 dB          79.2 / 3.2  75.2 / 2.4  66.4 / 0.8  57.6 / 0.0  52.8 / 0.0  44.0 / 0.0
    seam numbers, 5 dB    88.3 / 5.0  88.3 / 3.3  82.5 / 2.5  77.5 / 1.7  71.7 / 1.7  65.8 / 0.0
    talk, all levels      3.1         1.7         0.2         0.0         0.0         0.0
    answers, all levels   93.9 / 0.6  93.9 / 0.0  92.8 / 0.0  90.6 / 0.0  88.9 / 0.0  88.9 / 0.0

A wrong width is worse than several questions: values take the threshold that left 5 of 1244 wrong
(0.97); of answers none was wrong from 0.7 on, and one of 520 pieces of talk passed for a yes.
Chosen before the test clips were heard.
"""

from __future__ import annotations

ANSWER_TRUST = 0.7
"""For commands and plain answers."""
VALUE_TRUST = 0.97
"""For measured values."""
