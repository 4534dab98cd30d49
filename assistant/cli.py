"""The command line: ``lapcall COMMAND``. Nothing is decided here. Imports ``commands``."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from assistant import __version__
from assistant.commands import (
    checking,
    conditions,
    drilling,
    exporting,
    gathering,
    hearing,
    judging,
    papers,
    proving,
    tidying,
    working,
)
from assistant.errors import LapcallError

STOPPED = 130
"""Exit code after an interrupt, as shells expect it."""


def parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    top = argparse.ArgumentParser(
        prog="lapcall",
        description="A hands-free voice helper for people who hand-weld roofing membrane.",
    )
    top.add_argument("--version", action="version", version=f"lapcall {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for group in (
        *(working, drilling, hearing, judging, conditions, papers, checking, proving),
        *(gathering, exporting, tidying),
    ):
        group.add_to(commands)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; return its exit code."""
    options = parser().parse_args(argv)
    try:
        code: int = options.run(options)
        sys.stdout.flush()
    except LapcallError as problem:
        print(f"lapcall: {problem}", file=sys.stderr)
        return problem.exit_code
    except KeyboardInterrupt:
        return STOPPED
    except BrokenPipeError:
        # The reader went away (a pager was left). Keep Python from complaining at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return code
