"""What a print can be, and what none is."""

import pytest

from plumbrise.errors import InputError
from plumbrise.foresee import Print

NONE = [
    ({"layer_mm": 1e-9}, "mm"),
    ({"layer_mm": 11.0, "width_mm": 40.0}, "mm"),
    ({"first_mm": 1e-9}, "mm"),
    ({"width_mm": float("inf")}, "mm"),
    ({"width_mm": 1e200}, "mm"),
    ({"width_mm": float("nan")}, "mm"),
    ({"probe_n": 51.0}, "N"),
    ({"layers": 0}, "layers"),
    ({"offset_mm": -0.19}, "mm"),
    ({"dip_to_mm": 0.3}, "mm"),
]


@pytest.mark.parametrize(("given", "unit"), NONE)
def test_what_no_print_can_be_is_refused_with_what_can_in_its_unit(given, unit):
    with pytest.raises(InputError, match=f" {unit} allowed") as refused:
        Print(**given)
    assert refused.value.place in given
