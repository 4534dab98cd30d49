"""Cord, volts, heat and sizing against computed tables and tables of conductors."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.weld import power
from assistant.weld.power import BY_AWG, BY_MM2, Cord, Gun, Sizing
from assistant.weld.units import M_PER_FT, Outside

F = Fraction
GUN = Gun(F(1600), F(120))
LENGTH_M = st.fractions(1, 100, max_denominator=10)
AWG = st.sampled_from(sorted(BY_AWG))
WIRE_C = st.fractions(-40, 90, max_denominator=4)


def cord(awg: int, length_ft: int) -> Cord:
    """Return a cord of so many feet."""
    return Cord(BY_AWG[awg], length_ft * M_PER_FT)


# Ohm, volts at the gun, watts and percent for 1600 W at 120 V with the wire at 75 C. Computed
# from NEC chapter 9 table 8 (uncoated, stranded); to the last digit shown.
CORDS = [
    (16, 50, 0.499, 113.70, 1436.3, 89.8), (16, 100, 0.998, 108.02, 1296.5, 81.0),
    (14, 50, 0.314, 115.95, 1493.9, 93.4), (14, 100, 0.628, 112.17, 1398.1, 87.4),
    (12, 50, 0.198, 117.42, 1531.9, 95.7), (12, 100, 0.396, 114.94, 1468.0, 91.7),
    (10, 100, 0.248, 116.78, 1515.3, 94.7),
]  # fmt: skip


@pytest.mark.parametrize("row", CORDS)
def test_cords(row):
    """A cord's gauge and length give its resistance, and the volts and heat it leaves."""
    awg, length_ft, ohm, volts, watts, percent = row
    found_ohm = power.cord_ohm([cord(awg, length_ft)])
    found = power.at_gun(GUN, power.volts_through_cord(GUN, GUN.volts, found_ohm))

    assert float(found_ohm) == pytest.approx(ohm, abs=1e-9)
    assert float(found.volts) == pytest.approx(volts, abs=0.0051)
    assert float(found.watts) == pytest.approx(watts, abs=0.051)
    assert float(found.share_of_heat * 100) == pytest.approx(percent, abs=0.051)


# 3400 W at 230 V through 50 m, wire at 20 C, IEC 60228 class 5: volts to 0.1, percent to 0.1.
@pytest.mark.parametrize(
    ("mm2", "volts", "percent"), [("1.5", 211.9, 84.9), ("2.5", 218.8, 90.5), ("4", 222.9, 93.9)]
)
def test_metric_cords(mm2, volts, percent):
    """Cords in square millimetres use their own table at its own temperature."""
    gun = Gun(F(3400), F(230))
    ohm = power.cord_ohm([Cord(BY_MM2[F(mm2)], F(50))], wire_c=F(20))
    found = power.at_gun(gun, power.volts_through_cord(gun, gun.volts, ohm))

    assert float(found.volts) == pytest.approx(volts, abs=0.051)
    assert float(found.share_of_heat * 100) == pytest.approx(percent, abs=0.051)


def test_cool_wire():
    """14 AWG at 20 C has 82 percent of its resistance at 75 C: 2.58 ohm for 1000 ft (computed)."""
    per_km = power.resistance_ohm_per_km(BY_AWG[14], F(20))

    assert float(per_km * M_PER_FT) == pytest.approx(2.58, abs=0.005)
    assert float(per_km / BY_AWG[14].ohm_per_km) == pytest.approx(0.82, abs=0.005)


@pytest.mark.parametrize("awg", sorted(BY_AWG))
def test_gauges_follow_from_copper(awg):
    """Each gauge fits annealed copper of its diameter, with at most 4 percent for stranding.

    IEC 60028: 1.7241e-8 ohm m at 20 C, 0.00393 per C; diameter 0.127 mm x 92^((36 - n)/39).
    """
    area_mm2 = 3.141592653589793 / 4 * (0.127 * 92 ** ((36 - awg) / 39)) ** 2
    copper = 17.241 / area_mm2 * (1 + 0.00393 * 55)

    assert 1 < float(BY_AWG[awg].ohm_per_km) / copper < 1.04


