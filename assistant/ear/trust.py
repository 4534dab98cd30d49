"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer. Confidence proves
nothing: read-back, ranges and the strict grammars carry the safety; this only asks sooner.

From tests/bench/results/ear.md of 2026-11-25 (synthetic voices that were not trained on, clean and
with a vacuum cleaner 5 dB below the voice), in percent of what was said. The voices are not people:
of people's single words among thirty, 4 to 11 in a hundred were wrong, clean, and 8 to 17 at 5 dB.

    threshold                         0      0.6    0.7    0.8    0.9    0.95
    answers, clean: right             97.7   97.7   97.7   97.7   97.3   95.9
                    wrong              0.5    0.5    0.5    0.5    0      0
    answers, 5 dB:  right             98.2   97.7   97.3   97.3   95.9   95.0
                    wrong              1.4    0.9    0.9    0      0      0
    widths, clean:  right             98.0   96.0   92.0   90.7   86.7   81.3
                    wrong              2.0    2.0    2.0    2.0    1.3    1.3
    widths, 5 dB:   right             94.0   92.0   89.3   81.3   73.3   64.0
                    wrong              6.0    4.0    2.7    1.3    1.3    1.3
    chatter taken for a width, clean   0      0      0      0      0      0
    chatter taken for a width, 5 dB   16.7   11.7    8.3    6.7    0      0
    chatter taken for an answer        0      0      0      0      0      0

Of 71 stretches of noise (10 s each) the gate let 4 through, and none became an answer or a width.
"""

from __future__ import annotations

ANSWER_TRUST = 0.7
"""For commands and plain answers: nothing is gained by asking more often."""
VALUE_TRUST = 0.8
"""For measured values: half the wrong ones beside a blower, for one question more in ten."""
