"""Temperatures, speeds, lengths and electrical values as people write them."""

from __future__ import annotations

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure import quantities as q
from assistant.weld.power import Conductor

F = Fraction


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (q.temperature_c, "68F", F(20)),
        (q.temperature_c, "68 F", F(20)),
        (q.temperature_c, "20.5 c", F(41, 2)),
        (q.temperature_c, "-40F", F(-40)),
        (q.temperature_c, "20\u00b0C", F(20)),
        (q.temperature_difference_c, "5.4 F", F(3)),
        (q.temperature_difference_c, "3 C", F(3)),
        (q.speed_mph, "15mph", F(15)),
        (q.speed_mph, "1.609344 km/h", F(1)),
        (q.speed_mph, "0.44704 m/s", F(1)),
        (q.length_m, "100ft", F("30.48")),
        (q.length_m, "50 m", F(50)),
        (q.share, "80%", F(4, 5)),
        (q.share, "80", F(4, 5)),
        (q.volts, "120V", F(120)),
        (q.volts, "117.5", F("117.5")),
        (q.watts, "1.6kW", F(1600)),
        (q.watts, "1600", F(1600)),
        (q.amps, "20 A", F(20)),
    ],
)
def test_written_values(read, text, value):
    """Each is read exactly, with or without a space, in either unit of the trade."""
    assert read(text) == value


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("12", "12 AWG"),
        ("12 AWG", "12 AWG"),
        ("12awg", "12 AWG"),
        ("#12", "12 AWG"),
        ("2.5mm2", "2.5 mm2"),
        ("4 mm\u00b2", "4 mm2"),
    ],
)
def test_cords(text, name):
    """A gauge is AWG unless it says square millimetres."""
    assert q.conductor(text).name == name


@pytest.mark.parametrize(
    ("read", "text", "told"),
    [
        (q.temperature_c, "68", "no unit"),
        (q.temperature_c, "68 K", "not a unit"),
        (q.temperature_c, "warm", "not a number"),
        (q.temperature_c, "1 1/2 F", "not a unit"),
        (q.speed_mph, "15", "no unit"),
        (q.speed_mph, "-1 mph", "less than nought"),
        (q.length_m, "100", "no unit"),
        (q.length_m, "100 in", "not a unit"),
        (q.share, "80 C", "not a unit"),
        (q.volts, "0", "not above nought"),
        (q.watts, "1600 V", "not a unit"),
        (q.conductor, "11", "not a cord"),
        (q.conductor, "2.5", "not a cord"),
        (q.conductor, "12 mm2", "not a cord"),
        (q.conductor, "thick", "not a cord"),
    ],
)
def test_what_cannot_be_read_is_refused(read, text, told):
    """Without its unit, with another or with none that makes sense nothing is guessed."""
    with pytest.raises(ValueError, match=told):
        read(text)


READERS = (
    q.temperature_c, q.temperature_difference_c, q.speed_mph, q.length_m, q.share,
    q.volts, q.watts, q.amps, q.conductor,
)  # fmt: skip


@given(st.sampled_from(READERS), st.text(max_size=12) | st.from_regex(r"-?[0-9. ]{1,6}[A-Za-z%]*"))
def test_any_text_is_read_or_refused(read, text):
    """No text breaks a reader: there is a value, or a ValueError."""
    with contextlib.suppress(ValueError):
        assert isinstance(read(text), (Fraction, Conductor))
