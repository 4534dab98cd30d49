from __future__ import annotations

import io
import threading
from dataclasses import dataclass, field

import pytest
from support.voices import tone as plain_tone

from assistant.errors import NoLoudspeaker
from assistant.mouth.ports import Mouth, Tone
from assistant.mouth.sound import Sound
from assistant.mouth.spoken import SpokenMouth


@dataclass
class _FakeVoice:
    """Gives every sentence the same sound, and remembers in what order it was asked."""

    asked: list[str] = field(default_factory=list)
    prepared: list[str] = field(default_factory=list)
    closed: bool = False

    def sound(self, sentence: str, cut: threading.Event) -> Sound | None:
        self.asked.append(sentence)
        return None if cut.is_set() else plain_tone()

    def prepare(self, sentences: list[str]) -> None:
        self.prepared.extend(sentences)

    def close(self) -> None:
        self.closed = True


@dataclass
class _FakePlayer:
    """Plays until told to go on: ``playing`` is set while it waits."""

    holds: bool = False
    played: int = 0
    at_once: int = 0
    most_at_once: int = 0
    playing: threading.Event = field(default_factory=threading.Event)

    def play(self, _sound: Sound, cut: threading.Event) -> bool:
        self.at_once += 1
        self.most_at_once = max(self.most_at_once, self.at_once)
        self.playing.set()
        if self.holds:
            cut.wait(5)
        self.at_once -= 1
        self.played += 1
        return not cut.is_set()


def test_long_text_is_said_sentence_by_sentence():
    """Each sentence has a sound of its own, and those to come are prepared meanwhile."""
    voice, player = _FakeVoice(), _FakePlayer()
    whole = SpokenMouth(voice, player).say("Hot, is it?  Then wait. Now go.")

    assert whole is True
    assert voice.asked == ["Hot, is it?", "Then wait.", "Now go."]
    assert voice.prepared == ["Then wait.", "Now go."]
    assert player.played == 3


def test_cut_ends_the_text_between_sentences_too():
    """After a cut none of the later sentences is rendered or played."""
    voice, player = _FakeVoice(), _FakePlayer(holds=True)
    mouth = SpokenMouth(voice, player)
    ended: list[bool] = []
    thread = threading.Thread(target=lambda: ended.append(mouth.say("One. Two. Three.")))
    thread.start()
    player.playing.wait(5)
    mouth.cut()
    thread.join(5)

    assert ended == [False]
    assert voice.asked == ["One."]


def test_cut_of_silence_has_no_effect_on_what_comes():
    """Cut when nothing sounds: the next sentence is said in full."""
    mouth = SpokenMouth(_FakeVoice(), _FakePlayer())
    mouth.cut()

    assert mouth.say("Wait.") is True


def test_two_threads_take_turns():
    """However many threads speak, one sound plays at a time."""
    player = _FakePlayer()
    mouth = SpokenMouth(_FakeVoice(), player)
    threads = [threading.Thread(target=mouth.say, args=("One. Two.",)) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(5)

    assert (player.played, player.most_at_once) == (8, 1)


@pytest.mark.parametrize("text", ["1 1/4 in", "", "50%"])
def test_text_no_voice_can_say_is_refused(text):
    """Figures and signs are refused before anything sounds."""
    voice, player = _FakeVoice(), _FakePlayer()
    with pytest.raises(ValueError, match=r"spoken|no word"):
        SpokenMouth(voice, player).say(text)

    assert (voice.asked, player.played) == ([], 0)


def test_prepare_never_raises():
    """Preparing passes over what cannot be said, and parts the rest as saying it would."""
    voice = _FakeVoice()
    SpokenMouth(voice, _FakePlayer()).prepare(["One. Two.", "50%", "Three."])

    assert voice.prepared == ["One.", "Two.", "Three."]


def test_lost_loudspeaker_does_not_lock_the_mouth():
    """After a loudspeaker went away the mouth can be used again."""

    class Broken(_FakePlayer):
        def play(self, sound: Sound, cut: threading.Event) -> bool:
            if self.played == 0:
                self.played = 1
                raise NoLoudspeaker("gone")
            return super().play(sound, cut)

    mouth = SpokenMouth(_FakeVoice(), Broken())
    with pytest.raises(NoLoudspeaker):
        mouth.tone(Tone.HEARD)

    assert mouth.say("Wait.") is True


def test_echo_writes_what_is_said():
    """With an echo, a reader can follow what a listener hears."""
    out = io.StringIO()
    mouth = SpokenMouth(_FakeVoice(), _FakePlayer(), echo_to=out)
    mouth.tone(Tone.NOT_UNDERSTOOD)
    mouth.say("Wait. Now go.")

    assert out.getvalue() == "[not understood]\nLapcall: Wait. Now go.\n"


def test_closed_mouth_is_silent():
    """Closed, it cuts what sounds, says nothing more and raises nothing; twice does no harm."""
    voice, player = _FakeVoice(), _FakePlayer(holds=True)
    mouth = SpokenMouth(voice, player)
    thread = threading.Thread(target=mouth.say, args=("One. Two.",))
    thread.start()
    player.playing.wait(5)
    mouth.close()
    thread.join(5)
    mouth.close()

    assert mouth.say("Three.") is False
    assert mouth.tone(Tone.HEARD) is None
    assert (player.played, voice.closed) == (1, True)


def test_it_fits_the_port():
    """The type checker sees the real mouth as a Mouth."""
    mouth: Mouth = SpokenMouth(_FakeVoice(), _FakePlayer())

    assert mouth.say("Wait.")
