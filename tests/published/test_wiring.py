"""Copper wire and motor windings: standards for wire, closed forms for what a meter reads."""

import re
from itertools import combinations

import pytest

from plumbrise.cautions import DEFER
from plumbrise.report.wiring import wiring_text
from plumbrise.wiring import (
    Board,
    Cable,
    Harness,
    Line,
    Meter,
    Motor,
    Reading,
    Verdict,
    copper,
    judge,
)
from plumbrise.wiring.across import told_direction
from plumbrise.wiring.limits import wire_span
from plumbrise.wiring.worlds import Coil

GAUGES = {
    20: (0.8118, 0.5176, 33.31),
    22: (0.6438, 0.3255, 52.96),
    24: (0.5106, 0.2047, 84.21),
    26: (0.4049, 0.1288, 133.9),
    28: (0.3211, 0.0810, 212.9),
    30: (0.2546, 0.0509, 338.6),
}


@pytest.mark.parametrize("gauge", GAUGES)
def test_WIR_01_diameter_and_area_of_american_wire_gauges(gauge):
    """ASTM B258, from memory, recomputed; half a unit of the
    last printed digit."""
    diameter, area, _ = GAUGES[gauge]
    assert copper.awg_diameter_mm(gauge=gauge) == pytest.approx(diameter, abs=5e-5)
    assert copper.awg_area_mm2(gauge=gauge) == pytest.approx(area, abs=5e-5)


@pytest.mark.parametrize("gauge", GAUGES)
def test_WIR_02_resistance_of_a_kilometre_at_20_degrees(gauge):
    """Annealed copper, 17.241 nΩ·m; IEC 60028 and ASTM B258, from memory, recomputed; 0.1 %."""
    area = copper.awg_area_mm2(gauge=gauge)
    found = copper.wire_ohm(area_mm2=area, length_m=1000)
    assert found == pytest.approx(GAUGES[gauge][2], rel=1e-3)


@pytest.mark.parametrize(
    ("size", "flexible", "solid"),
    [
        (0.5, 39.0, 36.0),
        (0.75, 26.0, 24.5),
        (1.0, 19.5, 18.1),
        (1.5, 13.3, 12.1),
        (2.5, 7.98, 7.41),
    ],
)
def test_WIR_03_largest_resistance_of_flexible_copper(size, flexible, solid):
    """Class 5 (and class 1 and 2) at 20 °C, Ω/km; IEC 60228, tables, seen in print; exact. What a
    wire of known size may have takes the whole of class 5 in."""
    assert copper.CLASS_5_OHM_PER_KM[size] == flexible
    line = Line("left", cable=Cable(length_m=1000, wire_mm2=size))
    allowed = wire_span(line)
    assert allowed.low < solid < flexible < allowed.high


def test_WIR_04_copper_from_20_to_60_degrees():
    """1.1572 by α = 0.00393 (IEC 60028), 1.15717 by (234.5 + T) of older handbooks; from memory,
    recomputed; 1e-4."""
    assert copper.warmth_factor(celsius=60) == pytest.approx(1.1572, rel=1e-4)
    assert copper.warmth_factor(celsius=60) == pytest.approx((234.5 + 60) / (234.5 + 20), rel=1e-4)


def test_WIR_05_winding_rise_by_resistance():
    """2.00 Ω at 20 °C, 2.40 Ω warm, room 20 °C: 51.0 K; IEC 60034-1, resistance method, from
    memory, recomputed; 0.05 K."""
    found = copper.winding_rise_k(cold_ohm=2.0, warm_ohm=2.4, cold_c=20, room_c=20)
    assert found == pytest.approx(51.0, abs=0.05)


@pytest.mark.parametrize(
    ("celsius", "factor"),
    [(5, 1.064), (10, 1.042), (15, 1.020), (25, 0.980), (30, 0.962), (40, 0.926)],
)
def test_WIR_06_factors_that_bring_a_reading_to_20_degrees(celsius, factor):
    """IEC 60228, annex, seen in print: 1/(1 + 0.004 (T − 20)); 0.002."""
    assert 1 / copper.warmth_factor(celsius=celsius) == pytest.approx(factor, abs=0.002)


