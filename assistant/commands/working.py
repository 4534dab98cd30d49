"""``lapcall work`` and ``lapcall rehearse``: the same loop, live or from a script."""

from __future__ import annotations

import argparse
import signal
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import __version__, places
from assistant.commands.gathering import sign_where_asked
from assistant.commands.options import (
    add_model,
    add_record,
    add_rules,
    check_model,
    now,
    open_recogniser,
)
from assistant.day import Day
from assistant.dialogue.state import Detail, Settings, Trust
from assistant.ear.ports import Ear
from assistant.ear.scripted import SILENCE_LINES, TypedEar
from assistant.ear.trust import ANSWER_TRUST, VALUE_TRUST, YES_TRUST
from assistant.errors import UsageProblem
from assistant.mouth.ports import Mouth
from assistant.mouth.scripted import PrintedMouth
from assistant.procedure.loader import load_job, load_procedure, read_job
from assistant.procedure.model import Procedure
from assistant.procedure.testing_rules import load_rules
from assistant.record.clips import load as load_packing
from assistant.record.journal import Record
from assistant.shift import Manner, Shift
from assistant.shift_record import close_shift, open_record
from assistant.words.attention import ATTENTION, attention
from assistant.words.phrase import Grammar

if TYPE_CHECKING:
    from assistant.commands.options import Commands
    from assistant.ear.recogniser import Recogniser

USUAL = ("pre-weld", "finish-weld")
NEXT_SEAM = "next-seam"
SCRIPT_TOO_SHORT = 1
"""Exit code when a script ended before its procedures; a spoken stop is no fault."""


def add_to(commands: Commands) -> None:
    """Add both commands."""
    work = commands.add_parser("work", help="walk through procedures by voice")
    _common(work)
    work.add_argument(
        "--headset",
        action="store_true",
        help='the microphone cannot hear the loudspeaker: "stop" works while Lapcall speaks',
    )
    work.add_argument(
        "--cut-short",
        action="store_true",
        help="with --headset: an answer said into a question cuts it short",
    )
    add_model(work)
    work.set_defaults(run=run_work)
    rehearse = commands.add_parser("rehearse", help="the same, from typed lines or WAV files")
    _common(rehearse)
    add_sources(rehearse)
    add_model(rehearse)
    rehearse.set_defaults(run=run_rehearse)


def add_sources(command: argparse.ArgumentParser) -> None:
    """Add where a rehearsal takes its words from, and how it answers."""
    source = command.add_mutually_exclusive_group()
    source.add_argument(
        "--from",
        dest="script",
        metavar="FILE",
        type=Path,
        help="lines to take instead of the keyboard: what is said, or names of WAV files",
    )
    source.add_argument("--wav", nargs="+", type=Path, metavar="FILE", help="WAV files, in order")
    how = command.add_mutually_exclusive_group()
    how.add_argument("--silent", action="store_true", help="print nothing but problems")
    how.add_argument("--aloud", action="store_true", help="speak through the loudspeaker as well")


def _common(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "procedures",
        nargs="*",
        default=list(USUAL),
        metavar="PROCEDURE",
        help=f"names or files of checklists, in order (usually {' '.join(USUAL)})",
    )
    add_record(command, "folder to keep the record in (usually today's)")
    add_rules(command)
    command.add_argument("--job", type=Path, metavar="FILE", help="what is welded, by whom (YAML)")
    command.add_argument(
        "--detail",
        choices=[detail.value for detail in Detail],
        default=Detail.STANDARD.value,
        help="apprentice: hear why at every step; brief: no cues, shorter read-backs (usually "
        "standard). Every value is confirmed in each",
    )
    command.add_argument("--once", action="store_true", help="do not offer another seam at the end")
    command.add_argument("--fresh", action="store_true", help="do not go on with an unfinished run")
    command.add_argument(
        "--quiet-s",
        type=_seconds,
        default=20,
        metavar="S",
        help="silence before a reminder, and again before a hold (usually 20)",
    )
    sleep = command.add_mutually_exclusive_group()
    sleep.add_argument(
        "--awake-s",
        type=_seconds,
        default=60,
        metavar="S",
        help="silence before Lapcall sleeps where it asks nothing (usually 60)",
    )
    sleep.add_argument(
        "--never-sleep", action="store_true", help="hear every word, also while hands weld"
    )


def _seconds(text: str) -> int:
    if not text.isdigit() or not 3 <= int(text) <= 600:
        raise argparse.ArgumentTypeError("write whole seconds from 3 to 600")
    return int(text)


def run_work(options: argparse.Namespace) -> int:
    """Work live, with microphone and loudspeaker."""
    from assistant.ear.vosk_ear import VoskEar  # noqa: PLC0415 - the sound library loads late
    from assistant.mouth.spoken import SpokenMouth  # noqa: PLC0415

    load_packing()
    if options.cut_short and not options.headset:
        raise UsageProblem("--cut-short needs --headset: else Lapcall would hear itself answer.")
    procedures = _procedures(options)
    recogniser = open_recogniser(options)
    check_model(recogniser, procedures)
    _stay_awake_where_deaf(options, recogniser)
    ear = VoskEar(recogniser)
    mouth = SpokenMouth(echo_to=sys.stdout)
    return _converse(
        options,
        procedures,
        ear,
        mouth,
        Manner(headset=options.headset, cut_short=options.cut_short),
    )


