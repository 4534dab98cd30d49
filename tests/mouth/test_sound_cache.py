from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from assistant.mouth.cache import SoundCache, default_folder
from assistant.mouth.sound import Sound

SOUND = Sound(np.arange(1, 500, dtype=np.int16), 22_050)


def test_kept_sound_comes_back(tmp_path: Path):
    """What was put under a key is got under it, and under no other."""
    cache = SoundCache(tmp_path / "deep" / "mouth")
    cache.put("one", SOUND)
    got = cache.get("one")

    assert got is not None
    assert got.samples.tolist() == SOUND.samples.tolist()
    assert cache.get("two") is None


@pytest.mark.parametrize("spoil", ["torn", "zeros", "empty", "text"])
def test_spoiled_file_counts_as_missing(tmp_path: Path, spoil):
    """A file that a power cut left broken is not played; the sentence is rendered again."""
    cache = SoundCache(tmp_path)
    cache.put("one", SOUND)
    whole = cache.path("one").read_bytes()
    spoiled = {
        "torn": whole[:-10],
        "zeros": whole[:44] + bytes(len(whole) - 44),
        "empty": b"",
        "text": b"hello",
    }
    cache.path("one").write_bytes(spoiled[spoil])

    assert cache.get("one") is None


def test_folder_that_cannot_be_made_does_no_harm(tmp_path: Path):
    """Where nothing can be kept, nothing is kept, and nobody is bothered."""
    (tmp_path / "file").write_text("in the way")
    cache = SoundCache(tmp_path / "file" / "mouth")
    cache.put("one", SOUND)

    assert cache.get("one") is None


def test_no_unfinished_file_is_left(tmp_path: Path):
    """After a put only the finished file is there, under its own name."""
    cache = SoundCache(tmp_path)
    cache.put("one", SOUND)

    assert list(tmp_path.iterdir()) == [cache.path("one")]


def test_sounds_not_used_for_longest_go_first(tmp_path: Path):
    """Beyond its size the cache forgets what was not used for longest."""
    cache = SoundCache(tmp_path)
    for age_s, key in enumerate(["newest", "newer", "older", "oldest"]):
        cache.put(key, SOUND)
        os.utime(cache.path(key), (1e9 - age_s, 1e9 - age_s))
    cache.get("older")
    size = cache.path("newest").stat().st_size
    small = SoundCache(tmp_path, most_bytes=2 * size)
    kept = {key for key in ("newest", "newer", "older", "oldest") if small.get(key)}

    assert kept == {"newest", "older"}


def test_environment_moves_the_cache(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    """LAPCALL_CACHE says where rendered sentences are kept."""
    monkeypatch.setenv("LAPCALL_CACHE", str(tmp_path))

    assert default_folder() == tmp_path / "mouth"
