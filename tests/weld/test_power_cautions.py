"""Which cautions cord, volts, generator and circuit call for."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.weld import power
from assistant.weld import power_cautions as pc
from assistant.weld.power import BY_AWG, BY_MM2, Cord, Gun
from assistant.weld.power_cautions import Power, PowerLimits, look_at_power
from assistant.weld.units import M_PER_FT

F = Fraction
GUN = Gun(F(1600), F(120))


def through(*cords: tuple[int, int], **more) -> Power:
    """Return a supply through cords of (gauge, feet)."""
    made = tuple(Cord(BY_AWG[awg], length_ft * M_PER_FT) for awg, length_ft in cords)
    return Power(GUN, made, **more)


# 12 AWG and thicker is common practice; 3 and 5 percent are a note of the National Electrical Code
# (from memory); 90 percent of the heat is our judgement. Losses as in the table of cords.
@pytest.mark.parametrize(
    ("supply", "cautions"),
    [
        (through((12, 50)), ()),
        (through((10, 100)), ()),
        (through((12, 100)), (pc.VOLTS_LOST,)),
        (through((14, 100)), (pc.LESS_HEAT, pc.VOLTS_LOST_MUCH, pc.THIN_CORD)),
        (through((16, 100)), (pc.LESS_HEAT, pc.VOLTS_LOST_MUCH, pc.THIN_CORD)),
        (through((16, 500)), (pc.FEW_VOLTS, pc.VOLTS_LOST_MUCH, pc.THIN_CORD)),
        (through((12, 25), (12, 25)), (pc.JOINED_CORDS,)),
        (Power(GUN, measured_volts=F(115)), ()),
        (Power(GUN, measured_volts=F(110)), (pc.LESS_HEAT,)),
        (Power(GUN, measured_volts=F(70)), (pc.FEW_VOLTS,)),
        (Power(GUN, measured_volts=F(127)), (pc.MANY_VOLTS,)),
        (Power(GUN, measured_volts=F(140)), (pc.MANY_VOLTS,)),
        (through((12, 50), measured_volts=F(115)), ()),
        (through((12, 50), measured_volts=F(113)), (pc.LESS_HEAT, pc.LOSS_UNEXPLAINED)),
        (through((12, 50), source_volts=F(116), measured_volts=F("113.5")), (pc.LESS_HEAT,)),
        (Power(GUN, generator_w=F(2000)), ()),
        (Power(GUN, generator_w=F(1900)), (pc.GENERATOR_TIGHT,)),
        (
            Power(GUN, generator_w=F(2000), also_w=(F(1000),)),
            (pc.GENERATOR_SMALL, pc.SHARED_SOURCE),
        ),
        (Power(GUN, circuit_a=F(20)), ()),
        (Power(GUN, circuit_a=F(15)), (pc.CIRCUIT_TIGHT,)),
        (Power(GUN, circuit_a=F(10)), (pc.CIRCUIT_SMALL,)),
    ],
)
def test_supply(supply, cautions):
    """Each supply gets its cautions, those about heat first."""
    assert look_at_power(supply).cautions == cautions


def test_measured_volts_count_before_worked_out_ones():
    """What was measured at the gun is what its heat is told from."""
    found = look_at_power(through((16, 100), measured_volts=F(118)))

    assert found.at_gun.volts == 118
    assert pc.LESS_HEAT not in found.cautions


def test_an_unknown_wire_gives_bounds():
    """A cord of unknown temperature leaves at least what a hot one does, at most a cool one."""
    found = look_at_power(through((14, 100)))
    cool = look_at_power(through((14, 100), wire_c=power.COOL_WIRE_C))

    assert found.by_cord.volts < found.by_cord_most.volts == cool.by_cord.volts
    assert cool.by_cord == cool.by_cord_most


def test_metric_cords_are_not_held_to_a_gauge():
    """The practice of 12 AWG is for 120 V; a metric cord is judged by what it loses."""
    supply = Power(Gun(F(3400), F(230)), (Cord(BY_MM2[F("2.5")], F(20)),))

    assert look_at_power(supply).cautions == ()


@pytest.mark.parametrize(
    ("supply", "unknown"),
    [
        (Power(GUN), (pc.NO_VOLTS,)),
        (through((12, 50)), (pc.NOT_MEASURED,)),
        (through((12, 50), measured_volts=F(115)), ()),
        (
            through((12, 50), wire_c=F(120), measured_volts=F(115)),
            (power.WIRE_OUTSIDE.reason,),
        ),
        (
            Power(GUN, measured_volts=F(115), generator_w=F(4000), altitude_ft=F(12_000)),
            (power.TOO_HIGH_UP.reason,),
        ),
    ],
)
def test_what_could_not_be_told_is_said(supply, unknown):
    """Silence is never taken for good supply."""
    assert look_at_power(supply).unknown == unknown


def test_a_job_sets_its_own_limits():
    """With other limits other supplies get a caution."""
    supply = through((12, 50))
    limits = PowerLimits(volts_lost=F(1, 100), thinnest_awg=10, least_heat=F(99, 100))

    assert look_at_power(supply, limits).cautions == (pc.LESS_HEAT, pc.VOLTS_LOST, pc.THIN_CORD)


CORDS = st.lists(st.tuples(st.sampled_from(sorted(BY_AWG)), st.integers(1, 1000)), max_size=3)
VOLTS = st.none() | st.fractions(1, 300, max_denominator=4)
WATTS = st.fractions(1, 9000, max_denominator=2)


@given(CORDS, VOLTS, VOLTS, st.none() | WATTS, st.lists(WATTS, max_size=3))
def test_any_supply_has_an_answer(cords, source, measured, generator_w, also_w):
    """Whatever is plugged together, there is an answer of known cautions, each said once."""
    supply = through(*cords, source_volts=source, measured_volts=measured)
    found = look_at_power(replace(supply, generator_w=generator_w, also_w=tuple(also_w)))

    assert set(found.cautions) <= set(pc.CAUTIONS)
    assert len(set(found.cautions)) == len(found.cautions)
    assert (pc.SHARED_SOURCE in found.cautions) is bool(also_w)


@given(st.sampled_from(sorted(BY_AWG)), st.integers(1, 400), st.integers(1, 400))
def test_a_longer_cord_never_takes_a_caution_about_heat_back(awg, one, other):
    """Where a short cord leaves too little heat, a longer one does."""
    cold = {pc.LESS_HEAT, pc.FEW_VOLTS}
    short, long = (
        bool(cold & set(look_at_power(through((awg, length_ft))).cautions))
        for length_ft in sorted((one, other))
    )

    assert long or not short
