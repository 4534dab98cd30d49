"""Has one sentence rendered in a child process, and ends the child when it is cut or too slow.

Used by ``voice`` only.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from assistant.errors import VoiceProblem
from assistant.mouth.render_child import NO_ENGINE
from assistant.mouth.sound import Sound
from assistant.mouth.sound_files import SoundFileError, read_sound

COMMAND = (sys.executable, "-m", "assistant.mouth.render_child")
_LOOK_S = 0.003
"""How often a running child is looked at; it takes some 60 ms in all."""
_ROOT = Path(__file__).resolve().parents[2]
# Kept in memory where the system allows it: it spares the memory card, and a prompt can still
# be spoken when the disk is full.
_SHARED_MEMORY = Path("/dev/shm")  # noqa: S108 - the folder below it is made by mkdtemp


def no_engine_message(system: str, said: str) -> str:
    """Return what to tell the user of ``system`` (as in ``sys.platform``) without an engine."""
    detail = f" (It said: {said})" if said else ""
    if system == "darwin" or system.startswith("win"):
        return (
            "The voice of this computer cannot be used: add an English voice in the system's "
            f"settings for spoken content, then start again.{detail}"
        )
    return (
        "There is no speech engine: install it with 'sudo apt install espeak-ng' "
        f"(or your system's package of that name), then start again.{detail}"
    )


def rendered(
    order: tuple[str, ...], sentence: str, cut: threading.Event, timeout_s: float
) -> Sound | None:
    """Return ``sentence`` as the engine says it; None when it was cut off.

    ``order`` is the child's command line without the file to write, in which ``OUT`` stands.

    Raises:
        VoiceProblem: there is no engine, it was too slow, or it made no sound.
    """
    where = _SHARED_MEMORY if os.access(_SHARED_MEMORY, os.W_OK) else None
    try:
        with tempfile.TemporaryDirectory(prefix="lapcall-", dir=where) as folder:
            return _rendered_in(Path(folder), order, sentence, cut, timeout_s)
    except OSError as problem:
        raise VoiceProblem(
            f"The speech engine could not be started: {problem}. "
            "Free some disk space and memory, then start again."
        ) from problem


def _rendered_in(
    folder: Path, order: tuple[str, ...], sentence: str, cut: threading.Event, timeout_s: float
) -> Sound | None:
    out, told = folder / "said.wav", folder / "told.txt"
    text = folder / "text.txt"
    text.write_text(sentence, encoding="utf-8")
    command = [str(out) if word == "OUT" else word for word in order]
    with text.open("rb") as stdin, told.open("wb") as stderr:
        child = subprocess.Popen(
            command, stdin=stdin, stdout=subprocess.DEVNULL, stderr=stderr, env=_environment()
        )
        in_time = _wait(child, cut, timeout_s)
    if cut.is_set():
        return None
    said = told.read_text(encoding="utf-8", errors="replace").strip()[-300:].replace("\n", " ")
    if not in_time:
        raise VoiceProblem(
            f"The speech engine did not finish a sentence within {timeout_s:g} seconds. "
            "Close other programs and start again."
        )
    if child.returncode == NO_ENGINE:
        raise VoiceProblem(no_engine_message(sys.platform, said))
    return _read(out, child.returncode, said)


def _environment() -> dict[str, str]:
    """Let the child find this very package, installed or not."""
    paths = [str(_ROOT), os.environ.get("PYTHONPATH", "")]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))}


def _wait(child: subprocess.Popen[bytes], cut: threading.Event, timeout_s: float) -> bool:
    """Wait for ``child``, ending it when cut or late; tell whether it ended by itself."""
    give_up = time.monotonic() + timeout_s
    while child.poll() is None:
        if cut.wait(_LOOK_S) or time.monotonic() > give_up:
            child.kill()
            child.wait()
            return False
    return True


def _read(out: Path, code: int, said: str) -> Sound:
    try:
        if code == 0:
            return read_sound(out.read_bytes())
        what = said or f"it left with code {code}"
    except (OSError, SoundFileError) as problem:
        what = str(problem)
    raise VoiceProblem(
        f"The speech engine made no sound: {what}. Try another voice, or install the engine "
        "again ('sudo apt install --reinstall espeak-ng' on Debian and its kin)."
    )
