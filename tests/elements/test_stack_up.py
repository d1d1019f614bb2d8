"""Chains of dimensions, and standard fits."""

from dataclasses import replace
from math import nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import fits, stack_up
from plumbrise.elements.stack_up import Link
from plumbrise.errors import InputError

links = st.builds(
    Link,
    name=st.text("abcdefgh", min_size=1, max_size=4),
    nominal_mm=st.floats(0, 500),
    plus_mm=st.floats(0.001, 1),
    minus_mm=st.floats(0.001, 1),
    sensitivity=st.floats(-2, 2).filter(lambda s: abs(s) > 0.01),
    law=st.sampled_from(list(stack_up.LAWS)),
)
chains = st.lists(links, min_size=1, max_size=6, unique_by=lambda link: link.name)
SLOT = Link(name="slot", nominal_mm=20, plus_mm=0.1, minus_mm=0.1)
BLOCK = Link(name="block", nominal_mm=19.8, plus_mm=0.05, minus_mm=0.05, sensitivity=-1)


@given(chains)
def test_chance_is_kinder_than_the_worst_case_and_never_by_more_than_root_n(chain):
    worst, by_chance = stack_up.worst_case(chain), stack_up.root_sum_square(chain)
    assert by_chance.middle_mm == worst.middle_mm
    assert by_chance.half_mm <= worst.half_mm * (1 + 1e-12)
    assert worst.half_mm <= sqrt(len(chain)) * by_chance.half_mm * (1 + 1e-12)


@given(chains.filter(lambda chain: len(chain) > 1))
def test_the_inflated_width_lies_between(chain):
    worst, by_chance = stack_up.worst_case(chain), stack_up.root_sum_square(chain)
    found = stack_up.inflated(chain)
    assert by_chance.half_mm * (1 - 1e-12) <= found.half_mm <= worst.half_mm * (1 + 1e-12)


@given(links)
def test_an_uneven_tolerance_means_the_same_limits(link):
    even = replace(link, nominal_mm=link.middle_mm, plus_mm=link.half_mm, minus_mm=link.half_mm)
    one, other = stack_up.worst_case([link]), stack_up.worst_case([even])
    assert one.least_mm == pytest.approx(other.least_mm, abs=1e-9)
    ends = sorted(
        link.sensitivity * size
        for size in (link.nominal_mm + link.plus_mm, link.nominal_mm - link.minus_mm)
    )
    assert [one.least_mm, one.most_mm] == pytest.approx(ends, abs=1e-9)


@given(chains, st.integers(0, 1000))
def test_drawn_sets_scatter_as_the_laws_say_and_stay_where_the_middle_is(chain, seed):
    found = stack_up.monte_carlo(chain, rng=np.random.default_rng(seed), draws=20_000)
    variances = [
        (link.sensitivity * link.half_mm * stack_up.LAWS[link.law].sd_share) ** 2 for link in chain
    ]
    sd = sqrt(sum(variances))
    # six standard deviations of a mean and of a standard deviation of 20000 draws
    assert found.mean_mm == pytest.approx(stack_up.worst_case(chain).middle_mm, abs=6 * sd / 141)
    assert found.sd_mm == pytest.approx(sd, rel=6 / 200)
    assert found.low_mm < found.mean_mm < found.high_mm


@given(chains)
def test_shares_of_the_scatter_are_whole_and_in_order(chain):
    shares = [share for _, share in stack_up.contributions(chain)]
    assert sum(shares) == pytest.approx(1)
    assert shares == sorted(shares, reverse=True)


def test_the_loosest_part_is_named_first():
    assert stack_up.contributions([BLOCK, SLOT])[0][0] == "slot"


def test_a_chain_without_tolerance_has_no_scatter_to_share():
    exact = replace(SLOT, plus_mm=0, minus_mm=0)
    assert stack_up.contributions([exact]) == (("slot", 0.0),)
    assert stack_up.inflated([exact, replace(exact, name="b")]).half_mm == 0


