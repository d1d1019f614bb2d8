"""Set-ups that could be read next."""

from __future__ import annotations

import pytest

from plumbrise.machine import ARRANGEMENTS, blank, known, stations_of
from plumbrise.measure.setups import RECIPES, at_height, candidates

MACHINES = [blank(name) for name in ARRANGEMENTS]


@pytest.mark.parametrize("machine", MACHINES, ids=lambda m: m.arrangement.id)
def test_every_candidate_stays_within_the_travel_and_at_its_own_stations(machine):
    stations = stations_of(machine.arrangement)
    travel = known(machine, "travel.height_mm").value
    for setup in candidates(machine):
        assert setup.station in stations
        assert all(0 <= r.target_mm <= travel for r in setup.run.readings)


@pytest.mark.parametrize("machine", MACHINES, ids=lambda m: m.arrangement.id)
def test_every_recipe_is_a_candidate_somewhere(machine):
    found = candidates(machine)
    assert {setup.kind for setup in found} == {recipe.kind for recipe in RECIPES}
    assert len({(s.kind.id, s.station.id) for s in found}) == len(found)


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.kind.id)
def test_a_candidate_holds_enough_readings_for_its_kind(recipe):
    assert len(recipe.told(MACHINES[0])) >= recipe.kind.fewest


def test_shafts_and_screw_ends_take_longer_to_reach_than_the_gantry():
    by_station = {
        s.station.id: s.minutes for s in candidates(MACHINES[0]) if s.kind.id == "reversal"
    }
    assert by_station["motor-shaft"] > by_station["gantry-left"]


def test_a_set_up_moves_to_another_height_as_a_whole():
    setup = next(s for s in candidates(MACHINES[0]) if s.kind.id == "reversal")
    moved = at_height(setup, 55.0)
    before = [r.target_mm for r in setup.run.readings]
    after = [r.target_mm for r in moved.run.readings]
    assert min(after) == 55.0
    assert [round(b - a, 6) for a, b in zip(before, after, strict=True)] == [35.0] * len(after)
