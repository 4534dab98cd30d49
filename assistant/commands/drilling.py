"""``lapcall drill``: questions about faults and their causes, by voice, typed or from WAV files."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import __version__, places
from assistant.commands.options import (
    add_model,
    add_record,
    now,
    open_recogniser,
    say_missing_words,
)
from assistant.commands.working import (
    SCRIPT_TOO_SHORT,
    add_sources,
    ended_by_signals,
    rehearsal_mouth,
    script,
    show_heard,
    show_nothing,
)
from assistant.drill.loader import Bank, load_bank
from assistant.drill.practice import grammars_of, practise, sentences
from assistant.drill.state import Manner as DrillManner
from assistant.ear.ports import Ear
from assistant.ear.scripted import TypedEar
from assistant.ear.trust import ANSWER_TRUST
from assistant.errors import ModelProblem
from assistant.mouth.ports import Mouth
from assistant.procedure.loader import load_procedure, load_procedures
from assistant.record import kinds
from assistant.record.journal import Record
from assistant.shift import Manner, Shift

if TYPE_CHECKING:
    from assistant.commands.options import Commands
    from assistant.ear.recogniser import Recogniser

FOLDER = "drill"
"""Under the folder of records: drills lie apart from the shifts, and one behind the other."""


def add_to(commands: Commands) -> None:
    """Add the command."""
    drill = commands.add_parser("drill", help="practise: questions about faults and their causes")
    drill.add_argument(
        "procedures",
        nargs="*",
        metavar="PROCEDURE",
        help="checklists whose dangers are asked about as well (usually all)",
    )
    drill.add_argument("--typed", action="store_true", help="answer at the keyboard, not by voice")
    add_sources(drill)
    drill.add_argument(
        "--headset",
        action="store_true",
        help='the microphone cannot hear the loudspeaker: "stop" works while Lapcall speaks',
    )
    drill.add_argument(
        "--questions",
        type=_count,
        default=12,
        metavar="N",
        help="after so many answers it is over (usually 12)",
    )
    drill.add_argument(
        "--learner", metavar="NAME", help="whose answers these are; each has an own score"
    )
    drill.add_argument(
        "--seed", type=int, metavar="N", help="order of new questions (usually by the day)"
    )
    drill.add_argument("--bank", type=Path, metavar="FILE", help="another file of questions (YAML)")
    add_record(drill, "folder to keep the score in (usually the one of all drills)")
    add_model(drill)
    drill.set_defaults(run=run_drill)


def _count(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 99:
        raise argparse.ArgumentTypeError("write a whole number from 1 to 99")
    return int(text)


def run_drill(options: argparse.Namespace) -> int:
    """Hold one drill."""
    if options.procedures:
        named = [load_procedure(places.procedure_file(name)) for name in options.procedures]
    else:
        named = list(load_procedures(places.home() / "checklists").values())
    bank = load_bank(options.bank or places.home() / "checklists" / "drill" / "faults.yaml", named)
    typed = bool(options.typed or options.script or options.wav)
    ear, mouth = (_played if typed else _live)(options, bank)
    manner = Manner(pretend_time=True, echo_tail_s=0) if typed else Manner(options.headset)
    return _hold(options, bank, ear, mouth, manner)


def _hold(options: argparse.Namespace, bank: Bank, ear: Ear, mouth: Mouth, manner: Manner) -> int:
    seed = now().toordinal() if options.seed is None else options.seed
    asked = DrillManner(options.questions, seed, ANSWER_TRUST)
    about = {
        "learner": options.learner,
        "software": __version__,
        "rehearsal": manner.pretend_time,
    }
    record = Record.open(options.record or places.data() / FOLDER, now)
    shift = Shift(ear, mouth, record, manner, show_nothing if options.silent else show_heard)
    try:
        for note in record.notes:
            print(f"lapcall: {note}", file=sys.stderr)
        with ended_by_signals(shift):
            shift.start()
            mouth.prepare(sentences(bank.questions))
            whole = practise(shift, record, bank, asked, about)
        # A spoken stop is no fault; a script that ended too early is.
        last = record.entries[-1]
        stopped = last.kind == kinds.DRILL_ENDED and last.fields["said"] is not None
        return 0 if whole or stopped else SCRIPT_TOO_SHORT
    finally:
        ear.close()
        mouth.close()
        record.close()


def _live(options: argparse.Namespace, bank: Bank) -> tuple[Ear, Mouth]:
    from assistant.ear.vosk_ear import VoskEar  # noqa: PLC0415 - the sound library loads late
    from assistant.mouth.spoken import SpokenMouth  # noqa: PLC0415

    return VoskEar(_recogniser(options, bank)), SpokenMouth(echo_to=sys.stdout)


def _played(options: argparse.Namespace, bank: Bank) -> tuple[Ear, Mouth]:
    lines = script(options)
    if isinstance(lines, list) and lines and all(line.lower().endswith(".wav") for line in lines):
        from assistant.ear.wav_ear import WavEar  # noqa: PLC0415 - the recogniser loads late

        files = [Path(line) for line in lines]
        return WavEar(_recogniser(options, bank), files), rehearsal_mouth(options)
    return TypedEar(lines), rehearsal_mouth(options)


def _recogniser(options: argparse.Namespace, bank: Bank) -> Recogniser:
    """Return the recogniser, once it is known that it can hear "stop" and the answers."""
    recogniser = open_recogniser(options)
    if "stop" in say_missing_words(recogniser, grammars_of(bank.questions)):
        raise ModelProblem("Without stop nobody can end. Use another model, or leave --model out.")
    return recogniser
