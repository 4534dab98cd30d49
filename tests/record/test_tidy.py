"""Recordings go when they have served: which, and how the record tells of it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from support.records import MORNING, Scribe, TickingClock, scribe

from assistant.record import kinds
from assistant.record.clips import unpacked
from assistant.record.disk import Disk
from assistant.record.journal import Record
from assistant.record.tidy import Done, Rule, Then, carry_out, plan, unnamed
from assistant.record.verify import verify

LATER = MORNING + timedelta(days=100)
DROP = Rule(Then.DROP)
SHORTEN = Rule(Then.SHORTEN)


def sound(number: int) -> bytes:
    """Return a sound of its own for each number."""
    return (number.to_bytes(2, "little") * 37 + b"\0\0" * 11) * 20


def half(pcm: bytes, _: int) -> bytes:
    """Cut a sound in two."""
    return pcm[: len(pcm) // 2]


class Shift:
    """A record with every sort of clip, by name."""

    def __init__(self, made: Scribe) -> None:
        self.made, self.clips = made, {}
        made.begin()
        made.seam(12)
        self.value("passed", "5/4", "pass")
        self.value("failed", "15/16", "fail")
        old = self.value("corrected", "5/4", "pass")
        self.clips["correction"] = self.keep()
        new = made.line(
            "corrected", judged=old.seq, entry=old.seq - 1, clip=self.clips["correction"]
        )
        made.judged("pass", None, corrects=old.seq, was="pass", **{"from": [new.seq]})
        self.clips["not heard"] = self.keep()
        made.line(
            "not-heard", step="heat", act="choice", said=[""], clips=[self.clips["not heard"]]
        )
        self.clips["taken back"] = self.keep()
        taken = made.value("width", "two", "2", clip=self.clips["taken back"])
        made.line("taken-back", step="width", entry=taken.seq, said="scratch that", reason="asked")
        self.clips["note"] = self.keep()
        made.line("note", step="width", clip=self.clips["note"], said=None)

    def keep(self) -> str:
        """Keep one more sound."""
        return self.made.record.keep_clip(sound(2 + len(self.clips)), 16_000)

    def value(self, name: str, width: str, outcome: str):
        """Answer a width with its yes, and judge it."""
        self.clips[name] = self.keep()
        self.clips[f"yes to {name}"] = yes = self.keep()
        width_line = self.made.value(
            "width", "so wide", width, clip=self.clips[name], confirmed_clip=yes
        )
        return self.made.judged(outcome, width_line)

    def named(self, names: object) -> set[str]:
        """Return what the clips of these file names are called here."""
        return {called for called, name in self.clips.items() if name in set(names)}


def tidied(folder: Path, rule: Rule, cut: Callable[[bytes, int], bytes] = half) -> Done:
    """Tidy a record a hundred days later."""
    record = Record.open(folder, TickingClock(LATER))
    try:
        return carry_out(record, folder, plan(record.entries, LATER, rule), cut)
    finally:
        record.close()


@pytest.mark.parametrize(
    ("rule", "goes"),
    [
        (DROP, {"passed", "yes to passed"}),
        (Rule(Then.DROP, notes_too=True), {"passed", "yes to passed", "note"}),
        (
            Rule(Then.DROP, failed_too=True),
            {
                "passed", "yes to passed", "failed", "yes to failed", "corrected",
                "yes to corrected", "correction", "not heard", "taken back",
            },
        ),
        (Rule(Then.DROP, days=101), set()),
        (Rule(Then.KEEP), set()),
    ],
)  # fmt: skip
def test_what_goes(tmp_path, rule, goes):
    """Old clips go; those of a failed, corrected or taken back value, and notes, only when told."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
        planned = plan(made.record.entries, LATER, rule)

        assert shift.named(planned.old) == goes
        assert not set(planned.spared) & set(planned.old)


def test_clip_that_is_named_again_is_young(tmp_path):
    """The last line that names a clip says how old it is."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
        made.record._now.moment = LATER - timedelta(days=1)
        made.choice("failure", "film-tearing", clip=shift.clips["passed"])
        old = plan(made.record.entries, LATER, DROP).old

        assert shift.named(old) == {"yes to passed"}


def test_dropped_is_told_and_not_missed(tmp_path):
    """Lines stay; one more tells what was dropped, when and by what rule; verify repeats it."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
        before = made.record.entries
    done = tidied(tmp_path, DROP)
    record = Record.open(tmp_path, TickingClock(LATER))
    entries = record.entries
    record.close()
    found = verify(tmp_path)

    assert done.dropped == 2
    assert entries[: len(before)] == before
    assert entries[-1].kind == kinds.TIDIED
    assert shift.named(entries[-1].fields["dropped"]) == {"passed", "yes to passed"}
    assert found.problems == ()
    assert found.changed == frozenset()
    assert (
        f"2 clips were dropped on 2026-08-12, as line {len(entries)} of the record tells (drop "
        "clips older than 90 days, but those of a test that failed, was corrected, taken back or "
        "not heard and those of a note, a mark or an event)." in found.notes
    )