def test_half_of_all_sets_lie_above_the_middle():
    found = stack_up.monte_carlo(
        [SLOT, BLOCK], rng=np.random.default_rng(4), draws=100_000, least_mm=0.2
    )
    assert found.in_limits == pytest.approx(0.5, abs=6 * found.in_limits_u)
    assert found.in_limits_u == pytest.approx(0.5 / sqrt(100_000), rel=0.01)


def test_the_same_seed_gives_the_same_answer():
    one, other = (
        stack_up.monte_carlo([SLOT, BLOCK], rng=np.random.default_rng(7)) for _ in range(2)
    )
    assert one == other


@pytest.mark.parametrize(
    ("chain", "words"),
    [
        ((), "one link or more"),
        ((SLOT, replace(BLOCK, name="slot")), "a name of its own"),
        ((replace(SLOT, plus_mm=-0.1),), "slot, plus_mm"),
        ((replace(SLOT, nominal_mm=nan),), "slot, nominal_mm"),
        ((replace(SLOT, law="even"),), "normal, rectangular, triangular"),
    ],
)
def test_a_chain_that_is_none_is_refused(chain, words):
    with pytest.raises(InputError, match=words):
        stack_up.worst_case(chain)


@pytest.mark.parametrize(
    "wrong", [{"draws": 10}, {"level": 1.0}, {"least_mm": 1.0, "most_mm": 0.0}]
)
def test_a_draw_that_cannot_be_made_is_refused(wrong):
    with pytest.raises(InputError):
        stack_up.monte_carlo([SLOT], rng=np.random.default_rng(1), **wrong)


def test_one_link_cannot_be_inflated():
    with pytest.raises(InputError, match="two links or more"):
        stack_up.inflated([SLOT])


sizes = st.floats(3, 50, exclude_min=True)


@given(sizes, st.sampled_from("hgf"), st.integers(5, 7))
def test_a_coarser_grade_is_wider_and_keeps_its_near_limit(size, letter, grade):
    fine, coarse = (fits.limits(size_mm=size, zone=f"{letter}{g}") for g in (grade, grade + 1))
    assert coarse.upper_mm == fine.upper_mm
    assert coarse.lower_mm < fine.lower_mm


@given(sizes, st.sampled_from("hgf"), st.integers(5, 8))
def test_a_hole_mirrors_the_shaft_of_its_letter(size, letter, grade):
    shaft = fits.limits(size_mm=size, zone=f"{letter}{grade}")
    hole = fits.limits(size_mm=size, zone=f"{letter.upper()}{grade}")
    assert (hole.lower_mm, hole.upper_mm) == (-shaft.upper_mm, -shaft.lower_mm)


@given(sizes, st.sampled_from(["h6", "g6", "f7"]))
def test_a_shaft_of_these_letters_always_goes_into_an_h_hole(size, shaft):
    found = fits.clearance_mm(size_mm=size, hole="H7", shaft=shaft)
    width = sum(fits.tolerance_width_mm(size_mm=size, grade=int(zone[1])) for zone in ("H7", shaft))
    assert found.lower_mm >= 0
    assert found.upper_mm - found.lower_mm == pytest.approx(width)


@pytest.mark.parametrize("size", [3, 50.1, nan])
def test_sizes_beyond_the_table_are_refused(size):
    with pytest.raises(InputError, match="above 3 and up to 50 mm"):
        fits.limits(size_mm=size, zone="h6")


@pytest.mark.parametrize("zone", ["", "h", "h9", "k6", "hx"])
def test_zones_beyond_the_table_are_refused(zone):
    with pytest.raises(InputError, match="zone"):
        fits.limits(size_mm=8, zone=zone)


def test_a_fit_is_a_hole_and_a_shaft():
    with pytest.raises(InputError, match="H7/h6"):
        fits.clearance_mm(size_mm=8, hole="h7", shaft="H6")
