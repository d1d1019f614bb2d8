"""Tests that could be done next: what is told, where the gauge stands, how many minutes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from plumbrise.machine import LINK_STATIONS, Machine, Station, known, lead_mm, stations_of
from plumbrise.measure.pairs import pairs_of
from plumbrise.measure.session import Session
from plumbrise.measure.stroke import how_set_by_plan, needs_blocks
from plumbrise.measure.time_taken import READING_S, seconds_of, setting_s
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import (
    COARSE_STEPS,
    DEAD_WEIGHT,
    FINE_STEPS,
    FULL_TRAVEL,
    GAUGE_CHECK,
    HOLD,
    ONE_TURN,
    REPEAT_HOME,
    REVERSAL,
    SIDE_PUSH,
    Kind,
)


@dataclass(frozen=True, slots=True)
class SetUp:
    """One gauge set-up that could come next. `run` holds what would be told and hung, no
    readings yet; `minutes` counts the moves, setting the gauge and reading; `with_balance` where a
    spring balance pulls up and down instead of hung masses."""

    run: Run
    minutes: float
    with_balance: bool = False

    @property
    def kind(self) -> Kind:
        """The kind of test."""
        return self.run.kind

    @property
    def station(self) -> Station:
        """Where the gauge's tip rests."""
        return self.run.station


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a kind of test is done: at which sort of station ("link", "body", "frame", "block"),
    and what is told."""

    kind: Kind
    places: tuple[str, ...]
    told: Callable[[Machine], tuple[Reading, ...]]
    with_balance: bool = False


def _row(
    seq: int,
    target_mm: float,
    approach: str,
    *,
    mass_kg: float = 0.0,
    force_n: float | None = None,
    time_s: float | None = None,
) -> Reading:
    return Reading(
        seq=seq,
        target_mm=round(target_mm, 4),
        reading_mm=None,
        approach=approach,
        mass_kg=mass_kg,
        force_n=force_n,
        time_s=time_s,
    )


def _stairs(step_mm: float, count: int) -> Callable[[Machine], tuple[Reading, ...]]:
    def told(_machine: Machine) -> tuple[Reading, ...]:
        return tuple(_row(i, i * step_mm, "up" if i else "down") for i in range(count))

    return told


def _low_mm(machine: Machine) -> float:
    """A height to work at: 20 mm, or the middle of a short travel."""
    return min(20.0, float(known(machine, "travel.height_mm").value) / 2)


def _up_down_up(machine: Machine) -> tuple[Reading, ...]:
    low = _low_mm(machine)
    steps = [0.1 * i for i in range(11)]
    legs = ((steps, "up"), (steps[::-1], "down"), (steps, "up"))
    rows = [(low + s, way) for leg, way in legs for s in leg]
    return tuple(_row(i, target, way) for i, (target, way) in enumerate(rows))


def _whole_height(machine: Machine) -> tuple[Reading, ...]:
    travel = float(known(machine, "travel.height_mm").value)
    low, high = min(10.0, travel / 4), travel - min(10.0, travel / 4)
    targets = [low + (high - low) * i / 5 for i in range(6)]
    rows = [(t, "up") for t in targets] + [(t, "down") for t in reversed(targets)]
    return tuple(_row(i, target, way) for i, (target, way) in enumerate(rows * 2))


def _turns(machine: Machine) -> tuple[Reading, ...]:
    lead = lead_mm(machine) or 8.0
    low = _low_mm(machine)
    return tuple(_row(i, low + lead * i / 16, "up") for i in range(33))


def _homes(_machine: Machine) -> tuple[Reading, ...]:
    return tuple(_row(i, 0.0, "down") for i in range(10))


def _masses(machine: Machine) -> tuple[Reading, ...]:
    low = _low_mm(machine)
    hung = (0.0, 0.5, 1.0, 1.5, 2.0, 1.5, 1.0, 0.5, 0.0)
    return tuple(_row(i, low, "up", mass_kg=mass) for i, mass in enumerate(hung))


def _pulls(machine: Machine) -> tuple[Reading, ...]:
    low = _low_mm(machine)
    forces = (0.0, 5.0, 10.0, 15.0, 10.0, 5.0, 0.0, -5.0, -10.0, -5.0, 0.0)
    return tuple(_row(i, low, "up", force_n=f) for i, f in enumerate(forces))


def _waiting(machine: Machine) -> tuple[Reading, ...]:
    low = _low_mm(machine)
    return tuple(_row(i, low, "up", time_s=60.0 * i) for i in range(11))


def _pushes(machine: Machine) -> tuple[Reading, ...]:
    low = _low_mm(machine)
    forces = (0.0, 5.0, 10.0, 5.0, 0.0, -5.0, -10.0, -5.0, 0.0)
    return tuple(_row(i, low, "up", force_n=f) for i, f in enumerate(forces))


def _leaves(_machine: Machine) -> tuple[Reading, ...]:
    up = (0.0, 0.2, 0.5, 1.0, 2.0, 4.0)
    rows = [(t, "up") for t in up] + [(t, "down") for t in up[-2::-1]]
    return tuple(_row(i, target, way) for i, (target, way) in enumerate(rows))


RECIPES = (
    Recipe(GAUGE_CHECK, ("block",), _leaves),
    Recipe(COARSE_STEPS, ("body",), _stairs(1.0, 9)),
    Recipe(FINE_STEPS, ("body",), _stairs(0.05, 31)),
    Recipe(REVERSAL, ("link", "body"), _up_down_up),
    Recipe(FULL_TRAVEL, ("body",), _whole_height),
    Recipe(ONE_TURN, ("body",), _turns),
    Recipe(REPEAT_HOME, ("driven",), _homes),
    Recipe(DEAD_WEIGHT, ("link", "body"), _masses),
    Recipe(DEAD_WEIGHT, ("body",), _pulls, with_balance=True),
    Recipe(HOLD, ("driven",), _waiting),
    Recipe(SIDE_PUSH, ("frame",), _pushes),
)
"""How each kind of test is done that may come next."""


def _place(station: Station) -> str:
    if station.link_station in LINK_STATIONS:
        return "link"
    if station.id == "block":
        return "block"
    return "frame" if station.id.startswith("frame") else "body"


def _fits(machine: Machine, recipe: Recipe, station: Station) -> bool:
    if station.id in ("gantry-middle", "bed"):
        return False
    place = _place(station)
    if place == "body" and "driven" in recipe.places:
        return station.side == machine.screw_sides[0]
    return place in recipe.places


def candidates(
    machine: Machine, stands_at: str = "", *, balance: bool = False
) -> tuple[SetUp, ...]:
    """Every test worth weighing on this machine, one set-up each.

    Args:
        machine: the axis.
        stands_at: station where the gauge stands already; a test there saves setting the stand.
        balance: whether pulls with a spring balance are among them.

    Example:
        >>> from plumbrise.machine import blank
        >>> found = candidates(blank("one-screw"))
        >>> [s.station.id for s in found if s.kind.id == "dead-weight" and not s.with_balance]
        ['motor-shaft', 'screw', 'nut', 'gantry-left', 'gantry-right']
    """
    made: list[SetUp] = []
    for recipe in RECIPES:
        if recipe.with_balance and not balance:
            continue
        told = recipe.told(machine)
        for station in stations_of(machine.arrangement):
            if not _fits(machine, recipe, station):
                continue
            axis = "left-right" if recipe.kind is SIDE_PUSH else "up"
            with_what = " by spring balance" if recipe.with_balance else ""
            run = Run(
                name=f"{recipe.kind.id} at {station.id}{with_what}",
                kind=recipe.kind,
                station=station,
                readings=told,
                axis=axis,
                stand_on="table" if recipe.kind is SIDE_PUSH else "frame",
            )
            set_in = setting_s(station, stands=station.id == stands_at)
            seconds = seconds_of(machine, run, set_in_s=set_in)
            made.append(SetUp(run, seconds / 60.0, recipe.with_balance))
    return tuple(made)


def fits_gauge(machine: Machine, setup: SetUp) -> bool:
    """Whether the gauge's stroke, given or a common one, spans what a set-up would show."""
    return not needs_blocks(machine, setup.run)


