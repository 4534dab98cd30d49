from __future__ import annotations

import threading

import pytest

from assistant.sound_lock import open_streams, sound_lock, stream_closed, stream_opened


def test_streams_are_counted():
    """Each opened stream counts until it is closed."""
    before = open_streams()
    with sound_lock():
        stream_opened()
        stream_opened()
    during = open_streams()
    with sound_lock():
        stream_closed()
        stream_closed()

    assert (during - before, open_streams() - before) == (2, 0)


def test_closing_twice_is_an_error():
    """A stream closed twice is a fault of ours and is told."""
    with pytest.raises(RuntimeError, match="closed twice"):
        stream_closed()


def test_other_threads_wait_for_the_lock():
    """While one thread holds the sound library, another waits."""
    entered = threading.Event()

    def enter() -> None:
        with sound_lock():
            entered.set()

    other = threading.Thread(target=enter)
    with sound_lock():
        other.start()
        waited = not entered.wait(0.05)
    other.join(1)

    assert waited
    assert entered.is_set()
