"""One line of a record: what is written is what is read, and a changed byte is found."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from assistant.record.entry import GENESIS, OWN_KEYS, BadLine, parsed, to_entry, to_line

NOON = datetime(2026, 5, 4, 12, 0, 0, 123456, tzinfo=timezone(timedelta(hours=-5)))
LINE = to_line(3, NOON, "done", {"step": "dial", "said": "fertig: größer", "run": 0}, GENESIS)

PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(codec="utf-8")),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(st.characters(codec="utf-8")), inner),
    max_leaves=8,
)  # fmt: skip
FIELDS = st.dictionaries(
    st.text(st.characters(codec="utf-8")).filter(lambda key: key not in OWN_KEYS), PLAIN
)


@given(
    seq=st.integers(0, 10**9),
    moment=st.datetimes(
        datetime(1971, 1, 1),
        datetime(2999, 1, 1),
        timezones=st.sampled_from(
            [timezone.utc, timezone(timedelta(hours=5, minutes=45)), timezone(-timedelta(hours=9))]
        ),
    ),
    fields=FIELDS,
)
def test_round_trip(seq, moment, fields):
    """Whatever was written is read back, in one line."""
    line = to_line(seq, moment, "done", fields, GENESIS)
    entry = to_entry(line)

    assert b"\n" not in line
    assert (entry.seq, entry.kind, entry.prev) == (seq, "done", GENESIS)
    assert entry.fields == fields
    assert abs(entry.at - moment) < timedelta(milliseconds=1)
    assert entry.local.utcoffset() == moment.utcoffset()


@example(0, ord("}"))
@example(len(LINE) - 1, ord(" "))
@given(st.integers(0, len(LINE) - 1), st.integers(0, 255))
def test_changed_byte_is_found(place, byte):
    """A single changed byte anywhere in a line makes it no line."""
    assume(LINE[place] != byte)
    changed = LINE[:place] + bytes([byte]) + LINE[place + 1 :]

    with pytest.raises(BadLine):
        to_entry(changed)


@given(st.binary(max_size=200))
@example(b"{}")
@example(b"[1]")
@example(b"[" * 100_000)
@example(b'{"at":"2026-05-04T12:00:00.000Z","zone":5}')
@example(b'{"at":7,"zone":"+00:00","seq":0,"kind":"done","prev":""}')
@example(b'{"at":"2026-05-04T12:00:00.000Z","zone":"+99:99","seq":0,"kind":"done","prev":""}')
@example(b'{"at":"2026-05-04T12:00:00.000Z","zone":"+00:00","seq":"0","kind":"done","prev":""}')
@example(b'{"at":"0001-01-01T00:00:00.000Z","zone":"-23:00","seq":0,"kind":"done","prev":""}')
def test_any_bytes(data):
    """Bytes that are no line are refused as such, and nothing else is raised."""
    for read in (to_entry, parsed):
        with pytest.raises(BadLine):
            read(data)


def test_line_as_an_outsider_reads_it():
    """The stored form can be checked with a hash and a JSON reader alone."""
    whole = json.loads(LINE)
    without_sum = LINE[: LINE.index(b',"sum":')] + b"}"

    assert whole["at"] == "2026-05-04T17:00:00.123Z"
    assert whole["zone"] == "-05:00"
    assert whole["said"] == "fertig: größer"
    assert "größer".encode() in LINE
    assert whole["sum"] == hashlib.sha256(without_sum).hexdigest()
    assert to_entry(LINE).digest == hashlib.sha256(LINE).hexdigest()


def test_naive_time_is_local():
    """A time without a zone is taken as the time on the wall."""
    naive = datetime(2026, 5, 4, 12, 0)

    assert to_entry(to_line(0, naive, "done", {}, GENESIS)).at == naive.astimezone()


def test_half_a_character_does_not_stop_the_record():
    """Text that is no text, as a file name can hold, is kept as well as it can be."""
    entry = to_entry(to_line(0, NOON, "began", {"job": {"name": "caf\udce9"}}, GENESIS))

    assert entry.fields == {"job": {"name": "caf?"}}


@pytest.mark.parametrize("key", sorted(OWN_KEYS))
def test_own_keys_are_refused(key):
    """A field cannot pretend to be the record's own."""
    with pytest.raises(ValueError, match=key):
        to_line(0, NOON, "done", {key: 1}, GENESIS)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), {1, 2}, object()])
def test_what_json_lacks_is_refused(value):
    """What could not be read back is not written."""
    with pytest.raises((ValueError, TypeError)):
        to_line(0, NOON, "done", {"confidence": value}, GENESIS)
