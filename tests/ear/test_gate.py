from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ear.gate import (
    FRAME,
    FRAME_BYTES,
    FRAME_MS,
    Gate,
    GateSettings,
    GateState,
    Moment,
    Quieted,
    Utterance,
    silero,
    step,
)

# Spans of whole frames, so that the tables below can be counted by hand.
SETTINGS = GateSettings(
    begin_at=0.5,
    go_on_at=0.35,
    begin_ms=3 * FRAME_MS,
    pre_roll_ms=2 * FRAME_MS,
    longest_ms=20 * FRAME_MS,
)
PATIENCE_MS = round(4 * FRAME_MS)
LETTERS = {Moment.QUIET: "q", Moment.BEGAN: "B", Moment.GOES_ON: "g", Moment.ENDED: "E"}


def _moments(levels: str) -> str:
    """Run the gate over digits: 9 is a probability of 0.9."""
    state = GateState()
    seen = ""
    for level in levels:
        state, moment = step(state, int(level) / 10, PATIENCE_MS, SETTINGS)
        seen += LETTERS[moment]
    return seen


@pytest.mark.parametrize(
    ("levels", "moments"),
    [
        ("00000", "qqqqq"),
        ("99099", "qqqqq"),  # a knock, twice: never three frames in a row
        ("999", "qqB"),
        ("9990000", "qqBgggE"),
        ("999000900000", "qqBgggggggEq"),  # a short pause does not end it
        ("44444", "qqqqq"),  # soft sound does not begin an utterance ...
        ("99944440000", "qqBgggggggE"),  # ... but goes on with one
        ("9993000", "qqBgggE"),  # and softer still is silence
        ("9990000999", "qqBgggEqqB"),  # the next one begins afresh
        ("9" * 25, "qqB" + "g" * 16 + "E" + "qqBgg"),  # cut at its longest
    ],
)
def test_moments_follow_the_probabilities(levels: str, moments: str):
    """Each frame's meaning depends on its probability and what came before."""
    assert _moments(levels) == moments


@given(st.text("0359", max_size=200))
def test_every_utterance_begins_before_it_ends(levels: str):
    """Whatever is heard, begins and ends take turns, with nothing but speech between."""
    seen = _moments(levels)
    inside = "".join(letter for letter in seen if letter in "BE")

    assert inside.replace("BE", "") in ("", "B")


@given(st.text("0359", max_size=200))
def test_no_utterance_is_longer_than_the_longest(levels: str):
    """Noise that passes for speech cannot hold the ear for ever."""
    longest = max((len(part) for part in _moments(levels).split("q")), default=0)

    assert longest <= 20


class _Scripted:
    """Gives each frame the probability that its first sample names."""

    def __init__(self) -> None:
        self.resets = 0

    def __call__(self, frame: bytes) -> float:
        return int(np.frombuffer(frame, "<i2")[0]) / 10

    def reset(self) -> None:
        self.resets += 1


def _sound(levels: str) -> bytes:
    frames = [np.full(FRAME, int(level), "<i2") for level in levels]
    return b"".join(frame.tobytes() for frame in frames)


def _levels(pcm: bytes) -> str:
    return "".join(str(level) for level in np.frombuffer(pcm, "<i2")[::FRAME])


def test_utterance_holds_pre_roll_and_patience():
    """The clip reaches from the pre-roll to the end of the silence behind speech."""
    gate = Gate(_Scripted(), PATIENCE_MS, SETTINGS)
    utterance = gate.push(_sound("0000129989990000" + "777"))

    assert utterance is not None
    assert _levels(utterance.clip.pcm) == "12" + "9989990000"


@given(st.integers(1, 5 * FRAME_BYTES))
def test_size_of_the_blocks_does_not_matter(size: int):
    """However the sound is cut into blocks, the same utterance comes out."""
    gate = Gate(_Scripted(), PATIENCE_MS, SETTINGS)
    pcm = _sound("0001299990000")
    found = [gate.push(pcm[at : at + size]) for at in range(0, len(pcm), size)]
    utterances = [utterance for utterance in found if utterance]

    assert [_levels(utterance.clip.pcm) for utterance in utterances] == ["1299990000"]


def test_silence_behind_speech_is_kept_only_as_far_as_it_helps():
    """However patient the gate is, what it hands over ends a little behind the last speech."""
    short = replace(SETTINGS, post_roll_ms=2 * FRAME_MS)
    gate = Gate(_Scripted(), PATIENCE_MS, short)
    utterance = gate.push(_sound("0" + "99900990000"))

    assert utterance is not None
    assert _levels(utterance.clip.pcm) == "0" + "9990099" + "00"


@pytest.mark.parametrize(
    ("before", "damaged"),
    [("", True), ("0", True), ("00", False), ("00000000", False)],
)
def test_lost_samples_mark_the_utterance_they_fall_into(before: str, damaged: bool):
    """A loss within what is kept damages it; one long before does not."""
    gate = Gate(_Scripted(), PATIENCE_MS, SETTINGS)
    gate.push(_sound("0"), damaged=True)
    utterance = gate.push(_sound(before + "9990000"))

    assert utterance is not None
    assert utterance.damaged is damaged


