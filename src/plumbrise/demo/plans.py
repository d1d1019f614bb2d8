"""Session plans by depth: which runs a person makes who has an hour, less, or five minutes."""

from __future__ import annotations

from collections.abc import Iterable

from plumbrise.machine import STATIONS, Machine, known, lead_mm
from plumbrise.readings import KINDS, Reading, Run

DEPTHS = ("full", "gantry-only", "five-minutes")


def plan(machine: Machine, depth: str = "full") -> tuple[Run, ...]:
    """The runs of a session, readings still to be taken.

    Args:
        machine: decides stations, travel and lead.
        depth: "full" (about 450 readings), "gantry-only" or "five-minutes".
    """
    return {"full": _full, "gantry-only": _gantry_only, "five-minutes": _five_minutes}[depth](
        machine
    )


def _ends(machine: Machine) -> tuple[str, ...]:
    return tuple(f"{machine.arrangement.body}-{end}" for end in machine.arrangement.ends)


def _links(machine: Machine, link: str) -> tuple[str, ...]:
    several = len(machine.arrangement.sides) > 1
    return tuple(f"{link}-{side}" if several else link for side in machine.screw_sides)


def _five_minutes(machine: Machine) -> tuple[Run, ...]:
    return tuple(steps("coarse-steps", end, 1.0, 8) for end in _ends(machine))


def _gantry_only(machine: Machine) -> tuple[Run, ...]:
    runs: list[Run] = []
    for end in _ends(machine):
        runs.append(steps("fine-steps", end, 0.1, 15))
        runs.append(steps("coarse-steps", end, 1.0, 8))
        runs.append(reversal(end, 40.0))
    runs.append(full_travel(machine, _ends(machine)[0], 3, 6))
    return tuple(runs)


def _full(machine: Machine) -> tuple[Run, ...]:
    ends = _ends(machine)
    screw, nut, shaft = (_links(machine, name)[0] for name in ("screw", "nut", "motor-shaft"))
    more = [name for link in ("nut", "screw") for name in _links(machine, link)[1:]]
    runs = [gauge_check()]
    for end in ends:
        runs.append(steps("fine-steps", end, 0.1, 20))
    for station in (screw, nut, shaft, *more):
        runs.append(steps("fine-steps", station, 0.1, 15 if station not in more else 10))
    for end in ends:
        runs.append(steps("coarse-steps", end, 1.0, 8))
    for station in (ends[0], ends[-1], screw, nut):
        runs.append(reversal(station, 40.0))
    runs.append(full_travel(machine, ends[0], 5, 8))
    if lead_mm(machine) is not None:
        runs.append(one_turn(machine, ends[0]))
    runs.append(repeat_home(ends[0], 8))
    for end in ends:
        runs.append(dead_weight(machine, end))
    runs.append(dead_weight(machine, screw))
    runs.append(hold(ends[0], 8, 60.0))
    runs.append(side_push("frame-left"))
    if machine.arrangement.body == "gantry":
        runs.append(side_push("frame-right"))
    runs.append(hand_turn(machine, screw))
    return tuple(runs)


def _run(kind: str, station: str, readings: Iterable[Reading], axis: str = "up") -> Run:
    return Run(
        name=f"{kind} {station}",
        kind=KINDS[kind],
        station=STATIONS[station],
        readings=tuple(readings),
        axis=axis,
    )


def _told(rows: Iterable[tuple[float, str]]) -> list[Reading]:
    return [
        Reading(seq=i, target_mm=round(target, 4), reading_mm=None, approach=way)
        for i, (target, way) in enumerate(rows)
    ]


def steps(kind: str, station: str, step_mm: float, count: int) -> Run:
    """Home from above, then up in equal steps."""
    rows = [(0.0, "down")] + [(i * step_mm, "up") for i in range(1, count + 1)]
    return _run(kind, station, _told(rows))


