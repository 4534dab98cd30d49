"""The foreman's page: one file, plain about what is missing, with every voice in it."""

from __future__ import annotations

import base64
import re
from datetime import datetime
from html.parser import HTMLParser

import pytest
from support.records import scribe

from assistant.errors import UsageProblem
from assistant.record.verify import verify
from assistant.review.page import write_page
from assistant.review.telling import LABELS
from assistant.review.text import COLUMNS, shift_text
from assistant.weld.verdict import Outcome

NOW = datetime(2026, 5, 4, 18, 0)
VOID = frozenset(["meta", "rect", "path", "line", "br"])


class Outline(HTMLParser):
    """Gathers what a page holds, and fails on tags that do not match."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self._open: list[str] = []
        self.feed(page)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag, attrs):
        """Note a tag."""
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag, attrs):
        """Note a tag that closes itself."""
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        """See that it closes the last one opened."""
        assert self._open.pop() == tag
        self.text += " "

    def handle_data(self, data):
        """Gather what can be read."""
        if "style" not in self._open:
            self.text += data

    def all(self, tag: str) -> list[dict[str, str | None]]:
        """Return the attributes of each such tag."""
        return [attrs for name, attrs in self.tags if name == tag]

    @property
    def told(self) -> str:
        """The text with single spaces."""
        return " ".join(self.text.split())


def page_of(folder) -> str:
    """Write the page of a record and return it."""
    out = folder / "review.html"
    write_page(folder, out, NOW)
    return out.read_text(encoding="utf-8")


def outline_of(folder) -> Outline:
    """Write the page of a record and read it."""
    return Outline(page_of(folder))


def one_of_each(folder):
    """Make a shift with a strip of each outcome; return the clip of the first width."""
    with scribe(folder) as made:
        made.begin("pre-weld")
        made.seam(12)
        made.line("ended")
        made.begin()
        made.seam(12)
        clips = [made.record.keep_clip(bytes([n, 0]) * 800, 16_000) for n in range(3)]
        failure = made.choice("failure", "film-tearing", clip=clips[1])
        width = made.value(
            "width", "inch and a quarter", "5/4", clip=clips[0], confirmed_clip=clips[2]
        )
        basis = [failure.seq, width.seq]
        made.judged("pass", width, **{"from": basis})
        narrow = made.value("width", "fifteen sixteenths", "15/16")
        made.judged("fail", narrow, reasons=["The width is under the least allowed."])
        made.judged("out", made.value("width", "inch and nine sixteenths", "25/16"))
        made.judged("pass at limit", made.value("width", "inch strong", "1", hedge="strong"))
        made.judged("no verdict", None, mode=None)
        made.judged("foreman decides", width)
        made.line("not-heard", step="width", act="value", said=["hm"], clips=[])
    return clips[0]


def test_page_stands_alone(tmp_path):
    """The page needs no network, no script and no other file, and forbids itself to ask."""
    one_of_each(tmp_path)
    page = page_of(tmp_path)
    found = Outline(page)
    addresses = [
        value
        for _, attrs in found.tags
        for name, value in attrs.items()
        if name in ("src", "href", "action", "poster", "data", "srcset")
    ]

    assert addresses
    assert all(address.startswith("data:audio/flac;base64,") for address in addresses)
    assert found.all("script") == found.all("link") == found.all("iframe") == []
    assert "url(" not in page.replace("url(#", "")
    assert "@import" not in page
    assert "default-src 'none'" in str(found.all("meta"))


def test_page_can_be_read_by_everybody(tmp_path):
    """The page names its language, fits a phone, and puts drawings and sounds into words."""
    one_of_each(tmp_path)
    found = outline_of(tmp_path)
    drawings = [attrs for attrs in found.all("svg") if "aria-hidden" not in attrs]

    assert found.all("html") == [{"lang": "en"}]
    assert "width=device-width" in str(found.all("meta"))
    assert len(found.all("h1")) == 1
    assert len(drawings) == 6
    assert all(drawing["role"] == "img" and drawing["aria-label"] for drawing in drawings)
    assert all("controls" in audio and audio["aria-label"] for audio in found.all("audio"))


def test_clips_are_in_the_page(tmp_path):
    """The recording of a width is the stored file, byte for byte, and comes first."""
    clip = one_of_each(tmp_path)
    sounds = outline_of(tmp_path).all("audio")
    first = base64.b64decode(sounds[0]["src"].partition(",")[2])
    of_the_pass = [
        base64.b64decode(sound["src"].partition(",")[2])
        for sound in sounds
        if sound["aria-label"] == "Recording: width"
    ]

    assert (tmp_path / "clips" / clip).read_bytes() in of_the_pass
    assert first.startswith(b"fLaC")


def test_failed_first(tmp_path):
    """Cards stand with the failed ones first, each named in words and not by colour alone."""
    one_of_each(tmp_path)
    told = outline_of(tmp_path).told
    labels = re.findall(
        r"(Fail|Out: too wide|No verdict|Foreman decides|Pass at the limit|Pass) Seam", told
    )

    assert labels == [
        "Fail", "Out: too wide", "No verdict", "Foreman decides", "Pass at the limit", "Pass",
    ]  # fmt: skip


def test_card_tells_all(tmp_path):
    """A card has the width in both units, as said, as confirmed, the limits, and the reasons."""
    one_of_each(tmp_path)
    told = outline_of(tmp_path).told

    for text in (
        "The width is under the least allowed.",
        "15/16 in (about 24 mm)",
        "“fifteen sixteenths”",
        "1 to 1 1/2 in (25.4 to 38.1 mm)",
        "1 in, strong (about 25 mm)",
        "confirmed by “yes”",
        "film tearing",
        "first welder, gun three",
    ):
        assert text in told


def test_missing_is_shown_as_missing(tmp_path):
    """What was not heard or not stated says so."""
    with scribe(tmp_path) as made:
        made.begin(job={})
        made.judged("no verdict", None, mode=None, heat=None)
    told = outline_of(tmp_path).told

    for text in (
        "Job not stated",
        "Seam not heard",
        "Width not heard",
        "Came apart by not stated",
        "Heat marks not stated",
        "Welded by welder not stated, gun not stated",
        "No recording was kept.",
        "Sheet not stated",
    ):
        assert text in told


def test_head_and_chain(tmp_path):
    """The page says that the record is unbroken, and how its last line ends."""
    one_of_each(tmp_path)
    found = verify(tmp_path)
    told = outline_of(tmp_path).told

    assert f"{found.lines} lines, unbroken" in told
    assert f"Its last line ends in {found.head}" in told
    assert "The record is not whole" not in told


def test_broken_record_is_told_first(tmp_path):
    """A changed record still makes a page, whose first words after the title say so."""
    one_of_each(tmp_path)
    path = tmp_path / "record.jsonl"
    path.write_bytes(path.read_bytes().replace(b"fifteen", b"fifthen", 1))
    told = outline_of(tmp_path).told
    problem = verify(tmp_path).problems[0]

    assert told.index("The record is not whole") < told.index(problem) < told.index("Test strips")
    assert "In doubt" in told
    assert "unbroken" not in told


def test_missing_clip_is_told(tmp_path):
    """A missing recording is told where it should have been, and at the top."""
    clip = one_of_each(tmp_path)
    (tmp_path / "clips" / clip).unlink()
    told = outline_of(tmp_path).told

    assert "This recording is missing." in told
    assert f"The clip {clip[:12]} of line" in told


def test_changed_clip_is_told(tmp_path):
    """A recording that was changed is not passed off as what was said."""
    clip = one_of_each(tmp_path)
    path = tmp_path / "clips" / clip
    path.write_bytes(path.read_bytes()[:-1] + b"\7")

    assert "not as it was kept. Do not rely on it." in outline_of(tmp_path).told


@pytest.mark.parametrize("there", [True, False])
def test_empty_record(tmp_path, there):
    """Without a line, or without a record, the page says that nothing was judged."""
    if there:
        with scribe(tmp_path):
            pass
    told = outline_of(tmp_path).told

    assert "No strip was judged." in told
    assert "no time in the record" in told
    assert ("The record is not whole" in told) is not there


def test_words_cannot_become_markup(tmp_path):
    """What was said, named or written in a job file is shown as text, whatever it is."""
    nasty = "</style><script>alert(1)</script>\"'><img src=x>"
    with scribe(tmp_path) as made:
        made.begin(title=nasty, job=dict.fromkeys(("name", "area", "welder", "gun"), nasty))
        made.line("not-heard", step=nasty, act="value", said=[nasty], clips=[nasty])
        width = made.value("width", nasty, "5/4", read_back=nasty, confirmed_by=nasty, clip=nasty)
        made.judged(nasty, width, reasons=[nasty], mode=nasty, heat=nasty, rule=nasty)
    found = outline_of(tmp_path)

    assert found.all("script") == found.all("img") == []
    assert nasty in found.text


def test_clip_outside_the_folder_stays_outside(tmp_path):
    """A spoiled line cannot bring another file into the page."""
    (tmp_path / "secret.wav").write_bytes(b"RIFFsecret")
    with scribe(tmp_path) as made:
        made.begin()
        made.choice("failure", "film-tearing")
        made.judged("pass", made.value("width", "inch", "1", clip="../secret.wav"))
    page = page_of(tmp_path)

    assert base64.b64encode(b"RIFFsecret").decode() not in page
    assert "This recording is missing." in page


def test_nothing_is_promised(tmp_path):
    """Neither page nor text says that a roof or a person is safe, or which seams are covered."""
    one_of_each(tmp_path)
    told = outline_of(tmp_path).told.lower() + shift_text(tmp_path).lower()

    assert not re.search(r"\b(safe|safely|watertight|guarantee|certif)", told)
    assert "no acceptance of the work" in told


def test_rehearsal_is_marked(tmp_path):
    """A rehearsal cannot be taken for a shift."""
    with scribe(tmp_path) as made:
        made.begin(rehearsal=True)

    assert "Rehearsal Not all of this was said at a roof." in outline_of(tmp_path).told
    assert "REHEARSAL" in shift_text(tmp_path)


def test_several_days_are_told_apart(tmp_path):
    """Strips of different days carry their day."""
    with scribe(tmp_path) as made:
        made.begin()
        made.judged("pass", made.value("width", "inch and a quarter", "5/4"))
        made.record._now.moment = made.record._now.moment.replace(day=5)
        made.judged("pass", made.value("width", "inch and a quarter", "5/4"))
    told = outline_of(tmp_path).told

    assert "07:03, 2026-05-04" in told
    assert "07:05, 2026-05-05" in told


def test_page_that_cannot_be_written(tmp_path):
    """A place that cannot hold the page is told with what to do, and leaves nothing behind."""
    with pytest.raises(UsageProblem, match="--page FILE"):
        write_page(tmp_path, tmp_path / "nowhere" / "review.html", NOW)
    (tmp_path / "folder").mkdir()
    with pytest.raises(UsageProblem):
        write_page(tmp_path, tmp_path / "folder", NOW)

    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_page_is_replaced_whole(tmp_path):
    """A page made again replaces the old one, and no half of it stays."""
    one_of_each(tmp_path)
    (tmp_path / "review.html").write_text("old")

    assert "old" not in page_of(tmp_path)[:20]
    assert not list(tmp_path.glob("*.part"))


# ---- in the terminal


def test_text_fits_a_terminal(tmp_path):
    """No line is wider than a terminal, however long the words."""
    one_of_each(tmp_path)
    with scribe(tmp_path) as made:
        made.begin(job={"name": "x" * 200, "welder": "a very long name " * 20})
        made.judged("fail", made.value("width", "inch " * 60, "1"), reasons=["Long. " * 40])
    lines = shift_text(tmp_path).splitlines()

    assert COLUMNS < 80
    assert max(map(len, lines)) <= COLUMNS


def test_text_tells_the_same(tmp_path):
    """The text has the counts, the head, and each strip that a foreman must look at."""
    one_of_each(tmp_path)
    text = shift_text(tmp_path)

    assert "Strips: 2 failed, 2 no verdict, 1 pass at limit, 1 passed." in text
    assert f"unbroken, ends in {verify(tmp_path).head}." in text
    assert text.index("[FAIL] Seam 12") < text.index("[NO VERDICT]") < text.index("[PASS] Seam 12")
    assert "Width: not heard. What was made of it: “hm”." in text


def test_text_of_a_broken_record(tmp_path):
    """The text of a broken record says so at its top."""
    one_of_each(tmp_path)
    path = tmp_path / "record.jsonl"
    path.write_bytes(path.read_bytes()[:-30])
    top = shift_text(tmp_path).splitlines()[:5]

    assert any(line.startswith("THE RECORD IS NOT WHOLE") for line in top)


def test_every_outcome_has_a_label():
    """No verdict reaches a foreman without a name; asking is none that is written."""
    assert set(LABELS) == {outcome.value for outcome in Outcome} - {Outcome.ASK.value}