def _stay_awake_where_deaf(options: argparse.Namespace, recogniser: Recogniser) -> None:
    """Never sleep where no word could wake it: another model may lack our name."""
    if not options.never_sleep and recogniser.missing_words(Grammar("attention", attention())):
        options.never_sleep = True
        print(
            f'lapcall: without "{ATTENTION[0]}" it cannot be woken and stays awake', file=sys.stderr
        )


def run_rehearse(options: argparse.Namespace) -> int:
    """Walk through procedures without a microphone."""
    procedures = _procedures(options)
    ear = _rehearsal_ear(options, procedures)
    return _converse(
        options,
        procedures,
        ear,
        rehearsal_mouth(options),
        Manner(pretend_time=True, echo_tail_s=0),
    )


def rehearsal_mouth(options: argparse.Namespace) -> Mouth:
    """Return a mouth that prints, and speaks where that was asked for."""
    if options.aloud:
        from assistant.mouth.spoken import SpokenMouth  # noqa: PLC0415 - sound only where wanted

        return SpokenMouth(echo_to=sys.stdout)
    return PrintedMouth(sys.stdout, silent=options.silent)


def _rehearsal_ear(options: argparse.Namespace, procedures: list[Procedure]) -> Ear:
    lines = script(options)
    # A generator is what is being typed: nothing of it can be looked at ahead.
    files = _recordings(lines) if isinstance(lines, list) else []
    if files:
        from assistant.ear.wav_ear import WavEar  # noqa: PLC0415 - the recogniser loads late

        recogniser = open_recogniser(options)
        check_model(recogniser, procedures)
        _stay_awake_where_deaf(options, recogniser)
        return WavEar(recogniser, files)
    return TypedEar(lines)


def script(options: argparse.Namespace) -> list[str] | Iterable[str]:
    """Return what is said instead of listening, line by line; WAV files with their folder."""
    if options.wav:
        return [str(path) for path in options.wav]
    if options.script is None:
        return (line.strip() for line in sys.stdin)
    try:
        text = options.script.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as problem:
        raise UsageProblem(f"The script {options.script} cannot be read: {problem}.") from problem
    rows = [line.strip() for line in text.splitlines()]
    rows = [line for line in rows if line and not line.startswith("#")]
    folder = options.script.parent
    return [str(folder / row) if row.lower().endswith(".wav") else row for row in rows]


def _recordings(lines: list[str]) -> list[Path | None]:
    """Return the WAV files of a script, with None for each silence; none where it holds words."""
    files = [None if line in SILENCE_LINES else Path(line) for line in lines]
    wav = [file is not None and file.suffix.lower() == ".wav" for file in files]
    return files if any(wav) and wav.count(False) == files.count(None) else []


def _procedures(options: argparse.Namespace) -> list[Procedure]:
    return [_procedure(options, name) for name in options.procedures]


def _procedure(options: argparse.Namespace, name: str) -> Procedure:
    job = read_job(options.job) if options.job else None
    return load_procedure(places.procedure_file(name), job=job)


def _converse(
    options: argparse.Namespace, procedures: list[Procedure], ear: Ear, mouth: Mouth, manner: Manner
) -> int:
    about = {"software": __version__, "rehearsal": manner.pretend_time}
    about["job"] = load_job(options.job) if options.job else {}
    settings = Settings(
        Detail(options.detail),
        Trust(ANSWER_TRUST, VALUE_TRUST, YES_TRUST),
        options.quiet_s,
        None if options.never_sleep else options.awake_s,
        load_rules(options.rules or places.rules_file()),
    )
    again = None if options.once else _procedure(options, NEXT_SEAM)
    record = _opened(options, ear, mouth)
    silent = getattr(options, "silent", False)
    shift = Shift(ear, mouth, record, manner, show_nothing if silent else show_heard)
    try:
        for note in record.notes:
            print(f"lapcall: {note}", file=sys.stderr)
        with ended_by_signals(shift):
            shift.start()
            whole = Day(shift, record, settings, about).work(procedures, again, fresh=options.fresh)
            last = record.entries[-1].fields
            close_shift(record, mouth)
        sign_where_asked(record.folder)
        heard_out = last.get("said") is not None or "because" in last
        return 0 if whole or heard_out else SCRIPT_TOO_SHORT
    finally:
        ear.close()
        mouth.close()
        record.close()


def _opened(options: argparse.Namespace, ear: Ear, mouth: Mouth) -> Record:
    try:
        return open_record(options.record or places.shift_folder(now()), now, mouth)
    except BaseException:
        ear.close()
        mouth.close()
        raise


def show_nothing(_: str) -> None:
    """Show nothing of what was heard."""


def show_heard(text: str) -> None:
    """Show what was heard."""
    print(f"    You: {text or '(no words)'}", flush=True)


@contextmanager
def ended_by_signals(shift: Shift) -> Iterator[None]:
    """Let the interrupt key and a polite kill do what the word "stop" does."""
    before = {
        number: signal.signal(number, lambda *_: shift.stop())
        for number in (signal.SIGINT, signal.SIGTERM)
    }
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
