"""Sleep, waking, and the time a wait still takes. Imports the modules of ``dialogue``.

Where nobody is asked anything Lapcall sleeps after a while, sooner beside talk, and soonest while
hands weld. Asleep it hears its attention phrase, with or without a word in the same breath, and
"stop". A wake by mistake can do little: Lapcall says where we are, hears one utterance out of the
few that fit, and is asleep again unless that was meant for it.
"""

from __future__ import annotations

from assistant.dialogue import lines
from assistant.dialogue.events import SpeechHeard
from assistant.dialogue.prompts import MAY_SLEEP, place_in_words
from assistant.dialogue.state import Phase, State
from assistant.dialogue.turn import Turn
from assistant.words.meaning import Command
from assistant.words.numbers import in_words
from assistant.words.readback import spoken
from assistant.words.understand import Ask, Understood

LETS_PASS = 3
"""So many utterances that were not for Lapcall, and it sleeps."""


def may_sleep(state: State) -> bool:
    """Tell whether nobody is asked anything, and there is a way to wake again."""
    free = state.phase in MAY_SLEEP and state.aside is None
    return free and state.settings.awake_s is not None


def fall_asleep(turn: Turn) -> None:
    """Hear nothing but the attention phrase and "stop"; the first time, say how to be woken."""
    turn.sound("asleep")
    if not turn.state.slept:
        turn.say(lines.HOW_TO_WAKE)
    turn.change(asleep=True, woken=False, let_pass=0, slept=True)
    turn.listen()


def stirs(turn: Turn, understood: Understood, heard: SpeechHeard) -> bool:
    """Wake for words that were surely meant for Lapcall; True when they are to be heeded.

    Behind a radio "stop" may be anything: asleep an unsure one is asked for once more, awake.
    """
    sure = heard.confidence >= turn.state.settings.trust.answer and not heard.damaged
    if isinstance(understood, Ask) or not (sure or understood is Command.STOP):
        turn.listen()
        return False
    turn.change(asleep=False, woken=True, let_pass=0)
    if not sure:
        turn.sound("awake")
        turn.say(lines.STOP_AGAIN)
        turn.listen_for_an_answer()
    return sure


def heed(turn: Turn) -> None:
    """Note that what was just said was meant for Lapcall: other talk is counted anew."""
    turn.change(let_pass=0)


def let_pass(turn: Turn) -> None:
    """Hear on in silence after words that were not for Lapcall; sleep when they do not end."""
    state = turn.state
    if state.asleep or not may_sleep(state):
        turn.listen()
        return
    passed = state.let_pass + 1
    if passed >= (1 if state.woken else LETS_PASS):
        fall_asleep(turn)
        return
    turn.change(let_pass=passed)
    turn.listen()


def called(turn: Turn) -> None:
    """Answer to the attention phrase alone: say where we are, then hear what fits."""
    state = turn.state
    if state.phase in MAY_SLEEP and state.aside is None:
        turn.change(woken=True)
        turn.sound("awake")
        turn.say(here(turn))
        turn.listen_for_an_answer()
        return
    turn.say(lines.HOLDING if state.phase is Phase.HOLD else state.to_repeat)
    turn.listen()


def here(turn: Turn) -> str:
    """Return where we are in one short sentence: what is left of a wait, else the step."""
    if turn.state.phase is Phase.WAIT and turn.left_s is not None:
        return left_in_words(turn.left_s)
    title, place, of = place_in_words(turn.state)
    return spoken(f"{title.rstrip('.')}, step {place} of {of}")


def how_long(turn: Turn) -> str:
    """Return the answer to "how much longer"."""
    return lines.NO_CLOCK if turn.left_s is None else left_in_words(turn.left_s)


def left_in_words(left_s: int) -> str:
    """Return about how much of a wait is left as a sentence, such as "About two minutes left.".

    Rounded up, so that nobody comes back too early: to ten seconds, above a minute and a half to
    whole minutes, above an hour and a half to five minutes.
    """
    if left_s <= 0:
        return lines.TIME_UP
    if left_s <= 90:
        return f"About {in_words(-(-left_s // 10) * 10)} seconds left."
    minutes = -(-left_s // 60)
    if minutes <= 90:
        return f"About {in_words(minutes)} minutes left."
    hours, rest = divmod(-(-minutes // 5) * 5, 60)
    tail = f" and {in_words(rest)} minutes" if rest else ""
    return f"About {in_words(hours)} {'hour' if hours == 1 else 'hours'}{tail} left."
