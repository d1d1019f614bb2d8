"""What is written on the load path drawing: losses by link, what each end loses, forces, stations
read, and which parts are only assumed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from math import hypot
from typing import TYPE_CHECKING

from plumbrise.analyse.results import Analysis, CannotTell, RunAnalysis
from plumbrise.drawing.figures import Span, span_of, span_of_measured
from plumbrise.drawing.tokens import Line
from plumbrise.explain.causes import CAUSES, LINKS
from plumbrise.explain.results import Explanation, HowKnown, Interval, LinkLoss
from plumbrise.machine import Machine, PerSide, Station, stations_of
from plumbrise.quantity import Unit
from plumbrise.readings import KINDS, Readings

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

CHAIN_LINKS = ("seat", "coupling", "screw", "nut", "bracket", "tie")
"""The links of one screw's chain, from the motor to the moving part; the tie belt comes last
because it stands on top."""

SHAPE_FIELDS: dict[str, tuple[str, ...]] = {
    "base": ("frame.base_width_mm",),
    "pillars": ("frame.upright_height_mm", "guide.span_mm"),
    "beam": ("guide.span_mm",),
    "carriages": ("guide.kind", "guide.span_mm"),
    "head": ("guide.span_mm",),
    "bed": ("guide.span_mm",),
    "screw": ("screw.diameter_mm", "screw.length_mm"),
    "nut": ("nut.kind",),
    "bracket": ("nut.mount",),
    "coupling": ("coupling.kind",),
    "motor": ("motor.*",),
    "bearing": ("bearing.carries_weight",),
    "top": ("screw.top_end",),
    "belt": ("drive.*",),
}
"""Which fields of the description a part needs to be drawn as there; "*" is any of that part."""


@dataclass(frozen=True, slots=True)
class Row:
    """One dimension: the links that share it, in path order, at the screw of `side`, what they
    lose together and how that is known."""

    links: tuple[str, ...]
    side: str
    loss: Span
    known: Line

    @property
    def name(self) -> str:
        """The links for a label: "Seat + coupling"."""
        if len(self.links) == 1:
            return LINKS[self.links[0]]
        if len(self.links) >= ALL_TOGETHER:
            return "All of this together"
        return _joined(self.links, " + ")

    @property
    def spoken_name(self) -> str:
        """The links as said aloud: "Seat or coupling"."""
        return LINKS[self.links[0]] if len(self.links) == 1 else _joined(self.links, " or ")


MIDDLE_STATIONS = {"gantry": "gantry-middle", "bed": "bed"}
"""Where the middle of a moving part is read."""
ALL_TOGETHER = 4
"""From so many links on one dimension is simply the whole."""


@dataclass(frozen=True, slots=True)
class End:
    """What one end of the moving part loses in all, read there or computed."""

    end: str
    station: str
    loss: Span
    known: Line


@dataclass(frozen=True, slots=True)
class Drag:
    """The force with which the guide at one end holds the moving part back, N."""

    end: str
    force: Span
    known: Line = Line.COMPUTED


@dataclass(frozen=True, slots=True)
class StationMark:
    """A station: how many readings were taken there (none: it was not read), and whether it is
    the one to read next."""

    station: Station
    readings: int = 0
    next: bool = False


@dataclass(frozen=True, slots=True)
class Called:
    """A part with the numbers that a parts list gives what belongs there, and their words."""

    part: str
    numbers: tuple[int, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Marking:
    """What to write on a drawing. `assumed` names the parts whose size or kind nobody gave,
    `exaggeration` forces how many times movement is enlarged (None: chosen to suit), so that
    several drawings can share it. `pressed` is the link that is picked out. Parts that are `new`
    are yet to come ("screw-right", "tie"); those that are `called` carry numbers, of new parts or,
    where `at_work`, of steps of the work there. The ends in `computed` are drawn dashed: no reading
    says where they stand."""

    rows: tuple[Row, ...] = ()
    racking: Row | None = None
    ends: tuple[End, ...] = ()
    drags: tuple[Drag, ...] = ()
    stations: tuple[StationMark, ...] = ()
    assumed: frozenset[str] = frozenset()
    exaggeration: int | None = None
    date: str = ""
    pressed: str | None = None
    new: frozenset[str] = frozenset()
    called: tuple[Called, ...] = ()
    at_work: bool = False
    computed: frozenset[str] = frozenset()

    @property
    def all_rows(self) -> tuple[Row, ...]:
        """The rows of the chains and the racking."""
        return self.rows if self.racking is None else (*self.rows, self.racking)

    def rows_at(self, side: str) -> tuple[Row, ...]:
        """The chain of one screw, from the motor on."""
        return tuple(row for row in self.rows if row.side == side)

    def row_of(self, link: str, side: str) -> Row | None:
        """The dimension that a link is part of."""
        for row in self.all_rows:
            if link in row.links and (row.side == side or link == "racking"):
                return row
        return None

    def end(self, name: str) -> End | None:
        """What this end loses."""
        return next((end for end in self.ends if end.end == name), None)


def mark(
    machine: Machine,
    readings: Readings | None = None,
    explanation: Explanation | None = None,
    analysis: Analysis | None = None,
    *,
    date: str = "",
    exaggeration: int | None = None,
    pressed: str | None = None,
    here: str | None = None,
) -> Marking:
    """What to write on the drawing of a machine, from as much as is known.

    With an explanation: its links as a chain, links that cannot be told apart in one dimension.
    With an analysis alone: one dimension from the motor to each station read, cut where a nut
    was read too. With neither: the blank drawing. `here` is the station where the gauge is to
    stand next; left out, the one that the explanation asks for.

    Example:
        >>> from plumbrise.machine import blank
        >>> blank_sheet = mark(blank("one-screw"))
        >>> blank_sheet.rows, "screw" in blank_sheet.assumed
        ((), True)
    """
    bare = Marking(
        stations=_stations(machine, readings, explanation, here),
        assumed=assumed_parts(machine),
        date=date,
        exaggeration=exaggeration,
        pressed=pressed,
    )
    if explanation is not None and (explanation.links or explanation.sides):
        return _from_explanation(machine, explanation, bare)
    if analysis is not None:
        return _from_analysis(machine, analysis, bare)
    return bare


def assumed_parts(machine: Machine) -> frozenset[str]:
    """The parts that are drawn from defaults because the description does not give them."""
    return frozenset(
        part
        for part, fields in SHAPE_FIELDS.items()
        if not all(_given(machine, key) for key in fields)
    )


def _given(machine: Machine, key: str) -> bool:
    part_name, field = key.split(".")
    part = getattr(machine, part_name)
    if part is None:
        return False
    described = (
        [part.common, *(p for _, p in part.overrides)] if isinstance(part, PerSide) else [part]
    )
    if field == "*":
        return any(value is not None for p in described for value in _values(p))
    return any(getattr(p, field) is not None for p in described)


def _values(part: DataclassInstance) -> list[object]:
    return [getattr(part, field.name) for field in fields(part)]


def _stations(
    machine: Machine,
    readings: Readings | None,
    explanation: Explanation | None,
    here: str | None,
) -> tuple[StationMark, ...]:
    counts: dict[str, int] = {}
    for run in readings.runs if readings is not None else ():
        counts[run.station.id] = counts.get(run.station.id, 0) + run.taken_count
    next_tests = explanation.next_tests if explanation is not None else ()
    wanted = here or (next_tests[0].station if next_tests else None)
    return tuple(
        StationMark(station, counts.get(station.id, 0), station.id == wanted)
        for station in stations_of(machine.arrangement)
    )


# --- from an explanation ------------------------------------------------------------------------


def _from_explanation(machine: Machine, explanation: Explanation, bare: Marking) -> Marking:
    ends = tuple(
        End(
            _end_of(side.station),
            side.station,
            span_of(side.loss_mm),
            Line.MEASURED if side.measured else Line.COMPUTED,
        )
        for side in explanation.sides
    )
    rows: list[Row] = []
    for side in machine.screw_sides:
        of_side = {loss.link: loss for loss in explanation.links if loss.side == side}
        rows += _rows(machine, explanation, side, of_side)
    racking = next((loss for loss in explanation.links if loss.link == "racking"), None)
    return replace(
        bare,
        rows=tuple(rows),
        racking=_racking_row(racking) if racking is not None and racking.loss_mm else None,
        ends=ends,
        drags=_drags(explanation),
    )


def _rows(
    machine: Machine, explanation: Explanation, side: str, of_side: Mapping[str, LinkLoss]
) -> list[Row]:
    rows: list[Row] = []
    done: set[str] = set()
    for link in CHAIN_LINKS:
        loss = of_side.get(link)
        if loss is None or link in done or not loss.loss_mm:
            continue
        together = {link, *loss.shared_with} if loss.known is HowKnown.SHARED else {link}
        members = tuple(name for name in CHAIN_LINKS if name in together and name in of_side)
        done.update(members)
        station = _station_for(machine, side, loss.loss_mm)
        known = Line(loss.known.value) if len(members) > 1 else _alone(loss.known)
        span = _together(explanation, [of_side[name] for name in members], station)
        told = members if "tie" in of_side else with_tie(machine, side, members)
        if told != members and known is Line.MEASURED:
            known = Line.SHARED
        rows.append(Row(told, side, span, known))
    return sorted(rows, key=lambda row: max(CHAIN_LINKS.index(link) for link in row.links))


def with_tie(machine: Machine, side: str, links: tuple[str, ...]) -> tuple[str, ...]:
    """The links that a dimension takes in. A belt that winds up turns its screw too little, which
    no gauge at the screw's end sees: it shows where the nut is read, as the nut's play does.

    Example:
        >>> from plumbrise.machine import blank
        >>> with_tie(blank("two-screw-tied"), "right", ("nut",))
        ('nut', 'tie')
    """
    return (*links, "tie") if "nut" in links and _has_tie(machine, side) else links


def _alone(known: HowKnown) -> Line:
    return Line.COMPUTED if known is HowKnown.SHARED else Line(known.value)


def _station_for(machine: Machine, side: str, losses: Mapping[str, Interval]) -> str:
    own = f"{machine.arrangement.body}-{side}"
    return own if own in losses else next(iter(losses))


def _together(explanation: Explanation, losses: Sequence[LinkLoss], station: str) -> Span:
    """The loss of one dimension. The links of a shared dimension know their sum far better than
    their shares, so the interval of the sum is taken from where it is given."""
    if len(losses) == 1:
        return span_of(losses[0].loss_mm[station])
    for loss in losses:
        if station in loss.together_mm:
            return span_of(loss.together_mm[station])
    parts = [span_of(loss.loss_mm[station]) for loss in losses if station in loss.loss_mm]
    total = sum(part.value for part in parts)
    links = {loss.link for loss in losses}
    for group in explanation.groups:
        in_group = {CAUSES[cause].link for cause in group.causes if cause in CAUSES}
        if in_group == links and station in group.loss_mm:
            found = span_of(group.loss_mm[station])
            return Span(
                total, total - (found.value - found.low), total + (found.high - found.value)
            )
    arm = max(part.half_width for part in parts)
    return Span(total, total - arm, total + arm)


def _racking_row(loss: LinkLoss) -> Row:
    worst = max(loss.loss_mm.values(), key=lambda interval: abs(interval.estimate))
    return Row(("racking",), loss.side, span_of(worst), _alone(loss.known))


def _drags(explanation: Explanation) -> tuple[Drag, ...]:
    """The drag of each guide, where its newtons are known and not only a ratio."""
    return tuple(
        Drag(_end_of(force.place), span_of(force.newton, Unit.N))
        for force in explanation.forces
        if force.absolute and "drag" in force.what.lower()
    )


def _end_of(station_or_end: str) -> str:
    return station_or_end.rsplit("-", 1)[-1]


# --- from an analysis alone ---------------------------------------------------------------------


def _from_analysis(machine: Machine, analysis: Analysis, bare: Marking) -> Marking:
    lost = lost_by_station(analysis)
    body, sides = machine.arrangement.body, machine.screw_sides
    ends = tuple(
        End(end, f"{body}-{end}", lost[f"{body}-{end}"], Line.MEASURED)
        for end in machine.arrangement.ends
        if f"{body}-{end}" in lost
    )
    middle = MIDDLE_STATIONS[body]
    if not ends and middle in lost:
        ends = (End("middle", middle, lost[middle], Line.MEASURED),)
    rows: list[Row] = []
    for side in sides:
        nut = lost.get("nut" if len(sides) == 1 else f"nut-{side}")
        at_end = lost.get(f"{body}-{side}") or _anywhere(machine, lost)
        rows += _cut(machine, side, nut, at_end)
    return replace(bare, rows=tuple(rows), ends=ends, racking=_lag(machine, analysis, lost))


def _anywhere(machine: Machine, lost: Mapping[str, Span]) -> Span | None:
    """One gauge somewhere else on the moving part still bounds the only screw's chain."""
    if len(machine.screw_sides) > 1:
        return None
    return lost.get(MIDDLE_STATIONS[machine.arrangement.body])


