"""What lies in a job folder, and where. Imports ``record`` and ``errors``.

records/shift-DAY-FINGERPRINT/          one record as its device wrote it: record.jsonl, clips/
records/shift-DAY-FINGERPRINT-fork-N/   each branch of a record that was continued twice
broken/FINGERPRINT/                     a record that is not as it was written, kept as it came
keys/FINGERPRINT.pem                    public keys of the devices whose signatures came along
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from assistant.errors import UsageProblem
from assistant.record.journal import FILE_NAME

RECORDS_NAME = "records"
BROKEN_NAME = "broken"
KEYS_NAME = "keys"
LOCK_NAME = "gather.lock"


def is_job(folder: Path) -> bool:
    """Tell whether a folder holds gathered records."""
    return (folder / RECORDS_NAME).is_dir() and not (folder / FILE_NAME).exists()


def records_in(folder: Path) -> tuple[Path, ...]:
    """Return the folders of the records in a folder: itself, or all that a job folder holds.

    Raises:
        UsageProblem: there is none.
    """
    if (folder / FILE_NAME).is_file():
        return (folder,)
    found = [*_records(folder / RECORDS_NAME), *_records(folder / BROKEN_NAME)]
    if not found:
        raise UsageProblem(f"There is no record in {folder}. Name its folder with --record.")
    return tuple(found)


def records_of(folders: Iterable[Path]) -> tuple[Path, ...]:
    """Return the records of several folders, each once; raises ``UsageProblem``."""
    return tuple(dict.fromkeys(record for folder in folders for record in records_in(folder)))


def _records(folder: Path) -> list[Path]:
    return sorted(path.parent for path in folder.glob(f"*/{FILE_NAME}"))