def reversal(station: str, low_mm: float) -> Run:
    """Up, down and up again over 1.2 mm."""
    places = [low_mm + 0.2 * i for i in range(7)]
    rows = [(p, "up") for p in places] + [(p, "down") for p in reversed(places)]
    return _run("reversal", station, _told(rows + [(p, "up") for p in places]))


def full_travel(machine: Machine, station: str, runs: int, targets: int) -> Run:
    """Targets over the whole height from both directions, spread over the phase of the lead."""
    travel = float(known(machine, "travel.height_mm").value)
    lead = lead_mm(machine) or 8.0
    pitch = (travel - 25.0) / (targets - 1)
    places = [
        10.0 + i * pitch + (0.37 * i % 1.0 - 0.5) * min(lead, 8.0) / 2 for i in range(targets)
    ]
    rows: list[tuple[float, str]] = []
    for _ in range(runs):
        rows += [(round(p, 2), "up") for p in places]
        rows += [(round(p, 2), "down") for p in reversed(places)]
    return _run("full-travel", station, _told(rows))


def one_turn(machine: Machine, station: str) -> Run:
    """Sixteenths of a screw turn over two turns."""
    lead = lead_mm(machine) or 8.0
    return _run("one-turn", station, _told((60.0 + i * lead / 16, "up") for i in range(33)))


def repeat_home(station: str, count: int) -> Run:
    """Home again and again, read at 1 mm."""
    return _run("repeat-home", station, _told((1.0, "up") for _ in range(count)))


def dead_weight(machine: Machine, station: str) -> Run:
    """Half kilograms on and off, twice, hung under the station's end or the middle."""
    span = float(known(machine, "guide.span_mm").value)
    side = STATIONS[station].side
    place = {"left": 20.0, "right": span - 20.0}.get(side or "", span / 2)
    if machine.arrangement.body == "bed":
        place = span / 2
    masses = [0.0, 0.5, 1.0, 1.5, 2.0, 1.5, 1.0, 0.5, 0.0]
    readings = [
        Reading(seq=i, target_mm=50.0, reading_mm=None, approach="up", mass_kg=kg, mass_at_mm=place)
        for i, kg in enumerate(masses + masses[1:])
    ]
    return _run("dead-weight", station, readings)


def hold(station: str, count: int, every_s: float) -> Run:
    """Nothing moves; a reading every so often."""
    readings = [
        Reading(seq=i, target_mm=30.0, reading_mm=None, approach="up", time_s=i * every_s)
        for i in range(count)
    ]
    return _run("hold", station, readings)


def warm_up(station: str, count: int, every_s: float) -> Run:
    """The bed heats; a reading every so often."""
    readings = [
        Reading(seq=i, target_mm=30.0, reading_mm=None, approach="up", time_s=i * every_s)
        for i in range(count)
    ]
    return _run("warm-up", station, readings)


def side_push(station: str) -> Run:
    """Push and let go, both ways."""
    forces = (0.0, 5.0, 10.0, 15.0, 10.0, 5.0, 0.0, -5.0, -10.0, -15.0, -10.0, -5.0, 0.0)
    readings = [
        Reading(seq=i, target_mm=30.0, reading_mm=None, approach="up", force_n=force)
        for i, force in enumerate(forces)
    ]
    return _run("side-push", station, readings, axis="left-right")


def hand_turn(machine: Machine, station: str) -> Run:
    """Torque to raise by hand, over the travel."""
    travel = float(known(machine, "travel.height_mm").value)
    places = [10.0 + i * (travel - 20.0) / 7 for i in range(8)]
    return _run("hand-turn", station, _told((round(p, 1), "up") for p in places))


def gauge_check() -> Run:
    """Leaves of known thickness on a solid block, up and down."""
    up = [0.0, 0.1, 0.2, 0.5, 1.0, 2.0]
    rows = [(t, "up") for t in up] + [(t, "down") for t in reversed(up[:-1])]
    return _run("gauge-check", "block", _told(rows + rows[1:]))