def _cut(machine: Machine, side: str, nut: Span | None, end: Span | None) -> list[Row]:
    links = tuple(link for link in CHAIN_LINKS if link != "tie" or _has_tie(machine, side))
    up_to_nut = tuple(link for link in links if link != "bracket")
    if nut is not None and end is not None:
        return [
            Row(up_to_nut, side, nut, Line.SHARED),
            Row(("bracket",), side, _difference(end, nut), Line.MEASURED),
        ]
    if nut is not None:
        return [Row(up_to_nut, side, nut, Line.SHARED)]
    return [Row(links, side, end, Line.SHARED)] if end is not None else []


def _has_tie(machine: Machine, side: str) -> bool:
    return machine.arrangement.tied and side != machine.screw_sides[0]


def _difference(first: Span, second: Span) -> Span:
    value = first.value - second.value
    arm = hypot(first.half_width, second.half_width)
    return Span(value, value - arm, value + arm)


def _lag(machine: Machine, analysis: Analysis, lost: Mapping[str, Span]) -> Row | None:
    if len(machine.screw_sides) > 1:
        return None
    near = machine.screw_sides[0]
    far = "right" if near == "left" else "left"
    for between in analysis.between:
        figure = between.figure
        if not isinstance(figure, CannotTell) and figure.name == "far_side_lag":
            return Row(("racking",), far, span_of_measured(figure.value), Line.MEASURED)
    ends = [lost.get(f"{machine.arrangement.body}-{end}") for end in (near, far)]
    if ends[0] is None or ends[1] is None:
        return None
    return Row(("racking",), far, _difference(ends[1], ends[0]), Line.MEASURED)


def lost_by_station(analysis: Analysis) -> dict[str, Span]:
    """What each station that follows the told motion loses, from the run that knows it best."""
    best: dict[str, tuple[float, Span]] = {}
    for run in analysis.runs:
        figure = run.figure("lost_motion")
        if figure is None or not run.run.follows_command or not _counts(run):
            continue
        station, u = run.run.station.id, figure.value.u
        if station not in best or u < best[station][0]:
            best[station] = (u, span_of_measured(figure.value))
    return {station: span for station, (_, span) in best.items()}


def _counts(run: RunAnalysis) -> bool:
    return run.run.kind in (KINDS["fine-steps"], KINDS["coarse-steps"], KINDS["reversal"])


def _joined(links: Sequence[str], word: str) -> str:
    """ "Seat + coupling": short names, the first with a capital."""
    short = [_SHORT.get(link, LINKS[link].lower()) for link in links]
    joined = word.join(short)
    return joined[:1].upper() + joined[1:]


_SHORT = {"seat": "seat"}
