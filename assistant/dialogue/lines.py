"""Every fixed sentence that the conversation says. Imports nothing of ours.

Kept in one place so that they can be rendered ahead of need and read with one eye. Words only:
the speech engine must never see a figure.
"""

from __future__ import annotations

SAY_AGAIN = "Say it again."
NOT_SURE = "I am not sure I heard that. Say it again."
SOUND_LOST = "Some sound was lost. Say it again."
SECOND_YES_NO = "Say affirm, or say wrong."
SECOND_WIDTH = "Say it digit by digit. For example, one decimal two five. Or in millimeters."
SECOND_NUMBER = "Say it digit by digit."
SECOND_CHOICE = "Say the number of the answer."
IS_THAT_RIGHT = "Is that right?"
RIGHT = "Right?"
YES_OR_NO = "Say yes or no."
NOT_HEARD = "Not heard. I log it as not heard and go on."
OUTSIDE = "That is outside what it can be here. Say it again."
NO_HEDGE = "I need the nearest sixteenth, without strong or light. Say it again."
HEDGE_DECIDES = "Strong or light decides the verdict here. Read the rule to the nearest sixteenth."
HOW_TO_WAKE = "I rest now. Wake me with, hey lapcall. Or say, hey lapcall, done."
NO_CLOCK = "No time is running."
STILL_HERE = "I am listening."
WILL_WAIT = "I will wait. Say carry on when you are ready."
HOLDING = "Holding. Say carry on when you are ready."
CUE_READY = "Say ready to go on."
CUE_DONE = "Say done when you are done."
READY_AGAIN = "Say ready when that is done."
NEED_ANSWER = "I still need an answer here."
NO_WHY = "There is no more to say about this step."
HEARD_NOTHING = "I have heard nothing yet."
NOTHING_BACK = "This is the first step."
NOTHING_TAKEN = "There is no answer to take back."
TAKEN_BACK = "Taken back."
STOPPED = "Stopped. What was confirmed is kept."
SCRIPT_ENDED = "There is nothing more to hear. What was confirmed is kept."
MICROPHONE_LOST = "I cannot hear the microphone. Check its plug."
MICROPHONE_BACK = "I can hear again."
RECORD_FAILED = "The record cannot be written. What was confirmed is kept. I have to stop."
TIME_UP = "The time is up."
NO_CLOCK_ENDED = "The wait was ended early."
SAYABLE_BUSY = "Say done, hold, say again, why, go back, or stop."
SAYABLE_YES_NO = "Say yes or no. Or hold, say again, why, go back, scratch that, or stop."
SAYABLE_VALUE = "Say the value, or hold, say again, why, go back, scratch that, or stop."
SAYABLE_CONFIRM = "Say yes, or no, or the value again. Or stop."
SAYABLE_WAIT = "Say carry on to end the wait early, or hold, where are we, or stop."
SAYABLE_HOLD = "Say carry on, or stop."
GOING_ON = "Going on where we were."

PASSED = "Pass."
AT_LIMIT = "Pass, at the limit."
FAILED = "Fail."
TOO_WIDE = "Out. Too wide."
INVALID = "No proof."
FOREMAN = "The foreman decides."
NO_VERDICT = "No verdict."


def fixed() -> tuple[str, ...]:
    """Return every fixed sentence."""
    here = globals()
    return tuple(text for name, text in here.items() if name.isupper() and isinstance(text, str))
