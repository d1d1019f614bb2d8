"""Numbers keep their unit, show no more digits than they deserve, and take the units people type."""

import re
from math import inf, isfinite, nan, sqrt

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import ufloat

from plumbrise.errors import InputError
from plumbrise.quantity import (
    _UNITS,
    Measured,
    Unit,
    combined,
    kind_of,
    percent,
    places_for,
    plain,
    rounded,
    student_factor,
    typed,
    written,
)

INSIDE = {
    "length": "mm",
    "force": "N",
    "mass": "kg",
    "stiffness": "N/mm",
    "torque": "N*mm",
    "time": "s",
    "current": "A",
    "angle": "degree",
    "modulus": "N/mm**2",
    "voltage": "V",
    "resistance": "ohm",
    "inductance": "mH",
    "frequency": "Hz",
    "speed": "mm/s",
    "temperature difference": "K",
    "torsional stiffness": "N*mm",  # a radian is a number
    "mass per length": "g/m",
}
AS_PINT = {
    '"': "inch",
    "thou": "thou",
    "°": "degree",
    "deg": "degree",
    "n": "N",
    "n/mm": "N/mm",
    "n/m": "N/m",
    "n/um": "N/um",
    "n/µm": "N/um",
    "nmm": "N*mm",
    "n·mm": "N*mm",
    "nm": "N*m",
    "n·m": "N*m",
    "ncm": "N*cm",
    "a": "A",
    "ma": "mA",
    "μm": "um",
    "µm": "um",
    "n/mm²": "N/mm**2",
    "n/mm2": "N/mm**2",
    "mpa": "MPa",
    "gpa": "GPa",
    "v": "V",
    "ω": "ohm",
    "mh": "mH",
    "uh": "uH",
    "µh": "uH",
    "hz": "Hz",
    "k": "K",
    "nmm/rad": "N*mm/rad",
    "n·mm/rad": "N*mm/rad",
    "nm/rad": "N*m/rad",
    "n·m/rad": "N*m/rad",
    "lbf·in": "lbf*inch",
}


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize("unit", _UNITS)
def test_a_typed_unit_is_worth_what_another_program_says(unit, registry):
    kind, _ = _UNITS[unit]
    theirs = registry.Quantity(3.7, AS_PINT.get(unit, unit)).to(INSIDE[kind]).magnitude
    assert typed(f"3.7 {unit}", kind, "x") == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("kind", INSIDE)
def test_a_number_without_a_unit_is_in_the_unit_used_inside(kind):
    assert typed("8.5", kind, "x") == 8.5


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("8", 8),
        (" 8 mm ", 8),
        ("0,5 in", 12.7),
        ("1 MM", 1),
        ("\N{MINUS SIGN}2", -2),
        ("8.", 8),
        (".5", 0.5),
        ("1e-3 m", 1),
        ('0.5"', 12.7),
    ],
)
def test_a_length_may_be_typed_many_ways(text, value):
    assert typed(text, "length", "x") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["", "mm", "eight", "8 furlongs", "8,5,1", "1.2.3", "8 kg", "--8"])
def test_what_is_no_length_is_refused_at_its_place(text):
    with pytest.raises(InputError) as told:
        typed(text, "length", "lead")
    assert told.value.place == "lead"
    assert told.value.value == text


def test_a_unit_of_something_else_is_told_what_it_is():
    with pytest.raises(InputError, match="kgf is a force"):
        typed("3 kgf", "length", "lead")


@given(st.text(max_size=12))
def test_any_text_is_a_number_or_is_refused(text):
    try:
        found = typed(text, "length", "x")
    except InputError:
        return
    assert isinstance(found, float)


@pytest.mark.parametrize("unit", ["mm", "N", "N·mm", "N/mm", "N/mm²", "kg", "A", "mH", "K", "°"])
def test_a_number_is_typed_in_another_unit_of_what_its_own_unit_measures(unit):
    assert kind_of(unit) in INSIDE
    assert typed(f"3 {unit}", kind_of(unit), "x") == 3


@given(st.floats(-1e12, 1e12).filter(lambda v: abs(v) > 1e-12), st.integers(1, 6))
def test_a_rounded_number_is_off_by_at_most_half_of_its_last_digit(value, digits):
    number, _, power = rounded(value, digits).partition("·10")
    superscripts = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
    shown = float(number) * 10 ** int(power.translate(superscripts) or 0)
    assert abs(shown - value) <= abs(value) * 0.5 * 10.0 ** (1 - digits) * (1 + 1e-9)


