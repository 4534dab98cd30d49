"""``lapcall gather`` and ``lapcall sign``: records of many devices, and proof of which device."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.commands.options import add_record, now
from assistant.errors import LapcallError, RecordProblem

if TYPE_CHECKING:
    from assistant.commands.options import Commands


def add_to(commands: Commands) -> None:
    """Add both commands."""
    gather = commands.add_parser(
        "gather", help="bring the records of many devices and days together"
    )
    gather.add_argument(
        "sources", nargs="+", type=Path, metavar="FROM", help="a folder or a zip file with records"
    )
    gather.add_argument(
        "--into", type=Path, required=True, metavar="JOB", help="the job folder; made if missing"
    )
    gather.set_defaults(run=run_gather)
    sign = commands.add_parser("sign", help="sign a record with the key of this device")
    add_record(sign, "folder of the record (usually the newest)")
    what = sign.add_mutually_exclusive_group()
    what.add_argument("--make-key", action="store_true", help="make this device's key, once")
    what.add_argument("--show-key", action="store_true", help="show the key's public half")
    sign.set_defaults(run=run_sign)


def run_gather(options: argparse.Namespace) -> int:
    """Merge, and say what was found."""
    from assistant.gather.merge import gather  # noqa: PLC0415 - no other command needs it

    report = gather(options.sources, options.into, now())
    for told in report.lines():
        print(told)
    return RecordProblem.exit_code if report.serious else 0


def sign_where_asked(folder: Path) -> None:
    """Sign a record that was closed, on a device that has a key; a failure is told, no more.

    The record is whole without it, and can be signed later.
    """
    from assistant.gather import keys  # noqa: PLC0415 - it needs an extra, where there is a key

    if not keys.key_file().exists():
        return
    try:
        keys.sign(folder)
    except LapcallError as problem:
        print(f"lapcall: The record is closed and was not signed. {problem}", file=sys.stderr)


def run_sign(options: argparse.Namespace) -> int:
    """Sign a record, or make or show the key."""
    from assistant.gather import keys, signatures  # noqa: PLC0415 - no other command needs it

    if options.make_key or options.show_key:
        key = keys.make_key() if options.make_key else keys.public_key()
        print(f"Key of this device: {signatures.fingerprint(key)}")
        print(signatures.public_pem(key).decode("ascii"), end="")
        if options.make_key:
            print(f"Its secret half is in {keys.key_file()}. Give that to nobody.")
        return 0
    folder = options.record or places.latest_shift()
    signature = keys.sign(folder)
    key = bytes.fromhex(signature.key)
    print(f"{signature.lines} lines signed by {signatures.fingerprint(key)}: {signature.file_name}")
    return 0
