"""How sure the recogniser must be. Imports nothing of ours.

Below the threshold the dialogue asks again instead of taking the answer.
"""

from __future__ import annotations

ANSWER_TRUST = 0.6
"""For commands and plain answers."""
VALUE_TRUST = 0.6
"""For measured values."""
