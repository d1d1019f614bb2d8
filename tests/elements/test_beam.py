"""Beams sag as statics says, and as a chain of finite elements does."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import beam, sections
from plumbrise.elements.beam_cases import CASES
from plumbrise.elements.springs import series_n_per_mm, side_by_side_n_per_mm
from plumbrise.errors import InputError

LENGTH, BENDING, FORCE = 340.0, 3.1e9, 7.0
ENDS = {
    "cantilever": ("clamped", "free"),
    "guided": ("clamped", "sliding"),
    "supported": ("resting", "resting"),
    "clamped": ("clamped", "clamped"),
    "propped": ("clamped", "resting"),
}
HELD = {"clamped": (0, 1, 2), "sliding": (2,), "resting": (1,), "free": ()}
SPREAD = [case for case in CASES if case.endswith("-spread")]


def chain(plane_frame, ends, forces, length=LENGTH, pieces=20):
    """Sag and slope along a beam of equal pieces; forces by node."""
    nodes = [(length * i / pieces, 0.0) for i in range(pieces + 1)]
    bars = [(i, i + 1, BENDING) for i in range(pieces)]
    held = [(0, d) for d in HELD[ends[0]]] + [(pieces, d) for d in HELD[ends[1]]] + [(0, 0)]
    moved = plane_frame(nodes, bars, held, {(node, 1): -f for node, f in forces.items()})
    return -moved[:, 1], moved[:, 2]


def sag(case, **changes):
    given = {"force_n": FORCE, "length_mm": LENGTH, "bending_stiffness_nmm2": BENDING} | changes
    return beam.sag_mm(case, **given)


@pytest.mark.parametrize("case", ENDS)
def test_a_force_sags_a_beam_as_finite_elements_say(case, plane_frame):
    at = 20 if case in ("cantilever", "guided") else 10
    sags, _ = chain(plane_frame, ENDS[case], {at: FORCE})
    assert sag(case) == pytest.approx(sags[at], rel=1e-6)


@pytest.mark.parametrize("case", SPREAD)
def test_a_spread_load_sags_a_beam_as_many_small_forces_do(case, plane_frame):
    pieces = 80
    each = dict.fromkeys(range(1, pieces), FORCE / pieces) | {pieces: FORCE / pieces / 2}
    sags, _ = chain(plane_frame, ENDS[case.removesuffix("-spread")], each, pieces=pieces)
    assert sag(case) == pytest.approx(max(sags), rel=1e-3)


@pytest.mark.parametrize("place", [1, 7, 12, 19])
@pytest.mark.parametrize("case", ["cantilever-at", "supported-at"])
def test_a_force_on_the_way_sags_and_turns_a_beam_as_finite_elements_say(case, place, plane_frame):
    at_mm = LENGTH * place / 20
    ends = ENDS[case.removesuffix("-at")]
    sags, slopes = chain(plane_frame, ends, {place: FORCE})
    read, end = (20, 20) if case == "cantilever-at" else (place, 0)
    assert sag(case, at_mm=at_mm) == pytest.approx(sags[read], rel=1e-6)
    turned = beam.end_slope_rad(
        case, force_n=FORCE, length_mm=LENGTH, bending_stiffness_nmm2=BENDING, at_mm=at_mm
    )
    assert turned == pytest.approx(abs(slopes[end]), rel=1e-6)


def test_an_overhang_sags_and_turns_as_finite_elements_say(plane_frame):
    nodes = [(0, 0), (LENGTH, 0), (1.4 * LENGTH, 0)]
    held = [(0, 0), (0, 1), (1, 1)]
    moved = plane_frame(nodes, [(0, 1, BENDING), (1, 2, BENDING)], held, {(2, 1): -FORCE})
    given = {"force_n": FORCE, "length_mm": LENGTH, "bending_stiffness_nmm2": BENDING}
    assert sag("overhang", at_mm=0.4 * LENGTH) == pytest.approx(-moved[2, 1], rel=1e-6)
    turned = beam.end_slope_rad("overhang", at_mm=0.4 * LENGTH, **given)
    assert turned == pytest.approx(-moved[2, 2], rel=1e-6)


@pytest.mark.parametrize("case", CASES)
@given(st.floats(1, 2000), st.floats(0, 500), st.floats(1e4, 1e11))
def test_sag_goes_with_force_length_cubed_and_the_inverse_of_stiffness(case, length, force, bends):
    at = 0.3 if CASES[case].far else None
    one = beam.sag_mm(
        case,
        force_n=force,
        length_mm=length,
        bending_stiffness_nmm2=bends,
        at_mm=at and at * length,
    )
    doubled = beam.sag_mm(
        case,
        force_n=2 * force,
        length_mm=2 * length,
        bending_stiffness_nmm2=4 * bends,
        at_mm=at and at * 2 * length,
    )
    assert doubled == pytest.approx(4 * one)


def test_the_more_a_beam_is_held_the_less_it_sags():
    held = ("supported", "propped", "clamped")
    sags = [sag(case) for case in held]
    assert sags == sorted(sags, reverse=True)
    assert sag("guided") < sag("cantilever")


@given(st.floats(0.01, 0.99))
def test_a_force_counts_the_same_from_either_support(share):
    near, far = (sag("supported-at", at_mm=part * LENGTH) for part in (share, 1 - share))
    assert near == pytest.approx(far, rel=1e-9)


@pytest.mark.parametrize("at_mm", [None, -1.0, LENGTH + 1])
def test_a_case_that_asks_where_the_force_stands_is_told_or_refuses(at_mm):
    with pytest.raises(InputError) as told:
        sag("supported-at", at_mm=at_mm)
    assert told.value.place == "at_mm"


def test_shear_matters_less_the_slimmer_the_beam():
    bar = sections.bar(width_mm=20, height_mm=20)

    def share(length):
        shear = beam.shear_sag_mm(
            "cantilever",
            force_n=1,
            length_mm=length,
            shear_stiffness_n=bar.tall_shear * bar.area_mm2 / 2.6,
        )
        bending = beam.sag_mm(
            "cantilever", force_n=1, length_mm=length, bending_stiffness_nmm2=bar.tall_mm4
        )
        return shear / bending

    assert share(200) == pytest.approx(share(100) / 4)


@given(st.floats(1, 1e5), st.floats(1, 2000), st.floats(1e4, 1e11))
def test_twist_adds_along_the_beam(torque, length, stiffness):
    half, whole = (
        beam.twist_rad(torque_nmm=torque, length_mm=part, torsion_stiffness_nmm2=stiffness)
        for part in (length / 2, length)
    )
    assert 2 * half == pytest.approx(whole)


@given(st.floats(1e5, 1e9), st.floats(1e6, 1e11), st.floats(50, 1000))
def test_a_beam_on_a_carriage_racks_more_than_either_alone(tilting, bending, span):
    both = beam.beam_racking_n_per_mm(
        tilting_nmm_per_rad=tilting, bending_stiffness_nmm2=bending, span_mm=span
    )
    carriage = beam.racking_n_per_mm(tilting_nmm_per_rad=tilting, span_mm=span)
    alone = beam.cantilever_n_per_mm(bending_stiffness_nmm2=bending, length_mm=span)
    assert both <= min(carriage, alone) * (1 + 1e-12)


SPRINGS = st.lists(st.floats(0.1, 1e5), min_size=1, max_size=6)


@given(SPRINGS)
def test_springs_side_by_side_are_stiffer_than_any_of_them_and_in_a_row_softer(springs):
    assert side_by_side_n_per_mm(springs) >= max(springs)
    assert series_n_per_mm(springs) <= min(springs) * (1 + 1e-12)