@pytest.mark.parametrize(
    ("answer_frames", "levels", "said", "asked"),
    [
        (2, "99900777", "99900", ["99900"]),  # ends at once
        (3, "999000777", "99900", ["99900"]),  # a little later
        (6, "9990000009", "99900", ["99900"]),  # longer than was asked for
        (6, "99900009000000", "9990000900", ["99900", "9990000900"]),  # speech goes on: asked anew
        (2, "9990900", "9990900", ["9990900"]),  # too short a pause to ask
    ],
)
def test_patience_is_chosen_at_each_pause(
    answer_frames: int, levels: str, said: str, asked: list[str]
):
    """Once all that is kept of a pause was heard, its end is chosen by what was said so far."""
    seen: list[str] = []

    def at_pause(utterance: Utterance) -> int:
        seen.append(_levels(utterance.clip.pcm))
        return round(answer_frames * FRAME_MS)

    settings = replace(SETTINGS, post_roll_ms=2 * FRAME_MS, look_ms=2 * FRAME_MS)
    gate = Gate(_Scripted(), PATIENCE_MS, settings, at_pause)
    utterance = gate.push(_sound(levels))

    assert utterance is not None
    assert _levels(utterance.clip.pcm) == said
    assert seen == asked


def test_patience_of_one_pause_is_forgotten_when_speech_goes_on():
    """A choice counts for its own pause; the next utterance begins with what was asked for."""
    answers = iter([2, 4])
    settings = replace(SETTINGS, post_roll_ms=2 * FRAME_MS, look_ms=2 * FRAME_MS)
    gate = Gate(_Scripted(), PATIENCE_MS, settings, lambda _: round(next(answers) * FRAME_MS))
    first = gate.push(_sound("99900"))
    second = gate.push(_sound("999000"))

    assert first is not None
    assert second is None


def test_nobody_is_asked_where_patience_is_short_anyway():
    """With patience no longer than what is kept of a pause, there is nothing to win."""
    settings = replace(SETTINGS, post_roll_ms=5 * FRAME_MS, look_ms=5 * FRAME_MS)
    gate = Gate(_Scripted(), PATIENCE_MS, settings, lambda _: pytest.fail("asked"))

    assert gate.push(_sound("9990000")) is not None


def test_loss_in_mid_speech_marks_it():
    """Samples lost while somebody speaks mark the utterance."""
    gate = Gate(_Scripted(), PATIENCE_MS, SETTINGS)
    gate.push(_sound("00000000999"))
    gate.push(_sound("9"), damaged=True)
    utterance = gate.push(_sound("0000"))

    assert utterance is not None
    assert utterance.damaged


def test_beginning_afresh_forgets_everything():
    """Nothing of before reaches the next utterance, and the network forgets too."""
    network = _Scripted()
    gate = Gate(network, PATIENCE_MS, SETTINGS)
    gate.push(_sound("8998"), damaged=True)
    gate.begin_afresh(PATIENCE_MS)
    resets = network.resets
    utterance = gate.push(_sound("9990000"))

    assert resets == 2
    assert utterance is not None
    assert (_levels(utterance.clip.pcm), utterance.damaged) == ("9990000", False)


class _Level:
    """Takes loudness for speech."""

    def __init__(self) -> None:
        self.resets = 0

    def __call__(self, frame: bytes) -> float:
        return float(np.abs(np.frombuffer(frame, "<i2")).mean() > 100)

    def reset(self) -> None:
        self.resets += 1


def test_steady_noise_is_turned_down_for_the_gate_alone():
    """Noise reaches the ear quieter than it is; the utterance holds the sound as it came in."""
    gate = Gate(Quieted(_Level()), PATIENCE_MS, SETTINGS)
    rng = np.random.default_rng(1)
    hiss = rng.normal(size=60 * FRAME) * 170
    voice = 3000 * np.sin(2 * np.pi * 700 * np.arange(5 * FRAME) / 16_000)
    hiss[30 * FRAME : 35 * FRAME] += voice
    pcm = hiss.astype("<i2").tobytes()
    utterance = gate.push(pcm)

    assert _Level()(pcm[:FRAME_BYTES]) == 1  # without Quieted, all of it would be speech
    assert utterance is not None
    assert utterance.clip.pcm in pcm
    assert pcm.index(utterance.clip.pcm) >= 27 * FRAME_BYTES


def test_a_reset_reaches_the_ear_and_leaves_the_noise_known():
    """Behind a reset, noise that is known is turned down from the first frame on."""
    ear = _Level()
    ears = Quieted(ear)
    hiss = (np.random.default_rng(1).normal(size=60 * FRAME) * 170).astype("<i2").tobytes()
    frames = [hiss[at : at + FRAME_BYTES] for at in range(0, len(hiss), FRAME_BYTES)]
    for frame in frames:
        ears(frame)
    ears.reset()

    assert ear.resets == 1
    assert not any(ears(frame) for frame in frames)


def test_real_network_finds_no_speech_in_silence_or_hum():
    """The network that ships calls neither silence nor a mains hum speech."""
    network = silero()
    time_s = np.arange(16_000) / 16_000
    hum = (3_000 * np.sin(2 * np.pi * 120 * time_s)).astype("<i2").tobytes()
    for pcm in (bytes(32_000), hum):
        network.reset()
        chances = [
            network(pcm[at : at + FRAME_BYTES]) for at in range(0, 31 * FRAME_BYTES, FRAME_BYTES)
        ]

        assert max(chances) < 0.5


def test_a_look_hears_what_the_end_would_hear() -> None:
    """Less of a pause is kept than is waited for: the look and the end cut out the same sound."""
    seen: list[bytes] = []

    def at_pause(utterance: Utterance) -> int:
        seen.append(utterance.clip.pcm)
        return round(8 * FRAME_MS)

    settings = replace(SETTINGS, post_roll_ms=2 * FRAME_MS, look_ms=4 * FRAME_MS)
    utterance = Gate(_Scripted(), round(8 * FRAME_MS), settings, at_pause).push(
        _sound("0099900000000009")
    )

    assert utterance is not None
    assert seen == [utterance.clip.pcm]