def beyond_the_stroke(machine: Machine, test: str, station: str) -> str:
    """What to do where a test's targets lie further apart than the gauge's plunger follows; empty
    where they do not.

    Args:
        machine: whose gauge it is.
        test: the kind of test, by its id.
        station: where the gauge's tip rests, by its id.

    Example:
        >>> from plumbrise.machine import blank
        >>> said = beyond_the_stroke(blank("one-screw"), "full-travel", "gantry-left")
        >>> "more than the gauge's stroke of 10 mm" in said
        True
        >>> beyond_the_stroke(blank("one-screw"), "reversal", "gantry-left")
        ''
    """
    for setup in candidates(machine):
        if (setup.kind.id, setup.station.id) == (test, station) and not fits_gauge(machine, setup):
            return how_set_by_plan(machine, setup.run)
    return ""


def kinds_too_long(machine: Machine) -> tuple[Kind, ...]:
    """The kinds of test that the gauge's stroke does not span anywhere."""
    offered = candidates(machine)
    fitting = {setup.kind for setup in offered if fits_gauge(machine, setup)}
    return tuple(dict.fromkeys(s.kind for s in offered if s.kind not in fitting))


def minutes_after(offered: Sequence[SetUp], order: Sequence[int], gauges: int = 1) -> list[float]:
    """Minutes of each set-up done in this order: the stand is set once at each station, and every
    second set-up of a kind is read by a second gauge at the same moves.

    Example:
        >>> from plumbrise.machine import blank
        >>> all_of_them = candidates(blank("one-screw"))
        >>> here = [i for i, s in enumerate(all_of_them) if s.station.id == "gantry-left"][:2]
        >>> first, second = minutes_after(all_of_them, here)
        >>> second < all_of_them[here[1]].minutes
        True
    """
    out: list[float] = []
    stood: set[str] = set()
    moved: set[str] = set()
    for i in order:
        setup = offered[i]
        station = setup.station
        set_in = setting_s(station, stands=station.id in stood)
        if gauges > 1 and setup.kind.id in moved and setup.kind.moves:
            seconds = set_in + READING_S * len(setup.run.readings)
            moved.discard(setup.kind.id)  # two gauges make pairs
        else:
            seconds = 60.0 * setup.minutes - setting_s(station) + set_in
            moved.add(setup.kind.id)
        stood.add(station.id)
        out.append(seconds / 60.0)
    return out


