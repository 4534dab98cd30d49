"""Keeps rendered sentences on disk, so that a prompt sounds at once the next time.

Used by ``voice`` only. A cache may be lost, torn, full or not writable at any time: then the
sentence is rendered again, and nothing else happens.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from pathlib import Path

from assistant import places
from assistant.mouth.sound import Sound
from assistant.mouth.sound_files import SoundFileError, read_sound, wav_bytes

MOST_BYTES = 200_000_000
"""Some two thousand sentences; beyond it, those not used for longest go first."""


def default_folder() -> Path:
    """Return where rendered sentences belong; ``LAPCALL_CACHE`` overrides the root."""
    return places.cache() / "mouth"


class SoundCache:
    """Sounds by key. Any thread, and any number of processes at a time."""

    def __init__(self, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        self.folder = folder
        self._most_bytes = most_bytes
        self.prune()

    def path(self, key: str) -> Path:
        """Return the file in which the sound of ``key`` is kept."""
        return self.folder / f"{hashlib.sha256(key.encode()).hexdigest()}.wav"

    def get(self, key: str) -> Sound | None:
        """Return the sound kept under ``key``; None when there is none, or only a broken one."""
        path = self.path(key)
        try:
            sound = read_sound(path.read_bytes())
        except (OSError, SoundFileError):
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return sound

    def put(self, key: str, sound: Sound) -> None:
        """Keep ``sound``; does nothing where the disk does not allow it."""
        unfinished = ""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, unfinished = tempfile.mkstemp(suffix=".part", dir=self.folder)
            with os.fdopen(handle, "wb") as out:
                out.write(wav_bytes(sound))
                out.flush()
                # Without it a power cut can leave the new name on an empty file.
                os.fsync(out.fileno())
            Path(unfinished).replace(self.path(key))
        except OSError:
            if unfinished:
                with contextlib.suppress(OSError):
                    Path(unfinished).unlink(missing_ok=True)

    def prune(self) -> None:
        """Remove the sounds not used for longest until the rest is small enough."""
        with contextlib.suppress(OSError):
            files = [(entry.stat(), entry) for entry in self.folder.iterdir()]
            files.sort(key=lambda file: file[0].st_mtime, reverse=True)
            kept_bytes = 0
            for stat, path in files:
                kept_bytes += stat.st_size
                if kept_bytes > self._most_bytes:
                    path.unlink(missing_ok=True)
