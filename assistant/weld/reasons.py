"""Every sentence in which a verdict gives its reasons. Imports nothing of ours.

Whole sentences without figures: they are spoken as they stand, and rendered ahead of need.
"""

from __future__ import annotations

MODE_UNKNOWN = "It was not stated how the strip failed."
WIDTH_UNKNOWN = "The width was not heard."
SOLID_UNKNOWN = "It was not heard how wide the solid part beside the void is."
HEAT_UNKNOWN = "It was not stated whether there are heat marks."
PULL_UNKNOWN = "It was not stated how the strip was pulled."
CUT_UNKNOWN = "It was not stated whether the strip was cut across the weld."
SOLID_TOO_WIDE = "The solid part was said to be wider than the whole bond."
CLEAN_PEEL = "The strip peeled clean, so the weld let go. That fails at any width."
PARTLY_TORN = "The film tore only partly."
AT_SCRIM = "It split at the scrim, so the sheet gave way and not the weld."
AT_GRIP = "It broke at the grip, so the weld was not tried. Peel another strip."
JERKED = "It was pulled with a jerk, which can tear the sheet at a poor weld. Peel another strip."
CUT_ALONG = "It was cut along the weld, which does not show its width. Cut another strip."
STRIP_NARROW = "The strip is narrower than it has to be. Cut another strip."
NARROW = "The width is under the least allowed."
SOLID_NARROW = "The solid part beside the void is under the least allowed."
SOLID_JUDGED = "There is a void, so the solid part beside it was judged."
BURNED = "The sheet is burned."
BLED_OUT = "It bled out or went dark, so it was too hot. The foreman may want to look."
DIRTY = "There is dirt in the weld."
FISHMOUTH = "There is a fishmouth, so the edge is open."
MISSED = "A length was missed, so it is not welded there."
SEEN_TOO = "Something else was seen on the strip. The foreman may want to look."
WIDE = (
    "The width is over the most allowed. That points to too much heat, or too slow a hand. "
    "It is not a leak by itself."
)
AT_LEAST_ALLOWED = "The width is at the least allowed, as near as the rule can tell."
AT_MOST_ALLOWED = "The width is at the most allowed, as near as the rule can tell."
HEDGED = "The word beside the width decides the verdict, so the nearest mark must be read."
ONLY_ABOUT = "A width that is only about right is not a reading."

REASONS: tuple[str, ...] = tuple(
    text for name, text in list(globals().items()) if name.isupper() and isinstance(text, str)
)
"""Every sentence above, in that order."""
