from __future__ import annotations

import threading
import time
from pathlib import Path

import pytest
from support.voices import FakeEngine

from assistant.errors import VoiceProblem
from assistant.mouth.cache import SoundCache
from assistant.mouth.rendering import no_engine_message
from assistant.mouth.voice import DEFAULT_VOICE, Voice


def _voice(tmp_path: Path, engine: FakeEngine, **options) -> Voice:
    return Voice(cache=SoundCache(tmp_path / "cache"), command=engine.command, **options)


def _until(true, timeout_s: float = 5) -> bool:
    give_up = time.monotonic() + timeout_s
    while not true() and time.monotonic() < give_up:
        time.sleep(0.005)
    return true()


def test_cached_sentence_starts_no_child(tmp_path: Path):
    """A sentence is rendered once; the next time, even after a restart, it is read from disk."""
    engine = FakeEngine(tmp_path / "engine")
    first = _voice(tmp_path, engine).sound("Wait.", threading.Event())
    again = _voice(tmp_path, engine).sound("Wait.", threading.Event())

    assert first is not None
    assert again is not None
    assert again.samples.tolist() == first.samples.tolist()
    assert engine.asked() == [f"{DEFAULT_VOICE} 165 Wait."]


@pytest.mark.parametrize("options", [{"name": "en-gb"}, {"rate_wpm": 140}])
def test_other_voice_or_rate_is_rendered_anew(tmp_path: Path, options):
    """What was rendered with one voice or rate is not played for another."""
    engine = FakeEngine(tmp_path / "engine")
    _voice(tmp_path, engine).sound("Wait.", threading.Event())
    _voice(tmp_path, engine, **options).sound("Wait.", threading.Event())

    assert len(engine.asked()) == 2


def test_new_processing_is_rendered_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Sound of an older processing is not played."""
    engine = FakeEngine(tmp_path / "engine")
    _voice(tmp_path, engine).sound("Wait.", threading.Event())
    monkeypatch.setattr("assistant.mouth.clarity.VERSION", 999)
    _voice(tmp_path, engine).sound("Wait.", threading.Event())

    assert len(engine.asked()) == 2


def test_corrupt_cache_file_is_rendered_again(tmp_path: Path):
    """A broken file in the cache costs one rendering, and is whole again after it."""
    engine = FakeEngine(tmp_path / "engine")
    cache = SoundCache(tmp_path / "cache")
    voice = _voice(tmp_path, engine)
    good = voice.sound("Wait.", threading.Event())
    cache.path(voice.key("Wait.")).write_bytes(b"RIFF torn")
    again = voice.sound("Wait.", threading.Event())

    assert good is not None
    assert again is not None
    assert again.samples.tolist() == good.samples.tolist()
    assert len(engine.asked()) == 2
    assert cache.get(voice.key("Wait.")) is not None


@pytest.mark.parametrize(
    ("what", "told"),
    [
        ("no engine", "libespeak-ng.so.1 not found"),
        ("crash", "left with code"),
        ("silent", "made no sound"),
        ("hang", "within 0.3 seconds"),
    ],
)
def test_engine_trouble_is_told(tmp_path: Path, what, told):
    """Whatever is wrong with the engine becomes a VoiceProblem that says what."""
    voice = _voice(tmp_path, FakeEngine(tmp_path / "engine", what), timeout_s=0.3)
    with pytest.raises(VoiceProblem, match=told):
        voice.sound("Wait.", threading.Event())


def test_missing_program_is_told(tmp_path: Path):
    """A child that cannot even be started is a VoiceProblem too."""
    voice = Voice(cache=SoundCache(tmp_path), command=(str(tmp_path / "nothing"),))
    with pytest.raises(VoiceProblem, match="could not be started"):
        voice.sound("Wait.", threading.Event())


@pytest.mark.parametrize(
    ("system", "advice"),
    [("linux", "sudo apt install espeak-ng"), ("darwin", "settings"), ("win32", "settings")],
)
def test_advice_fits_the_system(system, advice):
    """Without an engine the user is told what to do on this system."""
    message = no_engine_message(system, "it broke")

    assert advice in message
    assert "it broke" in message


def test_cut_ends_the_rendering_at_once(tmp_path: Path):
    """Cut while the engine works: the child is ended and no time is lost."""
    engine = FakeEngine(tmp_path / "engine", "hang")
    voice = _voice(tmp_path, engine)
    cut = threading.Event()
    ended: list[float] = []

    def render() -> None:
        sound = voice.sound("Wait.", cut)
        ended.append(time.monotonic() if sound is None else -1)

    thread = threading.Thread(target=render)
    thread.start()
    assert _until(engine.asked)
    cut_at = time.monotonic()
    cut.set()
    thread.join(5)

    assert 0 <= ended[0] - cut_at < 0.2


def test_prepared_sentences_are_ready(tmp_path: Path):
    """Prepared sentences are rendered in the background, gently, in order and only once."""
    engine = FakeEngine(tmp_path / "engine")
    voice = _voice(tmp_path, engine)
    voice.prepare(["One.", "Two.", "One."])
    assert _until(lambda: SoundCache(tmp_path / "cache").get(voice.key("Two.")) is not None)
    voice.close()
    _voice(tmp_path, engine).sound("Two.", threading.Event())

    assert engine.asked() == [f"{DEFAULT_VOICE} 165 gently {said}." for said in ("One", "Two")]


def test_sentence_needed_now_does_not_wait_for_prepared_ones(tmp_path: Path):
    """A sentence that is not ready yet is rendered at once, past all that wait."""
    engine = FakeEngine(tmp_path / "engine")
    voice = _voice(tmp_path, engine)
    voice.prepare([f"Sentence {chr(97 + n)}." for n in range(20)])
    voice.sound("Stop.", threading.Event())
    before = [line for line in engine.asked() if "gently" in line]
    voice.close()

    assert len(before) < 10


def test_prepare_never_raises(tmp_path: Path):
    """A broken engine does not spoil preparation; who says the sentence is told."""
    engine = FakeEngine(tmp_path / "engine", "no engine")
    voice = _voice(tmp_path, engine)
    voice.prepare(["One.", "Two."])
    assert _until(lambda: len(engine.asked()) == 2)

    with pytest.raises(VoiceProblem):
        voice.sound("One.", threading.Event())


def test_close_ends_preparation(tmp_path: Path):
    """Closing ends a rendering under way and forgets the rest; closing twice is harmless."""
    engine = FakeEngine(tmp_path / "engine", "hang")
    voice = _voice(tmp_path, engine)
    voice.prepare(["One.", "Two."])
    assert _until(engine.asked)
    began = time.monotonic()
    voice.close()
    voice.close()
    voice.prepare(["Three."])

    assert time.monotonic() - began < 1
    assert [line.split()[-1] for line in engine.asked()] == ["One."]
