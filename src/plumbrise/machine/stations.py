"""Gauge stations: the link boundaries along the load path at which a reading says something."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.machine.arrangements import Arrangement


@dataclass(frozen=True, slots=True)
class Station:
    """A place where the gauge's tip rests.

    `link_station` names the boundary without its side; `side` is None for a station that the
    whole machine has once. `follows_command` is True where the told motion itself is seen.
    """

    id: str
    link_station: str
    side: str | None
    follows_command: bool
    seen: str


_LINKS = (
    ("motor-shaft", False, "axial shift of the motor shaft"),
    ("screw", False, "axial shift of the screw, on its end face"),
    ("nut", True, "height of the nut"),
)
_PLACES = (
    ("gantry-left", "left", True, "height of the gantry's left end"),
    ("gantry-middle", None, True, "height of the gantry at its middle"),
    ("gantry-right", "right", True, "height of the gantry's right end"),
    ("bed-left", "left", True, "height of the bed over its left screw"),
    ("bed-right", "right", True, "height of the bed over its right screw"),
    ("bed-back", "back", True, "height of the bed over its back screw"),
    ("bed", None, True, "height of the bed at its middle"),
    ("frame-left", "left", False, "sideways movement of the left upright"),
    ("frame-right", "right", False, "sideways movement of the right upright"),
    ("frame-base", None, False, "sideways movement of the base"),
    ("block", None, False, "a solid block: tests the gauge"),
)

STATIONS: dict[str, Station] = {
    name: Station(name, name, side, follows, seen) for name, side, follows, seen in _PLACES
}
for _name, _follows, _seen in _LINKS:
    STATIONS[_name] = Station(_name, _name, None, _follows, _seen)
    for _side in ("left", "right", "back"):
        STATIONS[f"{_name}-{_side}"] = Station(
            f"{_name}-{_side}", _name, _side, _follows, f"{_seen}, {_side}"
        )

BLOCK = STATIONS["block"]
LINK_STATIONS = tuple(name for name, _, _ in _LINKS)


def stations_of(arrangement: Arrangement) -> tuple[Station, ...]:
    """The stations of one arrangement, in walking order from the motor to the far end.

    Example:
        >>> from plumbrise.machine.arrangements import ONE_SCREW
        >>> [s.id for s in stations_of(ONE_SCREW)][:4]
        ['motor-shaft', 'screw', 'nut', 'gantry-left']
    """
    several = len(arrangement.sides) > 1
    ids: list[str] = []
    for side in arrangement.sides:
        ids += [f"{link}-{side}" if several else link for link in LINK_STATIONS]
    if arrangement.body == "bed":
        ids += [f"bed-{end}" for end in arrangement.ends] + ["bed"]
    else:
        ids += ["gantry-left", "gantry-middle", "gantry-right"]
    ids += ["frame-left", "frame-right", "frame-base", "block"]
    return tuple(STATIONS[i] for i in ids)