@pytest.mark.parametrize("mm2", sorted(BY_MM2))
def test_metric_cords_follow_from_copper(mm2):
    """Each size is copper of its nominal area and up to 16 percent: IEC gives the most allowed."""
    copper = 17.241 / float(mm2)

    assert 1 < float(BY_MM2[mm2].ohm_per_km) / copper < 1.16


@pytest.mark.parametrize(
    ("gun_w", "awg", "length_ft", "volts", "percent"),
    [(1600, 16, 100, 13.31, 11.1), (1600, 12, 100, 5.28, 4.4)],
)
def test_constant_current_shortcut(gun_w, awg, length_ft, volts, percent):
    """The shortcut with the plate's amperes gives the figures of the trade (computed)."""
    gun = Gun(F(gun_w), F(120))
    drop = power.constant_current_drop_volts(gun, power.cord_ohm([cord(awg, length_ft)]))

    assert float(drop) == pytest.approx(volts, abs=0.0051)
    assert float(drop / gun.volts * 100) == pytest.approx(percent, abs=0.051)


# P = P0 (V/V0)^2 for 1600 W at 120 V, to 1 W (computed).
@pytest.mark.parametrize(
    ("volts", "watts"),
    [(117, 1521), (114, 1444), (110, 1344), (108, 1296), (105, 1225), (100, 1111)],
)
def test_measured_volts(volts, watts):
    """Volts measured at the gun give its heat, by their square."""
    assert round(power.at_gun(GUN, F(volts)).watts) == watts


def test_heat_of_the_air_lies_between_bounds():
    """The fan slows too, so the air keeps between the square and the plain share; exact."""
    found = power.at_gun(GUN, F(108))

    assert (found.air_heat_least, found.air_heat_most) == (F(81, 100), F(9, 10))


def test_a_gun_that_holds_its_heat_may_lose_none():
    """With its own control the upper bound is all of it."""
    found = power.at_gun(Gun(F(1600), F(120), holds_heat=True), F(108))

    assert (found.air_heat_least, found.air_heat_most) == (F(81, 100), 1)


@pytest.mark.parametrize(
    ("volts", "said"), [(83, power.TOO_FEW_VOLTS), (133, power.TOO_MANY_VOLTS)]
)
def test_no_heat_outside_the_model(volts, said):
    """Far from the plate's volts the model says so and gives no number."""
    assert power.at_gun(GUN, F(volts)) == said


@pytest.mark.parametrize("wire_c", [-41, 91])
def test_no_resistance_outside_the_table(wire_c):
    """A wire too cold or too hot has no resistance here, and no cord made of it."""
    assert power.cord_ohm([cord(12, 50)], F(wire_c)) == power.WIRE_OUTSIDE


# Alone 1600 of 2000 W is 0.80 and enough; with a grinder of 1000 W too small; 3400 of 4000 W is
# 0.85 and little left (125 % for hours of load, from memory).
@pytest.mark.parametrize(
    ("loads_w", "continuous_w", "share", "sizing"),
    [
        ((1600,), 2000, F(4, 5), Sizing.ENOUGH),
        ((1600, 1000), 2000, F(13, 10), Sizing.TOO_SMALL),
        ((3400,), 4000, F(17, 20), Sizing.LITTLE_LEFT),
        ((2000,), 2000, F(1), Sizing.LITTLE_LEFT),
    ],
)
def test_generators(loads_w, continuous_w, share, sizing):
    """A generator carries its loads with a margin, just so, or not."""
    found = power.generator_load([F(each) for each in loads_w], F(continuous_w))

    assert (found.share, found.sizing) == (share, sizing)


def test_altitude_takes_from_a_generator():
    """5000 ft take a fifth at 4 percent for each 1000 ft (from memory: 3 to 4)."""
    found = power.generator_load([F(1600)], F(2000), altitude_ft=F(5000))

    assert (found.rating, found.sizing) == (1600, Sizing.LITTLE_LEFT)


def test_no_generator_rule_for_mountains():
    """Higher than the rule goes there is no number."""
    assert power.generator_load([F(1)], F(2000), altitude_ft=F(10_001)) == power.TOO_HIGH_UP