def test_WIR_07_a_pair_of_wires_is_small_against_a_coil_and_half_an_ohm_is_not():
    """1 m there and back of 0.5 mm² flexible: at most 0.078 Ω, by IEC 60228 class 5; closed form,
    exact. +26 K adds 0.5 Ω to 5 Ω; 0.02 Ω."""
    assert 2 * copper.CLASS_5_OHM_PER_KM[0.5] / 1000 == 0.078
    assert 5 * (copper.warmth_factor(celsius=46) - 1) == pytest.approx(0.5, abs=0.02)
    line = Line(
        "left",
        Board(phases=((1, 2), (3, 4))),
        Cable(length_m=1.0, wire_mm2=0.5),
        Motor(coil_ohm=2.0),
        (Reading("board", (1, 2), ohm=3.2),),
    )
    assert judge(Harness((line,), meter=Meter(0.0, 20.0))).verdict is Verdict.NO_GO


def test_WIR_08_two_finite_readings_on_disjoint_pairs_and_no_other_pattern():
    """Two coils on four wires; closed form (graph of the harness), exact. All 64 patterns of finite
    and open on the six pairs, the frame open: one suits a board, and no other is a go."""
    pairs = list(combinations((1, 2, 3, 4), 2))
    frame = [Reading("board", (contact, 0), is_open=True) for contact in (1, 2, 3, 4)]
    gone = []
    for pattern in range(64):
        finite = {pair for bit, pair in enumerate(pairs) if pattern >> bit & 1}
        readings = [
            Reading("board", pair, ohm=2.6 if pair in finite else None, is_open=pair not in finite)
            for pair in pairs
        ]
        line = Line(
            "left", Board(phases=((1, 2), (3, 4))), motor=Motor(coil_ohm=2.6),
            measured=(*readings, *frame),
        )  # fmt: skip
        if judge(Harness((line,), meter=Meter(0.0, 20.0))).verdict is Verdict.GO:
            gone.append(finite)
    assert gone == [{(1, 2), (3, 4)}]


def test_WIR_09_a_centre_tapped_coil_gives_the_whole_and_two_halves():
    """R, R/2 and R/2 on its three pairs; closed form (series), exact."""
    coil = Coil(1, 3, 2)
    assert [coil.share(*pair) for pair in ((1, 3), (1, 2), (2, 3))] == [1.0, 0.5, 0.5]


@pytest.mark.parametrize(
    ("joins", "turns"),
    [
        (((1, 1), (2, 2), (3, 3), (4, 4)), 1),
        (((1, 2), (2, 1), (3, 3), (4, 4)), -1),
        (((1, 2), (2, 1), (3, 4), (4, 3)), 1),
        (((1, 3), (2, 4), (3, 1), (4, 2)), -1),
    ],
)
def test_WIR_10_swapping_one_coil_reverses_both_restore_changing_over_reverses(joins, turns):
    """Sign of rotation of the field; closed form, exact."""
    line = Line(
        "left",
        Board(phases=((1, 2), (3, 4))),
        Cable(joins=joins),
        Motor(coils=((1, 2), (3, 4))),
    )
    assert told_direction(line) == turns


def answers():
    readings = [(), (Reading("board", (1, 2), ohm=2.6),), (Reading("board", (1, 0), ohm=1.0),)]
    for measured in readings:
        harness = Harness((Line("left", Board(phases=((1, 2), (3, 4))), measured=measured),))
        yield wiring_text(harness, judge(harness))


def test_WIR_11_no_answer_calls_live_work_safe():
    """Limits of extra-low voltage (IEC 61140, IEC 60204-1, from memory) are not quoted: no answer
    names a voltage below which live work would do; each says to pull the plug and wait."""
    for said in answers():
        assert not re.search(r"\bsafe\b|\d ?V (AC|DC)", said)
        assert "pull the mains plug and wait" in said


def test_WIR_12_protective_earth_is_left_to_the_code_of_the_place():
    """IEC 60204-1, clause 18, from memory: test current and limit depend on the code in force, so
    none is given; every answer defers."""
    for said in answers():
        assert "Mains wiring and the wiring of heaters are outside this check." in said
        assert DEFER in said