def test_missing_clip_is_still_missing(tmp_path):
    """A clip that went without a word is a problem, whatever was dropped beside it."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
    tidied(tmp_path, DROP)
    (tmp_path / "clips" / shift.clips["failed"]).unlink()
    found = verify(tmp_path)

    assert [problem.endswith("is missing.") for problem in found.problems] == [True]
    assert found.changed == {shift.clips["failed"]}


def test_shortened_clip_is_in_its_place(tmp_path):
    """A shorter clip takes the place of the old one, under its own hash, and is checked as well."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
    done = tidied(tmp_path, SHORTEN)
    found = verify(tmp_path)
    now = found.dropped.stands_for(shift.clips["passed"])
    path = tmp_path / "clips" / now
    pcm, _ = unpacked(now, path.read_bytes())
    again = tidied(tmp_path, SHORTEN)
    path.write_bytes(b"another")

    assert (done.shortened, again.shortened) == (2, 0)
    assert not (tmp_path / "clips" / shift.clips["passed"]).exists()
    assert pcm in [half(sound(number), 0) for number in range(12)]
    assert found.problems == ()
    assert "2 clips were shortened on 2026-08-12" in found.notes[0]
    assert len(verify(tmp_path).problems) == 1


def test_shortened_clip_is_dropped_in_its_time(tmp_path):
    """A shortened clip is as old as its sound, and goes with it."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
    tidied(tmp_path, SHORTEN)
    done = tidied(tmp_path, DROP)
    found = verify(tmp_path)

    assert done.dropped == 2
    assert found.problems == ()
    assert found.dropped.told(shift.clips["passed"]).startswith("was dropped on 2026-08-12")


def test_sound_that_cannot_be_cut_stays(tmp_path):
    """Where there is nothing to cut, nothing is written and nothing goes."""
    with scribe(tmp_path) as made:
        Shift(made)
        before = len(made.record.entries)
    done = tidied(tmp_path, SHORTEN, lambda pcm, _: pcm)

    assert done.shortened == 0
    assert verify(tmp_path).lines == before


def test_changed_clip_is_left_alone(tmp_path):
    """A clip that is not as it was kept is evidence: it is not dropped under cover of a rule."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
    path = tmp_path / "clips" / shift.clips["passed"]
    path.write_bytes(b"another")
    done = tidied(tmp_path, DROP)

    assert done.left == (shift.clips["passed"],)
    assert path.exists()
    assert len(verify(tmp_path).problems) == 1


def test_sound_of_what_never_counted_goes(tmp_path):
    """A clip that no line names goes with the first tidying, and no other file does."""
    with scribe(tmp_path) as made:
        Shift(made)
        name = made.record.keep_clip(b"\7\0" * 300, 16_000)
        nobodys = unnamed(tmp_path, plan(made.record.entries, LATER, DROP))
    (tmp_path / "clips" / "letter.txt").write_text("mine")
    done = tidied(tmp_path, DROP)

    assert nobodys == [name]
    assert done.unnamed == 1
    assert not (tmp_path / "clips" / name).exists()
    assert (tmp_path / "clips" / "letter.txt").exists()


def test_same_sound_kept_anew_is_no_longer_dropped(tmp_path):
    """A sound that is said again after its clip was dropped is kept, and missed if it goes."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
    tidied(tmp_path, DROP)
    record = Record.open(tmp_path, TickingClock(LATER))
    again = record.keep_clip(sound(2), 16_000)
    record.append("answered", {"step": "width", "clip": again, "run": 0})
    record.close()
    (tmp_path / "clips" / again).unlink()

    assert again == shift.clips["passed"]
    assert [problem.endswith("is missing.") for problem in verify(tmp_path).problems] == [True]


class Dies(Disk):
    """A disk that dies at the n-th thing done to it."""

    def __init__(self, at: int) -> None:
        self.left = at

    def remove(self, path: Path) -> None:
        """Take a file away, or die."""
        self.left -= 1
        if self.left < 0:
            raise KeyboardInterrupt
        super().remove(path)


@pytest.mark.parametrize("rule", [DROP, SHORTEN], ids=["drop", "shorten"])
@pytest.mark.parametrize("at", [0, 1])
def test_sudden_end_of_tidying(tmp_path, rule, at):
    """Whatever was dropped when the power went was told before; the rest goes the next time."""
    with scribe(tmp_path) as made:
        shift = Shift(made)
    record = Record.open(tmp_path, TickingClock(LATER))
    with pytest.raises(KeyboardInterrupt):
        carry_out(record, tmp_path, plan(record.entries, LATER, rule), half, disk=Dies(at))
    record.close()
    between = verify(tmp_path)
    tidied(tmp_path, rule)
    left = {path.name for path in (tmp_path / "clips").iterdir()}

    assert between.problems == ()
    assert verify(tmp_path).problems == ()
    assert not left & {shift.clips["passed"], shift.clips["yes to passed"]}


def test_many_clips_are_told_in_several_lines(tmp_path):
    """A line stays short enough to be read, however many clips go at once."""
    with scribe(tmp_path) as made:
        made.begin()
        (tmp_path / "clips").mkdir(exist_ok=True)
        names = []
        for number in range(2500):
            content = b"%d" % number
            names.append(hashlib.sha256(content).hexdigest() + ".flac")
            (tmp_path / "clips" / names[-1]).write_bytes(content)
        for first in range(0, 2500, 100):
            made.line("note", step="x", clips=names[first : first + 100])
    done = tidied(tmp_path, Rule(Then.DROP, notes_too=True))

    assert done.dropped == 2500
    assert verify(tmp_path).problems == ()
    assert sum("were dropped" in note for note in verify(tmp_path).notes) == 2


def test_closed_shift_stays_closed(tmp_path):
    """Tidying is no work: a shift that was closed before it is closed after it."""
    with scribe(tmp_path) as made:
        Shift(made)
        made.line("closed", lines=1, said=None)
    tidied(tmp_path, DROP)

    assert verify(tmp_path).closed
