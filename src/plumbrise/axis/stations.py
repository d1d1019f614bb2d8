"""What a gauge sees at each station, and the errors that add to its readings linearly."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.axis.kernel import BLOCK, BODY, FRAME, NUT, SCREW, SHAFT, STILL
from plumbrise.axis.parameters import Parameters
from plumbrise.errors import InputError
from plumbrise.readings import Run

_LINK_CODES = {"motor-shaft": SHAFT, "screw": SCREW, "nut": NUT}


@dataclass(frozen=True, slots=True)
class Sight:
    """What the gauge of one run looks at: a code, which lift or frame joint, and the parts of
    each end of the body."""

    code: int
    which: int = 0
    body: tuple[float, ...] = ()


def sight_of(run: Run, parameters: Parameters) -> Sight:
    """What the gauge of this run looks at on this axis.

    A sideways reading away from the frame sees nothing of the model's heights: only its linear
    terms remain, as with the torque of a hand turn.

    Raises:
        InputError: the axis has no such station, or several screws and the station names none.
    """
    station = run.station
    ends = parameters.ends
    none = (0.0,) * len(ends)
    if station.id == "block":
        return Sight(BLOCK, 0, none)
    if station.link_station.startswith("frame"):
        if run.kind.id != "side-push":
            return Sight(STILL, 0, none)
        joints = [joint.station for joint in parameters.frame]
        return Sight(FRAME, joints.index(station.id), none)
    if run.axis != "up" or run.kind.id in ("hand-turn", "side-push"):
        return Sight(STILL, 0, none)
    if station.link_station in _LINK_CODES:
        return Sight(_LINK_CODES[station.link_station], lift_of(station.side, parameters), none)
    if station.side is None:  # middle of gantry or bed
        return Sight(BODY, 0, (1 / len(ends),) * len(ends))
    if station.side not in ends:
        raise InputError(
            place="station",
            value=station.id,
            allowed=f"a station of {parameters.arrangement.title.lower()}",
            remedy="Correct the station, or the arrangement in the machine file.",
        )
    return Sight(BODY, 0, tuple(1.0 if end == station.side else 0.0 for end in ends))


def lift_of(side: str | None, parameters: Parameters) -> int:
    """Which lift a link station of this side belongs to.

    Raises:
        InputError: several screws and no side, or no screw on that side.
    """
    ends = [lift.end for lift in parameters.lifts]
    if side is None and len(ends) == 1:
        return 0
    if side not in ends:
        raise InputError(
            place="station",
            value=f"side {side}" if side else "a link station without its side",
            allowed=" or ".join(ends),
            remedy="Say which screw: for example nut-left.",
        )
    return ends.index(side)
