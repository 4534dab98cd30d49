"""One lock for the sound library, which ear and mouth share. Imports nothing of ours.

PortAudio is one library per process with one table of devices: opening or closing a stream while
another thread re-initialises it ends the process. So: open and close streams, and re-initialise,
only under ``sound_lock()``; and re-initialise only when ``open_streams()`` is 0.

    with sound_lock():
        stream = sounddevice.RawOutputStream(...)
        stream_opened()
    ...
    with sound_lock():
        stream.close()
        stream_closed()
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

_lock = threading.RLock()
_open = 0


@contextmanager
def sound_lock() -> Iterator[None]:
    """Hold the sound library. Any thread; one thread may nest it. Never hold it while playing."""
    with _lock:
        yield


def stream_opened() -> None:
    """Count one more open stream. Call under ``sound_lock()``."""
    global _open  # noqa: PLW0603 - PortAudio itself is one per process
    with _lock:
        _open += 1


def stream_closed() -> None:
    """Count one open stream less. Call under ``sound_lock()``.

    Raises:
        RuntimeError: no stream was open; one was closed twice.
    """
    global _open  # noqa: PLW0603 - PortAudio itself is one per process
    with _lock:
        if _open == 0:
            raise RuntimeError("a sound stream was closed twice")
        _open -= 1


def open_streams() -> int:
    """Return how many streams of this process are open."""
    with _lock:
        return _open
