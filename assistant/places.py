"""Where Lapcall's own files and the user's files lie. Imports ``errors`` only.

Each place can be moved: ``LAPCALL_HOME`` (checklists and models that ship), ``LAPCALL_DATA``
(records), ``LAPCALL_CACHE`` (what can be made again).
"""

from __future__ import annotations

import os
import sys
from datetime import datetime
from pathlib import Path

import platformdirs

from assistant.errors import UsageProblem


def home() -> Path:
    """Return the folder that holds ``checklists`` and ``models``.

    Raises:
        UsageProblem: they are nowhere to be found.
    """
    named = os.environ.get("LAPCALL_HOME")
    beside = Path(__file__).resolve().parent.parent
    for place in [Path(named)] if named else [beside, Path(sys.prefix) / "share" / "lapcall"]:
        if (place / "checklists").is_dir():
            return place
    raise UsageProblem(
        "Lapcall's checklists and models are missing. Set LAPCALL_HOME to the folder that holds "
        "checklists and models."
    )


def data() -> Path:
    """Return the folder for records."""
    return Path(os.environ.get("LAPCALL_DATA") or platformdirs.user_data_dir("lapcall"))


def cache() -> Path:
    """Return the folder for what can be made again; it may be deleted at any time."""
    return Path(os.environ.get("LAPCALL_CACHE") or platformdirs.user_cache_dir("lapcall"))


def shift_folder(now: datetime) -> Path:
    """Return the folder of today's shift."""
    return data() / f"shift-{now.astimezone():%Y-%m-%d}"


def latest_shift() -> Path:
    """Return the folder of the newest shift.

    Raises:
        UsageProblem: there is none.
    """
    found = sorted(data().glob("shift-*"))
    if not found:
        raise UsageProblem(f"There is no record in {data()}. Name one with --record FOLDER.")
    return found[-1]


def model() -> Path:
    """Return the recogniser model that ships."""
    return home() / "models" / "ear"


def rules_file() -> Path:
    """Return the rule file that ships: when a test is due, what is in question, where to cut."""
    return home() / "checklists" / "rules" / "testing.yaml"


def procedure_file(name: str) -> Path:
    """Return the file of a procedure, given its name or a path.

    Raises:
        UsageProblem: there is no such checklist; the message lists those there are.
    """
    path = Path(name)
    if path.suffix in (".yaml", ".yml"):
        if path.is_file():
            return path
        raise UsageProblem(f"There is no checklist file {name}.")
    shipped = home() / "checklists" / f"{name}.yaml"
    if shipped.is_file():
        return shipped
    known = ", ".join(
        sorted(file.stem for file in shipped.parent.glob("*.yaml") if file.stem != "job")
    )
    raise UsageProblem(f"There is no checklist {name}. There are: {known}.")
