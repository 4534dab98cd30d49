"""The arithmetic of the bench: intervals, levels, cutting, and what is kept from before."""

from __future__ import annotations

import json
import wave
from dataclasses import dataclass

import numpy as np
import pytest
from bench.ear import cutting, tally
from bench.ear.engines import graph_text
from bench.ear.intervals import most_an_hour, wilson
from bench.ear.kept import Kept, as_lines, name_of
from bench.ear.levels import BEFORE, BEHIND, CLEAN, Noises, at_level, in_noise, telephone, to_pcm
from bench.ear.recordings_in import own_phrases
from bench.ear.sets import listed
from bench.ear.speed import end_of_speech

from assistant.ear.gate import FRAME, Gate
from assistant.ear.listening import Listening
from assistant.ear.ports import Clip, Heard
from assistant.ear.sound import RATE_HZ
from assistant.words import grammars
from assistant.words.phrase import Grammar


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [
        # R. G. Newcombe, Statistics in Medicine 17 (1998), 857-872, table I, method 3.
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_interval_of_a_share_is_the_published_one(hits, of, low, high):
    """Wilson's interval agrees with worked examples."""
    assert wilson(hits, of) == pytest.approx((low, high), abs=6e-5)


def test_a_share_of_nothing_may_be_anything():
    """Without clips the interval says nothing."""
    assert wilson(0, 0) == (0.0, 1.0)


@pytest.mark.parametrize(("events", "bound"), [(0, 2.996), (1, 4.744), (5, 10.513)])
def test_the_bound_of_a_rate_is_that_of_the_chi_square(events, bound):
    """Half the 95th percentile of chi-square with 2 (events + 1) degrees of freedom (Garwood)."""
    assert most_an_hour(events, 1.0) == pytest.approx(bound, abs=1e-3)
    assert most_an_hour(events, 2.0) == pytest.approx(bound / 2, abs=1e-3)


def _tone(hertz: float, seconds: float = 1.0) -> np.ndarray:
    return (0.3 * np.sin(2 * np.pi * hertz * np.arange(int(seconds * RATE_HZ)) / RATE_HZ)).astype(
        np.float32
    )


@pytest.mark.parametrize(("hertz", "kept"), [(100, 0.0), (1000, 1.0), (3000, 1.0), (5000, 0.0)])
def test_a_telephone_passes_its_band_alone(hertz, kept):
    """What lies outside 300 to 3400 Hz is gone, what lies inside is untouched."""
    inside = slice(RATE_HZ // 4, 3 * RATE_HZ // 4)
    share = telephone(_tone(hertz))[inside].std() / _tone(hertz)[inside].std()

    assert share == pytest.approx(kept, abs=0.02)


def test_noise_lies_as_far_below_the_voice_as_told():
    """At 10 dB the noise has a tenth of the voice's power."""
    voice, noise = _tone(500), np.random.default_rng(1).normal(size=RATE_HZ).astype(np.float32)
    under = in_noise(voice, noise / noise.std(), "10") - voice

    assert 20 * np.log10(voice.std() / under.std()) == pytest.approx(10, abs=0.1)


def test_a_clip_meets_the_same_noise_every_time():
    """The clip's name decides its noise, so that engines and runs can be compared."""
    noises = Noises.__new__(Noises)
    noises.sounds, noises._others = {"vacuuming_0": _tone(200), "b": _tone(300)}, ["b"]
    first, again = (at_level("x", _tone(500), "5", noises) for _ in range(2))

    assert first[0] == again[0]
    assert np.array_equal(first[1], again[1])
    assert len(at_level("x", _tone(500), CLEAN, noises)[1]) == RATE_HZ + BEFORE + BEHIND


@dataclass
class _Loud:
    """Takes anything that is not silence for speech, and counts what it was asked."""

    asked: int = 0
    since: int = 0

    def __call__(self, frame: bytes) -> float:
        self.asked += 1
        self.since += 1
        return (1.0 if any(frame) else 0.0) + self.since / 1e4

    def reset(self) -> None:
        self.since = 0


_TWICE = cutting.with_silence(
    to_pcm(np.concatenate([np.zeros(RATE_HZ), _tone(FRAME * 2.0, 0.512)] * 2).astype(np.float32)),
    500,
)


def test_utterances_are_cut_out_of_a_sound():
    """The gate lets out each stretch of speech of a stream, and the first one of a clip."""
    found = cutting.utterances(_TWICE, Gate(_Loud()), 500, all_of_them=True)

    assert len(found) == 2
    assert cutting.utterances(_TWICE, Gate(_Loud()), 500, all_of_them=False) == found[:1]
    for said in found:
        heard = np.frombuffer(said, "<i2")
        assert np.count_nonzero(heard) == pytest.approx(0.512 * RATE_HZ, rel=0.1)


@dataclass
class _Says:
    """A recogniser that hears one thing, and notes when it was asked."""

    text: str
    asked: int = 0

    def hear(self, clip: Clip, grammar: Grammar, *, damaged: bool = False) -> Heard:
        assert grammar.readings(self.text)
        self.asked += 1
        return Heard(self.text, (), 1.0, clip, damaged)


def test_our_ear_is_run_as_in_the_product():
    """Each utterance of a stream comes out once, as the product's own front would give it."""
    ear = _Says("yes")
    listening = Listening(ear, Gate(_Loud()))
    heard = cutting.listened(_TWICE, listening, grammars.yes_no(), 500, all_of_them=True)

    assert [one.text for one in heard] == ["yes", "yes"]
    assert ear.asked >= 2


def test_the_gate_s_network_is_asked_once_about_each_frame():
    """What it said of a sound is remembered, also beyond the run, and changes nothing."""
    network, fresh = _Loud(), _Loud()
    front = cutting.Remembered(network)
    front.load(_TWICE, {})
    first = cutting.utterances(_TWICE, Gate(front), 500, all_of_them=True)
    asked = network.asked
    front.rewind()
    again = cutting.utterances(_TWICE, Gate(front), 500, all_of_them=True)
    kept = json.loads(json.dumps(front.segments))
    later = cutting.Remembered(fresh)
    later.load(_TWICE, kept)
    third = cutting.utterances(_TWICE, Gate(later), 500, all_of_them=True)

    assert (
        first == again == third == cutting.utterances(_TWICE, Gate(_Loud()), 500, all_of_them=True)
    )
    assert (network.asked, fresh.asked, later.learnt) == (asked, 0, False)


def test_the_gate_s_network_goes_on_where_its_memory_ends():
    """A longer patience needs frames that were never asked about: the network hears all before."""
    network = _Loud()
    front = cutting.Remembered(network)
    front.load(_TWICE, {})
    cutting.utterances(_TWICE, Gate(front), 100, all_of_them=False)
    longer = cutting.Remembered(_Loud())
    longer.load(_TWICE, front.segments)
    cutting.utterances(_TWICE, Gate(longer), 500, all_of_them=False)
    whole = cutting.Remembered(_Loud())
    whole.load(_TWICE, {})
    cutting.utterances(_TWICE, Gate(whole), 500, all_of_them=False)

    assert longer.segments["0"] == whole.segments["0"]
    assert longer.learnt


def test_speech_ends_behind_its_last_loud_frame():
    """Silence and faint sound behind a voice are no part of it."""
    sound = np.concatenate([_tone(500, 0.5), _tone(500, 0.5) * 0.001, np.zeros(RATE_HZ)])

    assert end_of_speech(sound.astype(np.float32)) == RATE_HZ // 2


def test_a_graph_for_sphinx_leaves_out_words_it_lacks():
    """A phrase with an unknown word is never heard; it is not shortened."""
    text = graph_text(listed("g", ["new gun", "rain"]).automaton, lambda word: word != "gun")

    assert " new" in text
    assert " gun" not in text
    assert "FINAL_STATE" in text


def test_what_was_kept_is_read_again(tmp_path):
    """Results outlive the run, and half a line at the end harms nothing."""
    path = tmp_path / "folder" / "kept.jsonl"
    Kept(path).add([("a", ["yes", 0.9]), ("b", [])])
    with path.open("a") as file:
        file.write('["c", [')

    assert Kept(path).known == {"a": ["yes", 0.9], "b": []}


def test_a_name_changes_with_each_of_its_parts():
    """Nothing that decides a result may be swapped without its name changing."""
    assert len({name_of("a", "b"), name_of("a", "c"), name_of("ab"), name_of("b", "a")}) == 4


def _count(engine: str, form: str, inputs: str, level: str = CLEAN) -> dict:
    return {
        "engine": engine,
        "engine_id": form,
        "set": "widths",
        "level": level,
        "noise": "all",
        "inputs": inputs,
        "inputs_for": {"ours": "every", "other": "few"} if engine == "ours" else {},
    }


@pytest.mark.parametrize(
    ("old", "taken"),
    [
        (_count("other", "1", "few"), True),
        (_count("other", "1", "every"), False),
        (_count("other", "1", "different"), False),
        (_count("other", "0", "few"), False),
        (_count("gone", "1", "few"), False),
        (_count("ours", "1", "every"), False),
        (_count("other", "1", "different", level="10"), True),
    ],
)
def test_old_counts_stay_only_where_they_compare(old, taken):
    """An earlier count is shown beside new ones only for the same sounds and the same engine."""
    new = [_count("ours", "2", "every")]
    forms = {"ours": "2", "other": "1"}

    assert bool(tally.still_good([old], new, forms)) is taken


def test_old_counts_stay_where_our_ear_was_not_measured():
    """One engine may be measured after the other: nothing shows that its sounds differ."""
    old = _count("other", "1", "few")

    assert tally.still_good([old], [], {"ours": "2", "other": "1"}) == [old]


def test_results_are_written_line_by_line():
    """The file of counts is plain JSON, with a line for each count."""
    result = {"made": "today", "counts": [{"n": 1}, {"n": 2}], "hours": [], "speed": {"a": 1.5}}
    text = as_lines(result)

    assert json.loads(text) == result
    assert text.count("\n") == 9


def test_a_manifest_names_files_and_parts_of_files(tmp_path):
    """A clip is a file, or a stretch of a long file; commas are pauses and no words."""
    with wave.open(str(tmp_path / "all.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(np.arange(1000, dtype="<i2").tobytes())
    row = {"file": "all.wav", "text": "one, no two", "kind": "width", "voice": ["a", "b", 0.5]}
    rows = [row, {**row, "start": 100, "samples": 50}]
    (tmp_path / "manifest.jsonl").write_text("\n".join(json.dumps(one) for one in rows))
    whole, part = own_phrases(tmp_path)

    assert (whole.text, whole.voice, len(whole.sound())) == ("one no two", "a+b+0.5", 1000)
    assert np.array_equal(part.sound() * 32768, np.arange(100, 150))
    assert part.id != whole.id
