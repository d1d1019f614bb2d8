"""Targets as a person types them."""

import pytest

from plumbrise.errors import InputError
from plumbrise.redesign.figures import HEIGHT, LOST_MOTION, limit_of, targets_of


@pytest.mark.parametrize("said", ["0.0508", "50.8 um", "2 thou", "0,002 in", "0.00508 cm"])
def test_a_length_may_come_in_any_unit(said):
    assert limit_of(LOST_MOTION, said) == pytest.approx(0.0508)


def test_a_height_error_may_come_as_a_share_of_the_height():
    assert limit_of(HEIGHT, "0.2%") == limit_of(HEIGHT, "0.2")
    with pytest.raises(InputError):
        limit_of(LOST_MOTION, "5%")


@pytest.mark.parametrize("said", ["0", "-1", "11", "3 kg", "nan", "much"])
def test_what_cannot_be_a_limit_is_refused(said):
    with pytest.raises(InputError):
        limit_of(LOST_MOTION, said)


@pytest.mark.parametrize("limit", [0.0, -0.05, 11.0, float("nan"), float("inf")])
def test_from_python_such_a_limit_is_refused_too(limit):
    with pytest.raises(InputError, match="to 10 mm"):
        targets_of({"lost-motion": limit})
