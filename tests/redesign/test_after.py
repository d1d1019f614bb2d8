"""The axes after changes, as a forecast takes them."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from plumbrise.axis import layout_of, sound, vector_of
from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.machine import blank
from plumbrise.redesign import CATALOGUE
from plumbrise.redesign.after import axes_after


@pytest.fixture
def believed():
    base = sound(blank("one-screw"))
    count = 16
    terms = {
        "screw-bend:left:cos": np.full(count, 0.03),
        "screw-bend:left:sin": np.full(count, 0.04),
    }
    return Believed(
        base=base,
        thetas=np.tile(vector_of(base), (count, 1)),
        weight=np.full(count, 1 / count),
        terms=MappingProxyType(terms),
        takes={},
        keep={},
    )


def _after(believed, *ids):
    changes = [CATALOGUE[one] for one in ids]
    return axes_after(blank("one-screw"), believed, changes, np.random.default_rng(0), 16)


def test_without_a_change_the_axes_stay_as_they_are(believed):
    same = _after(believed)
    assert same.thetas == pytest.approx(believed.thetas)
    assert same.machine == blank("one-screw")


def test_a_stiffer_bracket_is_stiffer_in_every_draw_and_nothing_else_moves(believed):
    after = _after(believed, "stiff-bracket")
    place = layout_of(after.base).index("bracket_stiffness_n_per_mm:left")
    assert (after.thetas[:, place] > believed.thetas[:, place]).all()
    assert np.delete(after.thetas, place, 1) == pytest.approx(np.delete(believed.thetas, place, 1))


def test_a_second_screw_makes_another_machine(believed):
    after = _after(believed, "second-screw-motor")
    assert after.machine.arrangement.id == "two-screw"
    assert [lift.end for lift in after.base.lifts] == ["left", "right"]
    assert after.thetas.shape[1] == len(layout_of(after.base).names)


def test_the_screw_that_is_added_has_a_lead_error_of_its_own(believed):
    terms = _after(believed, "second-screw-motor").terms
    assert np.ptp(terms["lead-error:right"]) > 0
    assert "lead-error:right" not in _after(believed, "stiff-bracket").terms


def test_each_of_two_motors_steps_unevenly_by_itself_and_one_that_turns_both_does_not(believed):
    waves = {f"microstep-error:four:{wave}": np.full(16, 0.01) for wave in ("cos", "sin")}
    uneven = replace(believed, terms=MappingProxyType({**believed.terms, **waves}))
    tied, motor = (_after(uneven, f"second-screw-{by}").terms for by in ("tied", "motor"))
    assert tied["microstep-error:four:cos"] == pytest.approx(0.01)
    assert not [name for name in tied if name.startswith("microstep-error:right")]
    assert motor["microstep-error:left:four:cos"] == pytest.approx(0.01)
    assert np.ptp(motor["microstep-error:right:four:cos"]) > 0
    assert "microstep-error:four:cos" not in motor
    for terms in (tied, motor):
        assert np.ptp(terms["screw-bend:right:sin"]) > 0


def test_a_straighter_screw_shrinks_its_wave_and_keeps_its_phase(believed):
    after = _after(believed, "straight-screw").terms
    cosine, sine = after["screw-bend:left:cos"], after["screw-bend:left:sin"]
    assert (np.hypot(cosine, sine) < 0.05).all()
    assert sine / cosine == pytest.approx(4 / 3)


def test_a_change_that_is_named_twice_is_made_once(believed):
    once, twice = (_after(believed, *["stiff-bracket"] * n) for n in (1, 2))
    assert twice.thetas == pytest.approx(once.thetas)


@pytest.mark.parametrize(
    ("ids", "why"),
    [
        (("tension-belt",), "can have"),
        (("thrust-bearing", "ball-in-coupling"), "together"),
        (("four-step-layers",), "slicer"),
    ],
)
def test_what_cannot_be_made_of_this_axis_is_refused_with_the_reason(believed, ids, why):
    with pytest.raises(InputError, match=why):
        _after(believed, *ids)
