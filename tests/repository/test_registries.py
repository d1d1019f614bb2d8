"""The tables that the program lives by know of each other."""

from dataclasses import fields

import pytest

from plumbrise.explain.causes import CAUSES, LINKS
from plumbrise.explain.priors import LINEAR, TABLE
from plumbrise.machine import ARRANGEMENTS, DEFAULTS, STATIONS, PerSide, blank, stations_of
from plumbrise.readings.columns import COLUMNS, REQUIRED
from plumbrise.readings.kinds import KINDS


@pytest.mark.parametrize("table", [ARRANGEMENTS, CAUSES, KINDS, STATIONS], ids=len)
def test_each_entry_is_found_under_its_own_id(table):
    assert all(entry.id == key for key, entry in table.items())


@pytest.mark.parametrize("cause", CAUSES.values(), ids=lambda cause: cause.id)
def test_a_cause_sits_in_a_link_and_says_what_to_do(cause):
    assert cause.link is None or cause.link in LINKS
    assert cause.words.endswith(".")
    assert cause.remedy.endswith(".")


def test_every_cause_says_which_test_it_cannot_be_seen_without():
    assert all(cause.needs for cause in CAUSES.values())


def test_nothing_is_believed_of_a_cause_that_is_not_there():
    believed = {one.cause for one in TABLE if one.cause} | {one.cause for one in LINEAR.values()}
    assert believed <= set(CAUSES)
    assert set(CAUSES) - believed <= {"lost-steps"}  # jumps inside a run, no parameter


@pytest.mark.parametrize("key", DEFAULTS)
def test_a_default_belongs_to_a_field_of_the_machine_file(key):
    part, field = key.split(".")
    machine = blank("one-screw")
    described = getattr(machine, part)
    if described is None:  # a belt is there only where one is described
        assert part == "drive"
        return
    if isinstance(described, PerSide):
        described = described.common
    assert field in {one.name for one in fields(described)}
    assert (
        field.rpartition("_")[2]
        == DEFAULTS[key].unit.lower().replace("·", "").replace("/", "_per_")
    ) or (not DEFAULTS[key].unit)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS.values(), ids=lambda one: one.id)
def test_the_walk_along_an_arrangement_ends_at_the_block_and_visits_nothing_twice(arrangement):
    walk = [station.id for station in stations_of(arrangement)]
    assert len(set(walk)) == len(walk)
    assert walk[-1] == "block"
    for end in arrangement.ends:
        assert f"{arrangement.body}-{end}" in walk


def test_every_station_is_on_some_walk():
    visited = {s.id for arrangement in ARRANGEMENTS.values() for s in stations_of(arrangement)}
    assert visited == set(STATIONS)


def test_no_name_of_a_column_means_two_things():
    names = [name for column in COLUMNS for name in (column.name, *column.other_names)]
    assert len(set(names)) == len(names)
    assert set(REQUIRED) == {"run", "test", "station", "seq", "target_mm", "reading_mm"}


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.id)
def test_a_test_kind_is_mentioned_where_its_figures_are_explained(kind, repository):
    told = "\n".join(
        page.read_text(encoding="utf-8").lower().replace("-", " ")
        for page in (repository / "docs").rglob("*.md")
        if "_build" not in page.parts and page.name != "test-kinds.md"
    )
    assert kind.title.lower().replace("-", " ") in told or kind.id.replace("-", " ") in told
