"""A corpus on disk survives being stopped in the middle of a clip."""

import corpus
import numpy as np
import pytest


def sound(length: int, value: int) -> np.ndarray:
    """Return samples that are all alike."""
    return np.full(length, value, np.int16)


@pytest.fixture
def torn(tmp_path):
    """A corpus of two clips whose writer was stopped while it wrote a third."""
    made = corpus.Corpus(tmp_path, 0)
    made.add(0, sound(300, 1))
    made.add(4, sound(200, 2))
    with (tmp_path / "w0.pcm").open("ab") as samples:
        samples.write(sound(77, 3).tobytes() + b"\x03")
    with (tmp_path / "w0.jsonl").open("a") as listed:
        listed.write("[8, 500, 1")
    return tmp_path


def test_what_was_whole_is_kept_and_what_was_torn_is_cut(torn):
    """Opened again, a corpus holds the clips that were whole, and nothing behind them."""
    again = corpus.Corpus(torn, 0)

    assert again.made == {0, 4}
    assert again.samples == 500
    assert (torn / "w0.pcm").stat().st_size == 2 * 500


def test_a_clip_added_after_a_tear_is_where_the_list_says(torn):
    """The clip that was torn is made once more, and lies where it is said to lie."""
    corpus.Corpus(torn, 0).add(8, sound(50, 9))
    samples = np.fromfile(torn / "w0.pcm", "<i2")

    assert corpus.rows_of(torn / "w0.jsonl") == [[0, 0, 300], [4, 300, 200], [8, 500, 50]]
    assert set(samples[500:]) == {9}


def test_what_any_worker_made_is_known(torn):
    """With another count of workers nothing is made twice: all lists count, torn lines do not."""
    corpus.Corpus(torn, 3).add(11, sound(10, 1))

    assert corpus.made_in(torn) == {0, 4, 11}


def test_a_whole_list_is_left_alone(torn):
    """Opening does not touch a list without a tear: other workers may be reading it."""
    corpus.Corpus(torn, 0)
    before = (torn / "w0.jsonl").stat().st_mtime_ns
    corpus.Corpus(torn, 0)

    assert (torn / "w0.jsonl").stat().st_mtime_ns == before


def test_manifest_tells_what_each_clip_is(torn):
    """A row names file, place, words, kind, and the voices of a blend."""
    corpus.write_rows(
        torn / "utts.jsonl",
        [
            {"id": 0, "text": "hold on", "kind": "command", "voice": ["am_puck", None, 1.0]},
            {"id": 4, "text": "ten", "kind": "word", "voice": ["am_puck", "af_nova", 0.5]},
        ],
    )
    rows = list(corpus.manifest(torn))

    assert rows[0] == {
        "file": "w0.pcm",
        "start": 0,
        "samples": 300,
        "text": "hold on",
        "kind": "command",
        "voice": "am_puck",
    }
    assert [row["start"] for row in rows] == [0, 300]
    assert rows[1]["voice"] == "am_puck+af_nova"


def test_rows_come_back_as_they_were(tmp_path):
    """Written rows are read again, signs beyond ASCII as themselves; no file is no rows."""
    rows = [{"signs": "θ"}, [1, 2]]
    corpus.write_rows(tmp_path / "rows.jsonl", rows)

    assert corpus.rows_of(tmp_path / "rows.jsonl") == rows
    assert "θ" in (tmp_path / "rows.jsonl").read_text("utf-8")
    assert corpus.rows_of(tmp_path / "none.jsonl") == []