# 1600 W at 120 V is 13.3 A; for hours 16.7 A, so 15 A is little and 20 A enough (from memory).
@pytest.mark.parametrize(
    ("circuit_a", "sizing"),
    [(10, Sizing.TOO_SMALL), (15, Sizing.LITTLE_LEFT), (20, Sizing.ENOUGH)],
)
def test_circuits(circuit_a, sizing):
    """A circuit carries the gun for hours, for a while, or not."""
    found = power.circuit_load(GUN, F(circuit_a))

    assert (found.load, found.sizing) == (F(40, 3), sizing)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: power.cord_ohm([Cord(BY_AWG[12], F(0))]),
        lambda: power.volts_through_cord(GUN, F(0), F(1)),
        lambda: power.volts_through_cord(GUN, F(120), F(-1)),
        lambda: power.at_gun(Gun(F(0), F(120)), F(110)),
        lambda: power.generator_load([F(1600)], F(0)),
        lambda: power.generator_load([F(1600)], F(2000), altitude_ft=F(-1)),
        lambda: power.circuit_load(GUN, F(0)),
    ],
)
def test_nonsense_is_refused(wrong):
    """Nought and less than nought are no measurements."""
    with pytest.raises(ValueError, match="nought"):
        wrong()


@given(AWG, LENGTH_M, LENGTH_M, WIRE_C)
def test_a_longer_cord_never_gives_more_volts(awg, one, other, wire_c):
    """The longer of two cords leaves fewer volts."""
    short, long = (
        power.volts_through_cord(GUN, F(120), power.cord_ohm([Cord(BY_AWG[awg], each)], wire_c))
        for each in sorted((one, other))
    )

    assert long <= short <= 120


@given(AWG, AWG, LENGTH_M, WIRE_C)
def test_a_thinner_cord_never_gives_more_volts(one, other, length_m, wire_c):
    """The larger gauge number has the larger resistance."""
    thick, thin = (
        power.cord_ohm([Cord(BY_AWG[awg], length_m)], wire_c) for awg in sorted((one, other))
    )

    assert thin >= thick > 0


@given(AWG, WIRE_C, WIRE_C)
def test_a_hotter_wire_never_has_less_resistance(awg, one, other):
    """Copper resists more when it is hot."""
    cool, hot = (power.resistance_ohm_per_km(BY_AWG[awg], each) for each in sorted((one, other)))

    assert hot >= cool > 0


@given(AWG, LENGTH_M, LENGTH_M)
def test_joined_cords_add_up(awg, one, other):
    """Two cords in a row are one long cord."""
    joined = power.cord_ohm([Cord(BY_AWG[awg], one), Cord(BY_AWG[awg], other)])

    assert joined == power.cord_ohm([Cord(BY_AWG[awg], one + other)])


@given(st.fractions(1, 200, max_denominator=8), st.booleans())
def test_heat_bounds_are_in_order(volts, holds_heat):
    """The least is never more than the most, whichever side of the plate's volts."""
    found = power.at_gun(Gun(F(1600), F(120), holds_heat), volts)

    assert isinstance(found, Outside) or found.air_heat_least <= found.air_heat_most


@given(AWG, LENGTH_M)
def test_the_shortcut_never_tells_less_loss(awg, length_m):
    """A heater on fewer volts draws less, so the shortcut is on the cautious side."""
    ohm = power.cord_ohm([Cord(BY_AWG[awg], length_m)])
    lost = GUN.volts - power.volts_through_cord(GUN, GUN.volts, ohm)

    assert power.constant_current_drop_volts(GUN, ohm) >= lost


@given(st.lists(st.integers(1, 3000), min_size=1, max_size=5), st.integers(1, 3000))
def test_more_load_never_looks_smaller(loads_w, more_w):
    """Another tool on the generator never makes its share less."""
    loads = [F(each) for each in loads_w]
    alone, more = (power.generator_load(each, F(4000)) for each in (loads, [*loads, F(more_w)]))

    assert more.share > alone.share
