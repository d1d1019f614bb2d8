"""Warmth: coefficients of expansion, the warm-up law, and certified fits of it.

NIST StRD: certified by the National Institute of Standards and Technology, doi:10.18434/M32189.
"""

import csv
from math import log

import pytest

from plumbrise.elements import thermal, warm_up


def _pairs(published, name):
    with (published / name).open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [float(row["x"]) for row in rows], [float(row["y"]) for row in rows]


def test_THM_01_growth_of_300_mm():
    """α L ΔT for 10 K, α 11.5, 17.3, 23.1, 19 and 1.2 millionths; closed form."""
    found = [
        thermal.growth_mm(length_mm=300, warming_k=10, expansion_per_k=alpha * 1e-6) * 1e3
        for alpha in (11.5, 17.3, 23.1, 19, 1.2)
    ]
    assert found == pytest.approx([34.5, 51.9, 69.3, 57.0, 3.6], rel=1e-12)


@pytest.mark.parametrize(
    ("material", "low", "high"),
    [
        ("steel", 11.5, 12), ("stainless", 17.3, 17.3), ("aluminium", 23.1, 23.6),
        ("brass", 19, 20), ("copper", 16.5, 16.7), ("nickel-iron", 1.2, 1.2),
    ],
)  # fmt: skip
def test_THM_02_coefficients_near_20_degrees(material, low, high):
    """General handbooks (from memory, not looked up again); 5 %."""
    found = thermal.expansion_per_k(material) * 1e6
    assert 0.95 * low <= found <= 1.05 * high


def test_THM_03_copper_bar():
    """NIST Technical Note 1900, example E13 (seen)."""
    found = thermal.expansion_from_lengths_per_k(
        length_before_mm=1499.9, length_after_mm=1502.1, warming_k=373.10 - 288.15
    )
    assert found == pytest.approx(1.727e-5, abs=0.0005e-5)


def test_THM_04_aluminium_upright_against_steel_screw():
    """(23.1 - 11.5) millionths · 400 · 15 = 69.6 µm; closed form."""
    found = thermal.apart_mm(
        first_per_k=23.1e-6, second_per_k=11.5e-6, length_mm=400,
        first_warming_k=15, second_warming_k=15,
    )  # fmt: skip
    assert found * 1e3 == pytest.approx(69.6, rel=1e-12)


def test_THM_05_first_order_warm_up():
    """63.212 % after one time constant, 95.021 % after three, half after τ ln 2; closed form."""
    share = {tau: thermal.warmed_share(time_s=900 * tau, time_constant_s=900) for tau in (1, 3)}
    assert (share[1], share[3]) == pytest.approx((0.63212, 0.95021), abs=1e-5)
    half = thermal.halving_time_s(time_constant_s=900)
    assert half == pytest.approx(900 * log(2), rel=1e-12)
    assert thermal.warmed_share(time_s=half, time_constant_s=900) == pytest.approx(0.5)


def test_THM_10_misra1a(published):
    """NIST StRD Misra1a, certified (seen): the warm-up law with x as time. No start is needed."""
    found = warm_up.fit_warm_up(*_pairs(published, "nist_misra1a.csv"))
    assert found.coefficients == pytest.approx((238.94212918, 5.5015643181e-4), rel=1e-7, abs=0)
    assert found.u == pytest.approx((2.7070075241, 7.2668688436e-6), rel=1e-7, abs=0)
    assert found.sd == pytest.approx(0.10187876330, rel=1e-7)


def test_THM_11_boxbod(published):
    """NIST StRD BoxBOD, certified (seen), of higher difficulty. No start is needed."""
    found = warm_up.fit_warm_up(*_pairs(published, "nist_boxbod.csv"))
    assert found.coefficients == pytest.approx((213.80940889, 0.54723748542), rel=1e-6)
    assert found.u == pytest.approx((12.354515176, 0.10455993237), rel=1e-6)
    assert found.sd == pytest.approx(17.088072423, rel=1e-6)


@pytest.mark.parametrize(
    "start",
    [
        (10, -1, 0.05, -0.00001, -0.05, 0.001, -0.000001),
        (1, -0.1, 0.005, -0.000001, -0.005, 0.0001, -0.0000001),
    ],
)
def test_THM_12_hahn1(published, start):
    """NIST StRD Hahn1, certified (seen): expansion of copper, from two starts."""
    found = warm_up.fit_expansion_curve(*_pairs(published, "nist_hahn1.csv"), start=start)
    certified = (
        1.0776351733, -0.12269296921, 4.0863750610e-3, -1.4262662514e-6, -5.7609940901e-3,
        2.4053735503e-4, -1.2314450199e-7,
    )  # fmt: skip
    assert found.coefficients == pytest.approx(certified, rel=1e-6, abs=0)
    assert found.residual_sum == pytest.approx(1.5324382854, rel=1e-6)
    assert found.sd == pytest.approx(0.081803852243, rel=1e-6)
    at_room = warm_up.expansion_on_curve(found.coefficients, 293.15)
    assert at_room == pytest.approx(16.608, abs=0.0005)
