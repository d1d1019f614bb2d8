"""Springs one after the other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.springs import series_n_per_mm
from plumbrise.errors import InputError


@given(st.lists(st.floats(1, 1e4), min_size=1, max_size=6))
def test_a_chain_is_softer_than_its_softest_link(stiffnesses):
    assert series_n_per_mm(stiffnesses) <= min(stiffnesses) * (1 + 1e-12)


def test_a_rigid_link_takes_nothing():
    assert series_n_per_mm([40.0, float("inf")]) == 40.0


def test_a_link_without_stiffness_is_refused():
    with pytest.raises(InputError, match="stiffness 2"):
        series_n_per_mm([40.0, 0.0])
