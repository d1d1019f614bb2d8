"""Which causes a session could show at all, and which of them it cannot tell apart."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from plumbrise.explain.causes import CAUSES, causes_of
from plumbrise.explain.priors import CHANCE
from plumbrise.explain.results import SplitBy
from plumbrise.machine import Machine, lead_mm, stations_of
from plumbrise.readings import Readings, Run
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
    WARM_UP,
)

MOVING = (FINE_STEPS, COARSE_STEPS, REVERSAL, FULL_TRAVEL, ONE_TURN)
LOAD_PATH = ("motor-shaft", "screw", "nut", "body")
LONG_MM = 30.0
TIED_SIDE = "right"
"""The motor of two tied screws stands at the left one."""
COARSE_ONLY = (COARSE_STEPS, GAUGE_CHECK)


@dataclass(frozen=True, slots=True)
class Depth:
    """How much a session holds.

    `links` are the boundaries of the load path at which moving runs were read (of any side),
    `far` whether the side without a screw was read, `kinds` the ids of kinds done, `sides` the
    sides at which nut or moving part were read, `occur` the causes that this machine can have,
    `pushed` the stations of the frame at which it was pushed.
    """

    links: frozenset[str]
    kinds: frozenset[str]
    far: bool
    driven: bool
    long_travel: bool
    timed: bool
    lead: bool
    count: int
    sides: frozenset[str] = frozenset()
    occur: frozenset[str] = frozenset(CAUSES)
    pushed: frozenset[str] = frozenset()

    @property
    def name(self) -> str:
        """ "short" (coarse steps alone, or a handful), "gantry" or "full"."""
        fine = self.kinds & {"fine-steps", "reversal", "full-travel", "one-turn", "dead-weight"}
        if not fine or self.count < 25:
            return "short"
        return "full" if self.links & {"motor-shaft", "screw", "nut"} else "gantry"


def depth_of(machine: Machine, readings: Readings) -> Depth:
    """What kinds, stations and facts a session holds."""
    runs = [run for run in readings.runs if len(run.taken) >= 2]
    moving = [run for run in runs if run.kind in MOVING and run.axis == "up"]
    body = [run for run in moving if run.station.link_station not in LOAD_PATH[:3]]
    one = len(machine.screw_sides) == 1
    driven = machine.screw_sides
    return Depth(
        links=frozenset(_link(run) for run in moving),
        kinds=frozenset(run.kind.id for run in runs),
        far=any(run.station.side not in driven for run in body) if one else len(body) > 1,
        driven=any(run.station.side in driven for run in body),
        long_travel=any(run.kind is FULL_TRAVEL and _travel(run) > LONG_MM for run in moving),
        timed=any(r.time_s is not None for run in runs for r in run.taken),
        lead=lead_mm(machine) is not None,
        count=sum(len(run.taken) for run in runs),
        sides=frozenset(
            run.station.side for run in moving if _link(run) in ("nut", "body") and run.station.side
        ),
        occur=frozenset(causes_of(machine.arrangement)),
        pushed=frozenset(run.station.id for run in runs if run.kind is SIDE_PUSH),
    )


def _link(run: Run) -> str:
    station = run.station.link_station
    return station if station in LOAD_PATH[:3] else "body"


def _travel(run: Run) -> float:
    told = [r.target_mm for r in run.taken]
    return max(told) - min(told)


def seen_causes(depth: Depth) -> frozenset[str]:
    """Causes that some test of this session could show."""
    path = bool(depth.links)
    behind = bool(depth.links & {"nut", "body"})
    fine = bool(depth.kinds & {"fine-steps", "reversal", "one-turn", "full-travel"})
    rules = {
        "motor-seat": path,
        "coupling-stretch": bool(depth.links & {"screw", "nut", "body"}),
        "bracket-flex": "body" in depth.links,
        "nut-play": behind,
        "guide-drag": path,
        "racking": depth.far,
        "tight-spot": depth.long_travel,
        "thread-misalignment": depth.long_travel,
        "gauge-stick": path or "gauge-check" in depth.kinds,
        "frame-flex": SIDE_PUSH.id in depth.kinds,
        "lead-error": behind and depth.long_travel,
        "gauge-tilt": (behind and depth.long_travel) or GAUGE_CHECK.id in depth.kinds,
        "screw-bend": depth.lead
        and bool(depth.kinds & {ONE_TURN.id, FULL_TRAVEL.id, COARSE_STEPS.id})
        and behind,
        "microstep-error": depth.lead and behind and fine,
        "warm-drift": depth.timed and bool(depth.kinds & {HOLD.id, WARM_UP.id}),
        "home-scatter": REPEAT_HOME.id in depth.kinds,
        "coupling-slip": bool(depth.links & {"screw", "nut", "body"}),
        "lost-steps": behind and depth.count >= 25,
        "out-of-step": len(depth.sides) > 1 and depth.count >= 25,
        "tie-slack": TIED_SIDE in depth.sides,
        "stick-slip": path and bool(depth.kinds & {FINE_STEPS.id, REVERSAL.id}),
        "droop": depth.far and bool(depth.kinds & {FINE_STEPS.id, REVERSAL.id, FULL_TRAVEL.id}),
        "idle-drop": depth.timed and bool(depth.kinds & {HOLD.id, WARM_UP.id}),
    }
    return frozenset(cause for cause, yes in rules.items() if yes) & depth.occur


def frame_places(machine: Machine) -> tuple[str, ...]:
    """The stations at which a frame can give way."""
    ids = (station.id for station in stations_of(machine.arrangement))
    return tuple(one for one in ids if one.startswith("frame"))


def flexes_unread(machine: Machine, pushed: Collection[str]) -> float:
    """Chance that the frame gives way at a station where nobody pushed; each is as likely.

    Example:
        >>> from plumbrise.machine import blank
        >>> machine = blank("one-screw")
        >>> [round(flexes_unread(machine, frame_places(machine)[:n]), 3) for n in (0, 1, 3)]
        [0.11, 0.075, 0.0]
    """
    places = frame_places(machine)
    left = [place for place in places if place not in pushed]
    return float(1 - (1 - CHANCE) ** (len(left) / len(places)))


@dataclass(frozen=True, slots=True)
class Group:
    """Causes that a session cannot tell apart, and the reading that would split them. `alike`
    where they predict the very same readings, not only in proportion to each other; `may_split`
    where the readings themselves may have told them apart, if what they show is large enough."""

    causes: tuple[str, ...]
    split_by: SplitBy | None
    alike: bool = False
    may_split: bool = False


def groups_of(machine: Machine, depth: Depth) -> tuple[Group, ...]:
    """The groups that the stations and kinds read leave open."""
    several = len(machine.screw_sides) > 1
    side = machine.screw_sides[0]

    def station(link: str) -> str:
        return f"{link}-{side}" if several else link

    found: list[Group] = []
    springs: list[str] = []
    by_link = {"motor-shaft": "motor-seat", "screw": "coupling-stretch", "body": "bracket-flex"}
    for link in LOAD_PATH:
        if link in by_link:
            springs.append(by_link[link])
        if link in depth.links:
            if len(springs) > 1:
                where = "screw" if "coupling-stretch" in springs and len(springs) > 2 else ""
                where = where or ("motor-shaft" if "motor-seat" in springs else "nut")
                split = SplitBy(REVERSAL.id, station(where))
                found.append(Group(tuple(springs), split, alike=True))
            springs = []
    if depth.name == "short":
        causes = ["motor-seat", "coupling-stretch", "bracket-flex", "nut-play", "guide-drag"]
        found = [Group(tuple(causes), SplitBy(REVERSAL.id, station("screw")))]
        if depth.far and not several:
            far = "right" if side == "left" else "left"
            found.append(
                Group(
                    ("racking", "guide-drag"),
                    SplitBy(DEAD_WEIGHT.id, f"{machine.arrangement.body}-{far}"),
                )
            )
    elif DEAD_WEIGHT.id not in depth.kinds and "body" in depth.links:
        found.append(
            Group(
                ("guide-drag", "motor-seat", "coupling-stretch", "bracket-flex"),
                SplitBy(DEAD_WEIGHT.id, f"{machine.arrangement.body}-{side}"),
            )
        )
    if {"lead-error", "gauge-tilt"} <= seen_causes(depth) and depth.long_travel:
        # a check over a millimetre tells a slope of some percent, not one of some thousandths
        checked = GAUGE_CHECK.id in depth.kinds
        split = SplitBy(GAUGE_CHECK.id, "block")
        found.append(Group(("lead-error", "gauge-tilt"), split, alike=True, may_split=checked))
    if depth.links and GAUGE_CHECK.id not in depth.kinds and depth.name != "short":
        found.append(Group(("gauge-stick", "motor-seat"), SplitBy(GAUGE_CHECK.id, "block")))
    return tuple(found)