PARTS = st.lists(
    st.tuples(st.floats(1e-6, 10), st.floats(1, 100) | st.just(inf)), min_size=1, max_size=6
)


@given(PARTS)
def test_the_sum_of_independent_parts_is_as_uncertain_as_another_program_says(parts):
    u, _ = combined(parts)
    assert u == pytest.approx(sum(ufloat(0, u_i) for u_i, _ in parts).std_dev, rel=1e-12)


@given(PARTS)
def test_effective_degrees_of_freedom_lie_between_the_fewest_and_the_sum(parts):
    _, dof = combined(parts)
    assert dof >= min(nu for _, nu in parts) * (1 - 1e-9)
    if all(isfinite(nu) for _, nu in parts):
        assert dof <= sum(nu for _, nu in parts) * (1 + 1e-9)


@given(st.floats(1e-6, 10), st.integers(1, 40))
def test_equal_parts_add_as_the_root_of_their_number_and_pool_their_freedom(u, count):
    total, dof = combined([(u, 5.0)] * count)
    assert total == pytest.approx(u * sqrt(count))
    assert dof == pytest.approx(5 * count)


def test_parts_that_are_known_for_certain_add_nothing():
    assert combined([(0.0, 3), (0.25, 9)]) == combined([(0.25, 9)])
    assert combined([(0.3, inf)])[1] == inf


@given(st.floats(1, 500), st.floats(1, 500))
def test_fewer_degrees_of_freedom_widen_the_interval(a, b):
    assume(abs(a - b) > 1e-3)
    assert (student_factor(a) > student_factor(b)) == (a < b)
    assert student_factor(a) > student_factor(inf)


NUMBER = re.compile(r"-?\d+(?:\.(\d+))?")


@given(st.floats(-1e4, 1e4), st.floats(1e-5, 1e3))
def test_value_and_half_width_end_at_the_same_place(value, expanded):
    left, right = written(value, expanded, Unit.MM).removesuffix(" mm").split(" ± ")
    assert len(NUMBER.fullmatch(left)[1] or "") == len(NUMBER.fullmatch(right)[1] or "")
    assert abs(float(left) - value) <= 0.5 * 10 ** -places_for(expanded) * (1 + 1e-6)


@pytest.mark.parametrize(
    ("value", "expanded", "text"),
    [
        (0.2141, 0.0138, "0.214 ± 0.014 mm"),
        (0.2141, 0.0038, "0.214 ± 0.004 mm"),
        (0.2141, 0.3, "0.2 ± 0.3 mm"),
        (12.34, 4.4, "12 ± 4 mm"),
        (12.34, 1.44, "12.3 ± 1.4 mm"),
        (1234.0, 55.0, "1234 ± 55 mm"),
        (0.0301, 0.1, "0.03 ± 0.10 mm"),
        (-0.0001, 0.01, "0.000 ± 0.010 mm"),
        (0.12345, 0.0, "0.123 mm"),
        (0.12345, nan, "0.123 mm"),
        (0.12345, inf, "0.123 mm"),
    ],
)
def test_a_length_is_written_with_the_digits_it_deserves(value, expanded, text):
    assert written(value, expanded, Unit.MM) == text


def test_a_ratio_has_no_unit():
    assert written(0.5, 0.1) == "0.50 ± 0.10"


@given(st.floats(-1e6, 1e6), st.integers(0, 6))
def test_nothing_is_less_than_nothing(value, places):
    text = plain(value, places)
    assert float(text) == float(f"{value:.{places}f}")
    assert not (text.startswith("-") and float(text) == 0)


@given(st.floats(0, 1))
def test_no_probability_is_written_as_certain(probability):
    assert percent(probability) not in ("0 %", "1 %", "99 %", "100 %")


def test_a_measured_value_is_written_by_its_own_expanded_uncertainty():
    lost = Measured(0.2141, 0.0061, Unit.MM, dof=9)
    assert str(lost) == written(lost.value, lost.expanded, Unit.MM)
    assert lost.expanded > Measured(0.2141, 0.0061, Unit.MM).expanded
