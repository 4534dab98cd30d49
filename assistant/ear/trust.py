"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer. Confidence proves
nothing: read-back, ranges and the strict grammars carry the safety; this only asks sooner.

Measured with the first model (tests/bench/results/ear.md has the newest figures), synthetic
voices that were not trained on, clean and at 5 dB beside a vacuum cleaner, in percent. "Accepted
as something" is what must not happen.

    threshold                  0      0.6    0.7    0.8    0.9    0.95
    commands: right            88.5   87.4   86.5   84.9   83.8   79.9
    commands: wrong             1.1    0.8    0.5    0.3    0.3    0.3
    widths: right              90.3   89.2   87.9   85.8   82.6   77.4
    widths: wrong               8.9    6.3    6.3    5.8    4.2    3.2
    chatter taken for a width  16.7    7.5    7.5    3.3    1.7    0.8
    chatter taken for an answer 0      0      0      0      0      0
    noise past a forced gate: answer  43  30   23     10      7      3
    noise past a forced gate: width   70  17    7      7      3      3

The gate lets 3 of 71 stretches of noise (10 s each) through to begin with.
"""

from __future__ import annotations

ANSWER_TRUST = 0.7
"""For commands and plain answers."""
VALUE_TRUST = 0.8
"""For measured values."""
