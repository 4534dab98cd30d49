"""The model of heat: textbook values, a numeric slab beside it, and how little it may say."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from assistant.weld.heat import (
    LEAVES_OUT,
    Effect,
    Pass,
    Stuff,
    contact_c,
    effect,
    held_surface_c,
    holds_until_s,
    ranked,
    seconds_to,
    skin_share,
    temperature_c,
    told,
    weaker,
)

USUAL = Pass()  # h = 200 W/m2K, air 500 C, sheet 20 C, 1.5 s


# Computed with scipy's erfcx.
@pytest.mark.parametrize(
    ("transfer", "share"),
    [
        *((0.05, 0.0540), (0.1, 0.1035), (0.2, 0.1910), (0.3, 0.2654), (0.4, 0.3292)),
        *((0.5, 0.3843), (0.75, 0.4931), (1, 0.5724), (1.5, 0.6784), (2, 0.7446), (3, 0.8210)),
    ],
)
def test_share_of_the_skin(transfer, share):
    """The skin comes towards the air as 1 - exp(B**2) erfc(B)."""
    assert skin_share(transfer) == pytest.approx(share, abs=6e-5)
    assert skin_share(transfer) == pytest.approx(
        1 - math.exp(transfer**2) * math.erfc(transfer), abs=1e-12
    )


def test_a_published_exercise():
    """389.5 K at 3 mm after 100 s: start 393 K, fluid 355 K (from a page of solved exercises)."""
    steel = Stuff(10, 1, 10 / 4.029e-6)
    found = temperature_c(Pass(393, 355, 100, 50, steel), 0.003)

    assert found == pytest.approx(389.5, abs=0.06)
    assert found == pytest.approx(389.543, abs=0.001)


def test_the_buried_pipe():
    """0.68 m is where 20 C soil reaches 0 C after 60 days under -15 C (textbook, from memory)."""

    def at(depth):
        return held_surface_c(20, -15, 0.138e-6, 60 * 86400, depth)

    assert brentq(at, 0.1, 2.0) == pytest.approx(0.677, abs=0.0005)


# Computed, h 200 unless named, air 500 C, sheet 20 C.
@pytest.mark.parametrize(
    ("transfer", "skins"),
    [
        (200, [95, 121, 153, 191, 216, 234]),
        (100, [60, 75, 95, 121, 139, 153]),
        (300, [126, 159, 198, 242, 269, 288]),
        (400, [153, 191, 234, 280, 307, 325]),
    ],
)
def test_skin_after_a_time(transfer, skins):
    """The skin after a quarter, half, one, two, three and four seconds."""
    found = [
        temperature_c(replace(USUAL, transfer_w_m2k=transfer, seconds=seconds))
        for seconds in (0.25, 0.5, 1, 2, 3, 4)
    ]

    assert found == pytest.approx(skins, abs=0.51)


@pytest.mark.parametrize(
    ("sheet", "skin"), [(-5, 157), (0, 161), (10, 168), (20, 174), (35, 185), (50, 195), (65, 205)]
)
def test_skin_of_a_colder_sheet(sheet, skin):
    """Computed: a colder sheet leaves a colder skin."""
    assert temperature_c(replace(USUAL, sheet_c=sheet)) == pytest.approx(skin, abs=0.51)


@pytest.mark.parametrize(
    ("air", "skin"), [(350, 126), (400, 142), (450, 158), (500, 174), (550, 190), (600, 207)]
)
def test_skin_under_hotter_air(air, skin):
    """Computed: hotter air leaves a hotter skin."""
    assert temperature_c(replace(USUAL, air_c=air)) == pytest.approx(skin, abs=0.51)


@pytest.mark.parametrize(
    ("changed", "seconds"),
    [
        (USUAL, 1.39),
        (replace(USUAL, sheet_c=0), 1.75),
        (replace(USUAL, sheet_c=35), 1.14),
        (weaker(USUAL, 0.81), 2.53),  # 100 ft of 16 AWG
    ],
)
def test_time_to_melting(changed, seconds):
    """Computed: how long the skin takes to 170 C; a thin cord costs most."""
    assert seconds_to(changed, 170) == pytest.approx(seconds, abs=0.006)


@pytest.mark.parametrize(("depth_mm", "there"), [(0, 174), (0.25, 105), (0.5, 61), (1.0, 26)])
def test_only_the_skin_melts(depth_mm, there):
    """Computed: a millimetre down the sheet stays cool."""
    assert temperature_c(USUAL, depth_mm / 1000) == pytest.approx(there, abs=0.51)


@pytest.mark.parametrize(("mils", "seconds"), [(45, 2.6), (50, 3.2), (60, 4.6), (80, 8.2)])
def test_how_long_a_sheet_counts_as_thick(mils, seconds):
    """Computed: a t / L**2 below 0.2."""
    assert holds_until_s(mils * 25.4e-6) == pytest.approx(seconds, abs=0.06)


def test_twice_the_transfer_is_four_times_the_speed():
    """Computed for 35 mm of hot footprint: 0.38, 1.5, 3.4 and 6.1 m/min. So no speed is told."""
    speeds = [
        0.035 * 60 / seconds_to(replace(USUAL, transfer_w_m2k=transfer), 170)
        for transfer in (100, 200, 300, 400)
    ]

    assert speeds == pytest.approx([0.38, 1.5, 3.4, 6.1], abs=0.06)
    assert speeds[1] / speeds[0] == pytest.approx(4)


def test_two_sheets_of_one_kind_meet_in_the_middle():
    """The contact of like bodies has their mean; polypropylene takes up 578 (from a handbook)."""
    polypropylene = Stuff(0.22, 905, 1680)

    assert contact_c(Stuff(), 180, Stuff(), 20) == 100
    assert polypropylene.effusivity == pytest.approx(578, abs=0.6)
    assert 20 < contact_c(Stuff(), 20, polypropylene, 180) < 180


def slab(seconds: float, thickness_m: float = 1.14e-3, cells: int = 228) -> float:
    """Return the skin of a slab with an insulated back, by finite volumes (Crank and Nicolson)."""
    stuff, size, step = Stuff(), thickness_m / cells, 0.002
    hand = 1 / (1 / USUAL.transfer_w_m2k + size / 2 / stuff.conductivity_w_mk)
    link, store = stuff.conductivity_w_mk / size, stuff.density_kg_m3 * stuff.heat_j_kgk * size
    flow = np.diag(np.full(cells - 1, link), 1) + np.diag(np.full(cells - 1, link), -1)
    flow -= np.diag(flow.sum(axis=1))
    flow[0, 0] -= hand
    half = flow * (step / 2 / store)
    turn = np.linalg.solve(np.eye(cells) - half, np.eye(cells) + half)
    push = np.linalg.solve(np.eye(cells) - half, np.eye(cells)[0] * hand * step / store * 480)
    rise = np.zeros(cells)
    for _ in range(round(seconds / step)):
        rise = turn @ rise + push
    # From the middle of the first cell to its face.
    return float(500 - (480 - rise[0]) * hand / USUAL.transfer_w_m2k)


@pytest.mark.parametrize(
    ("seconds", "thin", "thick"),
    [(1, 152.7, 152.7), (2, 191.0, 191.0), (4, 236.1, 234.3), (8, 296.0, 280.0)],
)
def test_a_thin_sheet_beside_it(seconds, thin, thick):
    """A slab of 45 mil, computed numerically, agrees until its back is warm, and then parts."""
    assert slab(seconds) == pytest.approx(thin, abs=0.3)
    assert temperature_c(replace(USUAL, seconds=seconds)) == pytest.approx(thick, abs=0.06)


# ---- ranking

CHANGES = {
    "a sheet at freezing": replace(USUAL, sheet_c=0),
    "a long thin cord": weaker(USUAL, 0.81),
    "a third faster": replace(USUAL, seconds=1.0),
    "a sheet in the sun": replace(USUAL, sheet_c=50),
    "nothing": USUAL,
}


def test_changes_are_ranked():
    """The thin cord makes it coldest, then the faster stroke, then the colder sheet."""
    assert ranked(USUAL, CHANGES) == (
        ("a long thin cord", Effect.COLDER),
        ("a third faster", Effect.COLDER),
        ("a sheet at freezing", Effect.COLDER),
        ("nothing", Effect.NONE),
        ("a sheet in the sun", Effect.HOTTER),
    )


@given(
    st.floats(50, 400),
    st.floats(0.3, 4),
    st.floats(0.05, 0.35),
)
def test_the_ranking_of_one_change_does_not_hang_on_what_is_unknown(transfer, seconds, stuff):
    """Whatever the transfer, the time and the sheet: colder, weaker and faster make it colder."""
    usual = Pass(20, 500, seconds, transfer, Stuff(stuff))
    skin = temperature_c(usual)

    assert temperature_c(replace(usual, sheet_c=0)) < skin
    assert temperature_c(weaker(usual, 0.9)) < skin
    assert temperature_c(replace(usual, seconds=seconds * 0.8)) < skin
    assert effect(usual, usual) is Effect.NONE


def test_it_tells_no_figure_and_what_it_leaves_out():
    """No temperature, dial mark or pass is told, and all that the model lacks is."""
    sentences = told(USUAL, CHANGES)

    assert not any(character.isdigit() for text in sentences for character in text)
    assert not any("dial" in text for text in sentences)
    assert all(what in sentences[-1] for what in LEAVES_OUT)
    assert sentences[0].startswith("Colder")
    assert sentences[0].index("cord") < sentences[0].index("faster") < sentences[0].index("freez")


def test_what_makes_it_hotter_is_told_the_most_first():
    """Of two changes that make it hotter, the greater stands first."""
    hotter = {"a little": replace(USUAL, sheet_c=35), "much": replace(USUAL, seconds=3)}

    assert told(USUAL, hotter)[0].endswith("the most first: much, a little.")


def test_beyond_reach():
    """No time passes to what is there already, and none is enough beyond the air."""
    assert seconds_to(USUAL, 10) == 0
    assert seconds_to(USUAL, 500) == math.inf
    assert temperature_c(replace(USUAL, seconds=0)) == 20
