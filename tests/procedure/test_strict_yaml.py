"""The strict reader: plain data with lines, and nothing guessed."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.faults import Faults
from assistant.procedure.yaml_lines import Items, Mapping, Scalar, Value, read_yaml


def plain(value: Value | None):
    """Return a value without its lines."""
    if isinstance(value, Mapping):
        return {key: plain(entry.value) for key, entry in value.entries.items()}
    if isinstance(value, Items):
        return [plain(item) for item in value.items]
    return value.data if value else None


def test_every_key_and_value_knows_its_line():
    """Lines are counted from one, for keys and for values."""
    faults = Faults()
    root = read_yaml(b"a:\n  - x\n  - b: 1\n# comment\nc: >-\n  long\n  text\n", faults)

    assert isinstance(root, Mapping)
    assert [entry.line for entry in root.entries.values()] == [1, 5]
    inner = root.entries["a"].value
    assert isinstance(inner, Items)
    assert [item.line for item in inner.items] == [2, 3]


@pytest.mark.parametrize(
    ("text", "data"),
    [
        ("3/8", "3/8"), ("1 1/2 in", "1 1/2 in"), ("38.1 mm", "38.1 mm"), ("90 s", "90 s"),
        ("7", 7), ("-7", -7), ("0", 0), ("true", True), ("false", False), ("null", None),
        ("~", None), ("", None), ("go-on", "go-on"), ("yes-no", "yes-no"), ("'yes'", "yes"),
        ('"010"', "010"), ("none", "none"), ("nothing", "nothing"), ("'1.50'", "1.50"),
    ],
)  # fmt: skip
def test_only_null_switches_and_whole_numbers_are_more_than_text(text, data):
    """Whatever is not one of the four plain forms is text."""
    faults = Faults()

    assert plain(read_yaml(f"a: {text}\n".encode(), faults)) == {"a": data}
    assert faults.found == []


@pytest.mark.parametrize(
    "text",
    ["yes", "No", "ON", "off", "y", "N", "True", "FALSE", "Null", "1:30", "1:30:00", "1.5", "1.50",
     "2.", ".5", "010", "0o10", "0x10", "0b1", "1_000", "+5", "1e3", "1.5e3", "1E-3", ".inf",
     "-.inf", ".nan", "2024-05-01", "2024-05-01 10:00:00", "=", "-0", "00", "12345678901"],
)  # fmt: skip
def test_text_that_readers_disagree_about_needs_quotes(text):
    """Without quotes it is refused, in quotes it is text."""
    faults = Faults()
    read_yaml(f"a: {text}\n".encode(), faults)
    told = [(fault.line, fault.key) for fault in faults.found]
    quoted = Faults()

    assert told == [(1, "a")]
    assert f'"{text}" in quotes' in faults.found[0].instead
    assert plain(read_yaml(f'a: "{text}"\n'.encode(), quoted)) == {"a": text}
    assert quoted.found == []


def test_line_ends_of_other_systems_change_nothing():
    """A file with CR LF or a byte order mark reads as the same data."""
    text = "a: x\nb:\n  - 1\n  - 2\n"

    for raw in (text.replace("\n", "\r\n").encode(), b"\xef\xbb\xbf" + text.encode()):
        faults = Faults()
        assert plain(read_yaml(raw, faults)) == {"a": "x", "b": [1, 2]}
        assert faults.found == []


_WORDS = st.text("abcdefghij -'", min_size=1, max_size=12)
_DATA = st.recursive(
    _WORDS | st.integers(0, 999) | st.booleans() | st.none(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_WORDS, inner, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(_WORDS, _DATA, min_size=1, max_size=4))
def test_what_is_written_plainly_is_read_back(data):
    """Data written by the YAML library comes back equal, where the depth is allowed."""
    faults = Faults()
    root = read_yaml(yaml.safe_dump(data, sort_keys=False).encode(), faults)

    if not faults.found:
        assert plain(root) == data
    else:
        # Only what needs quotes, or is nested too deep, may be refused.
        assert all("misread" in one.wrong or "deep" in one.wrong for one in faults.found)


@given(st.binary(max_size=80) | st.text(":-[]{}#&*!|>'\"%@ \n\tab01\\", max_size=60))
def test_no_bytes_break_the_reader(raw):
    """Any bytes are read, or refused with a line; nothing else is ever raised."""
    faults = Faults()
    root = read_yaml(raw if isinstance(raw, bytes) else raw.encode(), faults)

    assert isinstance(root, Mapping | Items | Scalar) or faults.found
    assert all(fault.line >= 1 and fault.wrong and fault.instead for fault in faults.found)