KINDS_IN_ORDER = (
    GAUGE_CHECK,
    HOLD,
    FINE_STEPS,
    COARSE_STEPS,
    REVERSAL,
    REPEAT_HOME,
    ONE_TURN,
    FULL_TRAVEL,
    SIDE_PUSH,
    DEAD_WEIGHT,
)
"""At one station: what moves little and needs nothing first, hung masses last."""


def in_walking_order(machine: Machine, setups: Sequence[SetUp], gauges: int = 1) -> list[SetUp]:
    """Set-ups so that the stand is moved least: the block, the gantry over its screw, the other
    end, then along the load path, the frame last. What two gauges read together stands together.

    Example:
        >>> from plumbrise.machine import blank
        >>> machine = blank("one-screw")
        >>> order = in_walking_order(machine, candidates(machine))
        >>> order[0].station.id, order[-1].station.id
        ('block', 'frame-base')
    """
    places = ("block", "body", "link", "frame")
    stations = [s.id for s in stations_of(machine.arrangement)]
    driven = machine.screw_sides[0]

    def key(setup: SetUp) -> tuple[int, bool, int, int]:
        station = setup.station
        return (
            places.index(_place(station)),
            station.side != driven,
            stations.index(station.id),
            KINDS_IN_ORDER.index(setup.kind),
        )

    ordered = sorted(setups, key=key)
    return _paired(ordered) if gauges > 1 else ordered


def _paired(ordered: Sequence[SetUp]) -> list[SetUp]:
    """Each set-up followed by the one that a second gauge reads at the same moves."""
    pairs = pairs_of(Session(tuple(setup.run for setup in ordered)))
    first = [one for one in range(len(ordered)) if pairs.get(one, one) >= one]
    places = [place for one in first for place in dict.fromkeys((one, pairs.get(one, one)))]
    return [ordered[place] for place in places]


def at_height(setup: SetUp, height_mm: float) -> SetUp:
    """The same set-up with all targets shifted so that the lowest is this height."""
    lowest = min(r.target_mm for r in setup.run.readings)
    rows = tuple(
        replace(r, target_mm=round(r.target_mm - lowest + height_mm, 4)) for r in setup.run.readings
    )
    return replace(setup, run=replace(setup.run, readings=rows))
