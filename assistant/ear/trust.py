"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer. Confidence is the chance
that what is understood is what was said, as far as synthetic voices tell; it proves nothing:
read-back, ranges and the strict grammars carry the safety, and this only asks sooner.

models/recipe/calibrate.py hears dev clips and prints what each threshold costs. For one network
(the first to be measured so), 190 widths and seam numbers by nine voices that it was not trained
on, some levels twice, in percent right / wrong, and other talk taken for a width:

    threshold          0.5         0.7         0.8         0.9         0.95
    values, clean      98.4 / 1.1  97.4 / 1.1  97.4 / 0.5  95.3 / 0.5  94.2 / 0.5
    values, 10 dB      96.8 / 1.6  93.7 / 1.6  91.1 / 1.1  86.3 / 1.1  76.3 / 0.0
    values, 5 dB       92.6 / 2.4  89.2 / 1.6  86.1 / 0.8  81.1 / 0.3  71.1 / 0.3
    values, 0 dB       77.6 / 7.6  73.2 / 4.5  68.4 / 3.2  61.8 / 1.1  54.2 / 0.8
    talk, all levels   5.7         3.3         1.4         1.0         0.7
    answers, 5 dB      98.0 / 0.7  97.3 / 0.5  96.4 / 0.5  95.3 / 0.0  91.7 / 0.0
    answers, 0 dB      87.8 / 3.6  86.3 / 1.4  84.7 / 0.9  82.2 / 0.5  79.5 / 0.5

A wrong width is worse than several questions, so values must be surer than answers.
"""

from __future__ import annotations

ANSWER_TRUST = 0.7
"""For commands and plain answers."""
VALUE_TRUST = 0.9
"""For measured values."""
