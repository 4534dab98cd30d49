"""Marks on the seam, and events: at any time, and then back to where the conversation was.

Imports the modules of ``dialogue``. A mark counts only after its place was read back and a yes was
heard: a wrong position is a wrong number in the record. An event holds no number; it is written at
once, said back, and can be taken back.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from assistant.dialogue import lines
from assistant.dialogue.aside import MarkAside, Place
from assistant.dialogue.coming_back import ask_for, ask_once_more, come_back, wait_again
from assistant.dialogue.events import SpeechHeard
from assistant.dialogue.state import TRIES_BEFORE_NOT_HEARD, TRIES_BEFORE_SECOND_WAY, State
from assistant.dialogue.turn import Turn
from assistant.record import kinds
from assistant.words import marks as words
from assistant.words.commands import YES_NO, commands
from assistant.words.meaning import Happened, Marked, Position, YesNo
from assistant.words.numbers import in_words
from assistant.words.phrase import Grammar, any_of, table
from assistant.words.readback import spoken

WHERE = Grammar("where on the seam", any_of(words.position(), commands()))
CONFIRM = Grammar(
    "confirm a mark", any_of(table({**YES_NO}), words.corrected_position(), commands())
)
TOLD = {
    "power-lost": lines.POWER_LOST,
    "rain": lines.RAIN,
    "changing": lines.GUN_CHANGES,
    "break": lines.BREAK,
}
"""What is said back, by the event's name in the record."""


def happened(turn: Turn, what: Happened, heard: SpeechHeard) -> None:
    """Write an event and say it back; whatever was waited for is still waited for."""
    turn.log(
        kinds.EVENT,
        step=turn.state.step_id,
        seam=turn.state.today.seam(),
        what=what.what,
        part=what.part,
        said=heard.text,
        confidence=heard.confidence,
        clip=heard.clip,
    )
    turn.sound("heard")
    turn.change(last_heard=heard.text)
    turn.say(TOLD[what.what])
    wait_again(turn)


def mark(turn: Turn, marked: Marked, heard: SpeechHeard) -> None:
    """Begin a mark, or say one that is open in another way."""
    open_one = _open(turn.state)
    aside = MarkAside(
        ask="",
        grammar=WHERE,
        what=marked.what,
        said=heard.text,
        clip=heard.clip,
        seam=turn.state.today.seam(),
        tries=open_one.tries if open_one else (),
    )
    turn.change(last_heard=f"mark {words.defect_in_words(marked.what)}")
    if marked.position_ft is None:
        turn.sound("heard")
        _ask_where(turn, aside)
    else:
        _place(turn, aside, marked.position_ft, heard)


def _open(state: State) -> MarkAside | None:
    return next((aside for aside in state.asides if isinstance(aside, MarkAside)), None)


def answered(turn: Turn, aside: MarkAside, what: Position | YesNo, heard: SpeechHeard) -> None:
    """Take the position, or the answer to its read-back."""
    if isinstance(what, Position):
        _place(turn, aside, what.position_ft, heard)
    elif aside.place is not None and what.yes:
        _write(turn, aside, aside.place, heard)
    else:
        missed(turn, aside, heard, lines.SAY_MARK_AGAIN, tone="heard")


def _ask_where(turn: Turn, aside: MarkAside, *first: str) -> None:
    ask = f"{spoken(words.defect_in_words(aside.what))} {lines.WHERE_IS_IT}"
    ask_for(turn, replace(aside, ask=ask, grammar=WHERE, place=None, reminded=False), *first)


def _place(turn: Turn, aside: MarkAside, position_ft: Fraction, heard: SpeechHeard) -> None:
    """Read a position back; it counts only after a spoken yes."""
    called = words.defect_in_words(aside.what)
    turn.change(last_heard=f"{called} at {words.feet_in_words(position_ft)}")
    if heard.confidence < turn.state.settings.trust.value:
        missed(turn, aside, heard, lines.NOT_SURE)
        return
    longest = turn.state.today.seam_length_ft()
    if position_ft > min(words.FARTHEST_FT, longest or words.FARTHEST_FT):
        at = spoken(words.feet_in_words(position_ft))
        missed(turn, aside, heard, f"{at} {lines.OFF_THE_SEAM}")
        return
    ask = _read_back(aside, position_ft)
    place = Place(
        position_ft=position_ft, said=heard.text, confidence=heard.confidence, clip=heard.clip
    )
    turn.sound("heard")
    ask_for(turn, replace(aside, ask=ask, grammar=CONFIRM, place=place, reminded=False))


def _read_back(aside: MarkAside, position_ft: Fraction) -> str:
    """Return the mark with its seam: a yes is a yes to both."""
    at = spoken(f"{words.defect_in_words(aside.what)} at {words.feet_in_words(position_ft)}")
    digits = spoken(words.feet_by_digits(position_ft))
    seam = spoken(f"seam {in_words(int(aside.seam))}") if aside.seam else lines.NO_SEAM_YET
    return f"{at} {digits} {seam} {lines.IS_THAT_RIGHT}"


def _write(turn: Turn, aside: MarkAside, place: Place, yes: SpeechHeard) -> None:
    apart = aside.said != place.said
    turn.log(
        kinds.MARK,
        step=turn.state.step_id,
        seam=aside.seam,
        what=aside.what,
        position_ft=str(place.position_ft),
        said=aside.said,
        said_at=place.said,
        read_back=aside.ask,
        confirmed_by=yes.text,
        confirmed_clip=yes.clip,
        confidence=place.confidence,
        clip=place.clip,
        clips=[aside.clip] if apart and aside.clip else [],
    )
    turn.sound("heard")
    turn.say(lines.MARKED)
    come_back(turn)


def unclear(turn: Turn, aside: MarkAside, heard: SpeechHeard, say: str) -> None:
    """Take nothing from these words; a read-back is said once more before it is given up."""
    if aside.place is not None and not aside.reminded:
        turn.sound("not understood")
        ask_once_more(turn, aside)
    else:
        missed(turn, aside, heard, say)


def missed(
    turn: Turn, aside: MarkAside, heard: SpeechHeard, say: str, tone: str = "not understood"
) -> None:
    """Count a failed attempt: ask again, then digit by digit, then log it as not heard."""
    tried = (aside.place.said, aside.place.clip) if aside.place else (heard.text, heard.clip)
    aside = replace(aside, tries=(*aside.tries, tried))
    if len(aside.tries) >= TRIES_BEFORE_NOT_HEARD:
        give_up(turn, aside, because="tries")
        return
    turn.sound(tone)
    second = len(aside.tries) >= TRIES_BEFORE_SECOND_WAY
    _ask_where(turn, aside, say, lines.WHERE_BY_DIGITS if second else "")


def give_up(turn: Turn, aside: MarkAside, because: str) -> None:
    """Write that a mark was meant and its place was not heard."""
    tries = aside.tries
    if because == "quiet":
        tries = (*tries, (aside.place.said, aside.place.clip) if aside.place else ("", None))
    turn.log(
        kinds.MARK_NOT_HEARD,
        step=turn.state.step_id,
        seam=aside.seam,
        what=aside.what,
        said=[said for said, _ in tries],
        clips=list(dict.fromkeys(clip for clip in (aside.clip, *(c for _, c in tries)) if clip)),
        because=because,
    )
    turn.sound("not understood")
    turn.say(lines.NOT_MARKED)
    come_back(turn)
